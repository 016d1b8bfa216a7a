"""Rows for tests, with the usual values of an invented workroom. Every function takes what should differ."""

from datetime import date, timedelta
from itertools import count
from typing import Any

from django.utils import timezone
from PIL import Image

from projects.activities import photos
from projects.calc.folds import Tuck
from projects.calc.recipe import Direction, assign_marks
from projects.calc.recipe import Recipe as Content
from projects.models import (
    Client,
    ClothLength,
    DayOff,
    Deletion,
    Edge,
    Fabric,
    HourRate,
    LabourLog,
    Notion,
    OtherCost,
    OwnStage,
    Panel,
    Person,
    Photo,
    Piece,
    Project,
    Recipe,
    RecipeVersion,
    Sample,
    Step,
    StepTemplate,
    StockEntry,
    WeekHours,
    Workroom,
)

MM = 1_000_000
PASSWORD = "linen voile at noon"
_numbers = count(1)


def workroom(**values: Any) -> Workroom:
    """The studio's one row, changed to ``values``."""
    row = Workroom.load()
    for name, value in {"name": "Larkfield Workroom", "claimed_at": timezone.now(), **values}.items():
        setattr(row, name, value)
    row.save()
    return row


def person(username: str = "", **values: Any) -> Person:
    """Somebody of the studio, a maker unless said otherwise; the password is ``make.PASSWORD``."""
    username = username or f"person{next(_numbers)}"
    password = values.pop("password", PASSWORD)
    values.setdefault("shown_name", username.title())
    return Person.objects.create_user(username, password=password, **values)


def anybody() -> Person:
    """Somebody who is here already, or a new maker."""
    return Person.objects.order_by("pk").first() or person()


def client(name: str = "Quayside Choir", **values: Any) -> Client:
    return Client.objects.create(name=name, **{"reference": "QC", "email": "choir@example.org", **values})


def project(title: str = "Concert coat", **values: Any) -> Project:
    return Project.objects.create(title=title, **{"number": _next_number(), "state": "in_hand", **values})


def _next_number() -> int:
    last = Project.objects.order_by("-number").values_list("number", flat=True).first()
    return (last or 0) + 1


def fabric(name: str = "Linen voile", **values: Any) -> Fabric:
    return Fabric.objects.create(name=name, **{"width": 1_400 * MM, "grams": 92, **values})


def length(of: Fabric | None = None, *, received: int = 5_000 * MM, **values: Any) -> ClothLength:
    """A length of cloth with a first line in its ledger (none when ``received`` is 0)."""
    row = ClothLength.objects.create(fabric=of or fabric(), **{"label": f"L{next(_numbers)}", **values})
    if received:
        StockEntry.objects.create(cloth=row, **received_line(received))
    return row


def received_line(amount: int) -> dict[str, Any]:
    return {"kind": "received", "amount": amount, "person": anybody(), "at": timezone.now()}


def notion(name: str = "Shell buttons, 15 mm", *, received: int = 12, **values: Any) -> Notion:
    """A notion with ``received`` of its unit on the shelf."""
    row = Notion.objects.create(name=name, **{"kind": "button", **values})
    if received:
        StockEntry.objects.create(notion=row, **received_line(received * 1000))
    return row


def tucks(*pairs: tuple[int, int], technique: str = "tucks", **values: Any) -> Direction:
    """A direction from pairs of (space, depth) in whole millimetres: ``tucks((18, 4), (12, 7))``."""
    repeat = tuple(Tuck(space=space * MM, depth=depth * MM) for space, depth in pairs or ((18, 4),))
    return Direction(technique=technique, tucks=repeat, **values)


GRADUATED = ((18, 4), (12, 7), (12, 10), (12, 7))


def content(across: Direction | None = None, along: Direction | None = None) -> Content:
    """A recipe's content; graduated tucks across when nothing is said."""
    if across is None and along is None:
        across = tucks(*GRADUATED)
    return assign_marks(Content(across=across, along=along))


def recipe(
    name: str = "Graduated tucks", *, of: Content | None = None, by: Person | None = None, **values: Any
) -> Recipe:
    """A recipe with its first version."""
    row = Recipe.objects.create(name=name, **values)
    version(row, of=of, by=by)
    return row


def version(
    of_recipe: Recipe | None = None, *, of: Content | None = None, by: Person | None = None
) -> RecipeVersion:
    """The next version of a recipe."""
    if of_recipe is None:
        return recipe(of=of, by=by).versions.get()
    number = of_recipe.versions.count() + 1
    written = (of or content()).to_json()
    made_by = by or anybody()
    return RecipeVersion.objects.create(recipe=of_recipe, number=number, content=written, made_by=made_by)


