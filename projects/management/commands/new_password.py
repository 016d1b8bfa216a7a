import difflib
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from projects.activities.people import reset_password
from projects.models import Person, SignInTries


class Command(BaseCommand):
    help = "Give a person who is locked out a fresh password, and print it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the name the person signs in with")

    def handle(self, *args: Any, name: str, **options: Any) -> None:
        person = Person.objects.filter(username__iexact=name).first()
        if person is None:
            raise CommandError(unknown(name))
        password = reset_password(person)
        SignInTries.objects.all().delete()  # nobody has to wait out a pause for the passwords tried before
        self.stdout.write(f"{person.username} signs in with the password {password} from now on.")
        if not person.is_active:
            self.stdout.write("This person is switched off; an owner can switch them on under People.")


def unknown(name: str) -> str:
    """What to say for a name nobody has: the names nearest to it, by sign-in name or shown name."""
    people = {person.username: str(person) for person in Person.objects.order_by("username")}
    if not people:
        return "Nobody is in this studio yet. Start it with: python3 manage.py up"
    by_lower = {word.lower(): username for username, shown in people.items() for word in (username, shown)}
    like_it = difflib.get_close_matches(name[:150].lower(), by_lower, cutoff=0.5)
    close = list(dict.fromkeys(by_lower[word] for word in like_it))
    which = "Names like it" if close else "Names in this studio"
    return f"Nobody signs in as {name[:60]!r}. {which}: {', '.join((close or list(people))[:10])}"
