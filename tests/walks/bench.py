"""What the walks at the bench share."""

from pathlib import Path

SCRIPTS = Path(__file__).resolve().parent.parent.parent / "static" / "js"


def script(name: str) -> str:
    """One of the bench's scripts, as text."""
    return (SCRIPTS / name).read_text(encoding="utf-8")