def sample(of: RecipeVersion | None = None, on: Fabric | None = None, **values: Any) -> Sample:
    """Four repeats of graduated tucks across, sewn 216 mm wide from a strip of 442 mm."""
    row = of or version()
    usual = {
        "across_flat": 442 * MM, "across_finished": 216 * MM, "across_tucks": 16,
        "across_depths": 4 * 56 * MM, "across_technique": "tucks", "made_on": date(2026, 3, 2),
    }
    usual.update(fabric=on or fabric(), content=row.content, person=anybody())
    return Sample.objects.create(version=row, **{**usual, **values})


def piece(of: Project | None = None, **values: Any) -> Piece:
    """A front, 50 cm wide and 70 cm long; its panel rows come with the first plan."""
    usual = {"name": "Front", "across": 500 * MM, "along": 700 * MM}
    return Piece.objects.create(project=of or project(), **{**usual, **values})


def panel(of: Piece | None = None, **values: Any) -> Panel:
    row = of or piece()
    return Panel.objects.create(piece=row, **{"number": 1, "name": row.name, **values})


def step(of: Project | None = None, **values: Any) -> Step:
    """A step of the maker's own."""
    usual = {"stage": "finish", "title": "Sew on the buttons"}
    return Step.objects.create(project=of or project(), **{**usual, **values})


def photo(of: Any = None, *, size: tuple[int, int] = (40, 30), **values: Any) -> Photo:
    """A photograph (of a new project when nothing is said), with its files: one plain colour."""
    row = of or project()
    usual = {"person": anybody(), "caption": "The front on the table", photos.kind_of(row): row}
    return photos.add_drawn(Image.new("RGB", size, "teal"), **{**usual, **values})


def log(who: Person, of: Project | None = None, **values: Any) -> LabourLog:
    """An hour's work, by hand. Stored sums are kept by the activity, not here."""
    usual = {"date": date(2026, 3, 2), "minutes": 60, "stage": "texture", "entered_by": who}
    return LabourLog.objects.create(person=who, project=of, **{**usual, **values})


def own_stage(title: str = "Fit", **values: Any) -> OwnStage:
    """A stage of the studio's own, behind making up."""
    key = values.pop("key", f"own-{next(_numbers)}")
    return OwnStage.objects.create(title=title, key=key, **{"after": "make_up", **values})


def template(title: str = "Write the care label", **values: Any) -> StepTemplate:
    """A step every project gets, at the end of finishing."""
    return StepTemplate.objects.create(title=title, **{"stage": "finish", **values})


def hour_rate(amount: int = 1_800, *, of: Person | None = None, **values: Any) -> HourRate:
    """Minor units an hour from the beginning of 2026: the studio's, unless ``of`` somebody."""
    usual = {"kind": "pay", "from_date": date(2026, 1, 1)}
    return HourRate.objects.create(amount=amount, person=of, **{**usual, **values})


def day_off(of: Person | None = None, **values: Any) -> DayOff:
    """A day off tomorrow, of a person or of the whole studio."""
    tomorrow = timezone.localdate() + timedelta(days=1)
    return DayOff.objects.create(person=of, **{"first": tomorrow, "last": tomorrow, **values})


def week_hours(of: Person, *minutes: int) -> None:
    """Usual minutes of a person by weekday, Monday first; six hours on each working day unless said."""
    for weekday, given in enumerate(minutes or (360,) * 5):
        WeekHours.objects.create(person=of, weekday=weekday, minutes=given)


def other_cost(of: Project | None = None, **values: Any) -> OtherCost:
    return OtherCost.objects.create(project=of or project(), **{"what": "Postage", "amount": 450, **values})


def deletion(
    *rows: Any, by: Person | None = None, days_ago: int = 0, what: str = "project Concert coat"
) -> Deletion:
    """A deletion that hid ``rows``."""
    when = timezone.now() - timedelta(days=days_ago)
    made = Deletion.objects.create(deleted_at=when, deleted_by=by, what=what)
    for row in rows:
        type(row).objects.filter(pk=row.pk).update(deleted_at=when, deletion=made)
    return made


def edge(of: Piece | None = None, **values: Any) -> Edge:
    """A neck, 60 cm long, bound 8 mm wide on the bias in its piece's own fabric."""
    usual = {"name": "neck", "length": 600 * MM, "finish": "bound", "width": 8 * MM}
    return Edge.objects.create(piece=of or piece(), **{**usual, **values})
