import difflib
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from projects.activities.opening import fresh_code
from projects.models import Person


class Command(BaseCommand):
    help = "Give a person who is locked out a fresh password, and print it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the name the person signs in with")

    def handle(self, *args: Any, name: str, **options: Any) -> None:
        person = Person.objects.filter(username=name).first()
        if person is None:
            raise CommandError(unknown(name))
        password = fresh_code()
        person.set_password(password)
        person.save(update_fields=["password"])
        self.stdout.write(f"{person.username} signs in with the password {password} from now on.")
        if not person.is_active:
            self.stdout.write("This person is switched off; an owner can switch them on under People.")


def unknown(name: str) -> str:
    """What to say for a name nobody has: the names nearest to it, by sign-in name or shown name."""
    people = {person.username: str(person) for person in Person.objects.order_by("username")}
    if not people:
        return "Nobody is in this studio yet. Start it with: python3 manage.py up"
    by_lower = {word.lower(): username for username, shown in people.items() for word in (username, shown)}
    close = dict.fromkeys(by_lower[word] for word in difflib.get_close_matches(name.lower(), by_lower, cutoff=0.5))
    shown = ", ".join(list(close or people)[:10])
    return f"Nobody signs in as {name[:60]!r}. {'Names like it' if close else 'Names in this studio'}: {shown}"
