"""How the bootstrap speaks: plain words on the console, and troubles that say what to do."""

import sys


class Trouble(Exception):
    """Something a person has to put right. The text says what was found and what to do."""


def say(text: str = "") -> None:
    """Print a line at once, also where the console can't write every letter."""
    encoding = sys.stdout.encoding or "ascii"
    print(text.encode(encoding, "replace").decode(encoding), flush=True)


def warn(text: str) -> None:
    print(text, file=sys.stderr, flush=True)
