"""The commands of manage.py: ``up``, ``test``, and every Django command inside the environment."""

import sys

from studio.bootstrap import environment
from studio.bootstrap.words import Trouble, say, warn

HELP = """\
python3 manage.py up           starts the studio (--help shows how to open it to the house, and more)
python3 manage.py test         runs every check and test; what follows is passed on to pytest
python3 manage.py backup FILE  writes a verified copy of the studio's data while it is in use
python3 manage.py new_password NAME   gives a person who is locked out a fresh password
python3 manage.py help         lists every other command"""


def main(argv: list[str]) -> int:
    """Run one command; troubles end as plain words, Ctrl-C ends quietly. Returns the exit status."""
    try:
        return run(argv)
    except Trouble as trouble:
        warn(str(trouble))
        return 1
    except KeyboardInterrupt:
        return 130


def run(argv: list[str]) -> int:
    command = argv[0] if argv else ""
    if command in ("", "-h", "--help"):
        say(HELP)
        return 0
    if command == "up":
        return start(argv)
    if command == "test":
        return test(argv)
    return django_command(argv)


def start(argv: list[str]) -> int:
    # What was typed wrongly, and a busy port, are told before anything is installed.
    from studio.bootstrap import options

    chosen = options.read(argv[1:])
    options.check(chosen)
    if not environment.ensure():
        return environment.again(argv)
    from studio.bootstrap import up

    return up.run(chosen)


def test(argv: list[str]) -> int:
    if not environment.ensure(environment.TEST_REQUIREMENTS):
        return environment.again(argv)
    from studio.bootstrap import suite

    return suite.run(argv[1:])


def django_command(argv: list[str]) -> int:
    if not environment.ensure():
        return environment.again(argv)
    import os

    from studio.bootstrap import storage

    storage.check()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line([sys.argv[0], *argv])
    return 0
