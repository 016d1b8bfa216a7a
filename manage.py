#!/usr/bin/env python3
"""Everything starts here: ``python3 manage.py up`` opens the studio, ``python3 manage.py test`` tests it."""

import sys

# This file alone is read by old Pythons too, so it says what is wrong in words they understand.
if sys.version_info < (3, 11):  # noqa: UP036
    sys.exit(
        "Foldwright needs Python 3.11 or later; this is Python {}.{}. Install a later one from your system's "
        "packages or from python.org, then run: python3.12 manage.py up".format(*sys.version_info[:2])
    )

from studio.bootstrap.commands import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
