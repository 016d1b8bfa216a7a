"""Whether PDF sheets can be made here. Without the system's Pango all else works; browsers print instead."""

import contextlib
import io
import threading
from functools import cache

_lock = threading.Lock()


def pdf_available() -> bool:
    """Whether WeasyPrint and the system library it draws text with can be used."""
    return not why_not()


def why_not() -> str:
    """Why no PDF can be made here, as a plain sentence; "" where one can."""
    with _lock:  # two threads must not import it at once: the first one loads the system's library
        return _why_not()


@cache
def _why_not() -> str:
    try:
        # On failure WeasyPrint prints a page of advice; ours is shorter and names this system's command.
        with contextlib.redirect_stdout(io.StringIO()):
            import weasyprint  # noqa: F401
    except (ImportError, OSError):
        return (
            "The system library Pango is missing on the studio's computer, so no PDF can be made there. "
            "The command that installs it is shown when the studio starts."
        )
    return ""
