"""Where the studio's own things are kept. No Django here: the bootstrap asks before it is installed."""

import os
import secrets
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def data_dir() -> Path:
    """The folder of database, photographs and key: ``FOLDWRIGHT_DATA``, or ``.data`` beside manage.py."""
    return Path(os.environ.get("FOLDWRIGHT_DATA") or ROOT / ".data").expanduser().resolve()


def ensure_data_dir() -> Path:
    """The data folder, made for its owner alone when it is missing."""
    place = data_dir()
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    return place


def incoming_dir() -> Path:
    """The folder where uploaded files wait until they are looked at, made when it is missing."""
    place = ensure_data_dir() / "incoming"
    place.mkdir(mode=0o700, exist_ok=True)
    return place


def secret_key() -> str:
    """The studio's key, made once and kept in its data folder, readable by its owner alone."""
    path = ensure_data_dir() / "key"
    if not path.exists():
        _make_key(path)
    return path.read_text(encoding="ascii").strip()


def _make_key(path: Path) -> None:
    # Written whole under another name first: a start that is interrupted here leaves no empty key behind,
    # and of two starts at once the first one's key stays.
    draft = path.with_name(f".key-{secrets.token_hex(8)}")
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(64))
    try:
        os.link(draft, path)
    except FileExistsError:
        pass
    except OSError:  # a disk without hard links
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)
