"""What happens before the studio's first page: the demo on first use, or a code to claim an empty studio."""

from dataclasses import dataclass

from django.utils import timezone

from projects.models import Person, Workroom

from . import photos
from .people import fresh_password, hash_of
from .signing_in import demo_still_open

DEMO_NAME = DEMO_PASSWORD = "demo"


@dataclass(frozen=True, slots=True)
class Entrance:
    """How to get in: the demo owner's name and password ("" where it was changed), or a claim code."""

    name: str = ""
    password: str = ""
    claim_code: str = ""


def open_studio(*, demo: bool, at_home: bool) -> Entrance:
    """Fill a new studio, and say how to get in.

    ``demo``: load the demo studio on first use. ``at_home``: only this computer reaches the studio; when the
    house does, the demo's owner gets a fresh password. A studio that somebody owns is left as it is.
    """
    photos.clear_old(timezone.now())
    if not Person.objects.exists():
        if not demo or Workroom.load().claim_hash:
            return Entrance(claim_code=new_claim_code())
        _load_demo()
    if not Workroom.load().is_demo:
        return Entrance()
    return _demo_entrance(at_home)


def _load_demo() -> None:
    # Only the first start needs it; later ones are not slowed by reading it in.
    from .demo import load_demo

    load_demo(owner_password=DEMO_PASSWORD)


def new_claim_code() -> str:
    """A one-time code that makes the first visitor the owner. Only its hash is kept; the last one is void."""
    code = fresh_password()
    workroom = Workroom.load()
    workroom.claim_hash = hash_of(code.replace("-", ""))  # the groups are for the eye
    workroom.save(update_fields=["claim_hash"])
    return code


def _demo_entrance(at_home: bool) -> Entrance:
    owner = Person.objects.filter(username=DEMO_NAME, is_active=True).first()
    if owner is None:
        return Entrance()
    if at_home:
        # The sign-in page asks the same; asked here first, its answer is shared with the server's processes.
        unchanged = demo_still_open(Workroom.load())
        return Entrance(name=DEMO_NAME, password=DEMO_PASSWORD if unchanged else "")
    fresh = fresh_password()
    owner.set_password(fresh)
    owner.save(update_fields=["password"])
    return Entrance(name=DEMO_NAME, password=fresh)
