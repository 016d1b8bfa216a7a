"""What can be said after ``manage.py up``."""

import argparse

from studio.bootstrap import network


def parser() -> argparse.ArgumentParser:
    made = argparse.ArgumentParser(
        prog="python3 manage.py up", description="Start the studio on this computer."
    )
    made.add_argument("--host", default="127.0.0.1", help="address to listen on; 0.0.0.0 opens the studio to "
                      "the house, with a fresh password for the demo's owner (default: this computer only)")
    made.add_argument("--port", type=port, default=8000, help="port to listen on (default: 8000)")
    made.add_argument("--no-demo", action="store_true", help="begin with an empty studio, claimed by a "
                      "one-time code printed here, instead of the demo studio")
    made.add_argument("--install-system", action="store_true", help="install the system library that PDF "
                      "sheets need, where it is missing")
    return made


def port(text: str) -> int:
    """A port from what was typed; argparse shows the error."""
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(
            f"{text[:20]!r} is not a port; give a whole number from 1 to 65535, such as 8001"
        )
    return int(text)


def read(argv: list[str]) -> argparse.Namespace:
    """``host``, ``port``, ``no_demo``, ``install_system``; a slip ends with words and status 2."""
    return parser().parse_args(argv)


def check(chosen: argparse.Namespace) -> None:
    """Raise ``Trouble`` where nothing can listen at that address."""
    network.check_free(chosen.host, chosen.port)
