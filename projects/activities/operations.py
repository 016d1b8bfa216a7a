"""Posts that are done once: a key is claimed before the work and leads to its page afterwards."""

import uuid

from django.db import IntegrityError, transaction

from projects.models import Operation, Person


class Doubled(Exception):
    """The same post came again. ``location`` is where the first one led ("/" while it still runs)."""

    def __init__(self, location: str) -> None:
        super().__init__(location)
        self.location = location or "/"


def claim(key: str, *, person: Person | None) -> Operation | None:
    """Claim ``key``; ``None`` when it is no key at all. Raises ``Doubled`` when it was claimed before."""
    try:
        value = uuid.UUID(key)
    except (ValueError, AttributeError, TypeError):
        return None
    try:
        with transaction.atomic():
            return Operation.objects.create(key=value, person=person)
    except IntegrityError:
        first = Operation.objects.filter(key=value).first()
        raise Doubled(
            first.location if first and first.person_id == getattr(person, "pk", None) else ""
        ) from None


def finish(operation: Operation | None, *, location: str | None) -> None:
    """Keep where the post led; without a location the claim is given up, so it can be tried again."""
    if operation is None:
        return
    if location is None:
        operation.delete()
        return
    operation.location = location[:300]
    operation.save(update_fields=["location"])
