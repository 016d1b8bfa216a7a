"""``manage.py up``, once the environment is there: prepare, greet, serve."""

import argparse
import os

from studio.bootstrap import database, doors, network, serve, static_files, storage, system
from studio.bootstrap.words import say, warn


def run(chosen: argparse.Namespace) -> int:
    """Prepare the studio and serve it until it is stopped. Returns the exit status."""
    place = storage.check()
    if worry := storage.worry(place):
        warn(worry)
    set_hosts(chosen.host)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    import django

    django.setup()
    database.prepare()
    static_files.collect()
    system.offer_pango(install=chosen.install_system)
    greeting = [*greet(chosen), f"The studio's data: {place}", "Ctrl-C stops the studio."]
    database.close()
    serve.serve(chosen.host, chosen.port, ready=lambda: say("\n".join(greeting)))
    return 0


def greet(chosen: argparse.Namespace) -> list[str]:
    """How to reach the studio and get in.

    The program is read in first and by this thread alone: two threads that import it at once can each see a
    half of it.
    """
    serve.read_program()
    return [*doors.addresses(chosen), *doors.sign_in(chosen)]


def set_hosts(host: str) -> None:
    """Answer only to the names this studio is reached by; those set by hand stay."""
    by_hand = [name for name in os.environ.get("FOLDWRIGHT_HOSTS", "").split(",") if name]
    names = dict.fromkeys([*by_hand, *network.reached_by(host)])
    os.environ["FOLDWRIGHT_HOSTS"] = ",".join(names)
