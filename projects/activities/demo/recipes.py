"""The studio's recipes, each as it grew: tucks of three kinds, pleats of two, lattice smocking."""

from dataclasses import dataclass
from decimal import Decimal

from projects.activities.recipes import create_recipe, save_version
from projects.calc.folds import Pressing, Tuck
from projects.calc.ratio import ByRatio
from projects.calc.recipe import Direction, assign_marks
from projects.calc.recipe import Recipe as Content
from projects.models import Recipe, RecipeVersion

from .measures import IN, MM
from .people import People

GENTLE = ((18, 4), (12, 6), (12, 8), (12, 6))
GRADUATED = ((18, 4), (12, 7), (12, 10), (12, 7))


@dataclass(frozen=True, slots=True)
class Recipes:
    """The versions that pieces follow and samples were sewn from."""

    tucks_across: RecipeVersion
    tucks_both: RecipeVersion
    knife: RecipeVersion
    box: RecipeVersion
    corded: RecipeVersion
    lattice: RecipeVersion


def add_recipes(people: People) -> Recipes:
    tucks = _graduated(people)
    _pin_tucks(people)
    return Recipes(
        tucks_across=tucks.versions.get(number=2),
        tucks_both=tucks.versions.get(number=3),
        knife=_pleats("knife", "Knife pleats, 25 mm", 25, people).versions.get(),
        box=_pleats("box", "Box pleats, 40 mm", 40, people).versions.get(),
        corded=_corded(people).versions.get(),
        lattice=_lattice(people).versions.get(),
    )


def _graduated(people: People) -> Recipe:
    """Three versions: a gentle start, deeper tucks, and then the same both ways."""
    gentle, deeper = _tucks(GENTLE), _tucks(GRADUATED)
    recipe = _begin(
        "Graduated tucks, both ways",
        Content(across=gentle),
        people.sewer,
        "For light, crisp cloth. It was worked out for the concert coat.",
    )
    for content, note in (
        (Content(across=deeper), "Deeper: the first looked flat from ten steps away"),
        (Content(across=deeper, along=deeper), "The same along, sewn second"),
    ):
        save_version(
            recipe=recipe, content=assign_marks(content), typed=units(content), person=people.sewer, note=note
        )
    return recipe


def _pin_tucks(people: People) -> Recipe:
    """Three and three, typed in inches as the old notebook has them."""
    three = tuple(Tuck(space=space, depth=IN // 16) for space in (3 * IN // 4, IN // 4, IN // 4))
    return _begin(
        "Pin tucks in threes",
        Content(across=Direction(tucks=three, way="on a drawn thread")),
        people.owner,
        "From the studio's old notebook, in inches.",
        "in",
    )


def _corded(people: People) -> Recipe:
    """A soft cord of 2 mm in every tuck; how much cloth goes round it only a sample tells."""
    tucks = Direction(technique="corded", tucks=(Tuck(space=12 * MM, depth=0),), cord=2 * MM)
    return _begin("Corded tucks, 2 mm", Content(across=tucks), people.owner, "Cotton cord, washed first.")


def _lattice(people: People) -> Recipe:
    """Squares of 30 mm whose corners are drawn together until the diagonal measures 42 mm."""
    squares = ByRatio(
        technique="lattice",
        across=Decimal("2.8571"),
        along=Decimal("1.4286"),
        spacing=30 * MM,
        diagonal=42 * MM,
        by_hand=True,
        way="from the back, waxed thread",
    )
    return create_recipe(
        name="Lattice smocking, 30 mm squares",
        content=Content(ratio=squares),
        typed={"ratio.spacing": "mm", "ratio.diagonal": "mm"},
        person=people.sewer,
        notes="Marked on the back. Velvet is drawn up by hand: a foot would crush it.",
    )


def _pleats(technique: str, name: str, width: int, people: People) -> Recipe:
    pleats = Direction(
        technique=technique, width=width * MM, depth=20 * MM, sewn=0, pressing=PRESSED[technique]
    )
    return _begin(name, Content(across=pleats), people.cutter, "")


PRESSED = {"knife": Pressing.ON, "box": Pressing.ON}


def _tucks(pairs: tuple[tuple[int, int], ...]) -> Direction:
    """A repeat from (from last seam, depth) in millimetres."""
    return Direction(tucks=tuple(Tuck(space=space * MM, depth=depth * MM) for space, depth in pairs))


def _begin(name: str, content: Content, person: object, notes: str, unit: str = "mm") -> Recipe:
    return create_recipe(
        name=name, content=assign_marks(content), typed=units(content, unit), person=person, notes=notes
    )


def units(content: Content, unit: str = "mm") -> dict[str, str]:
    """Where each length stands in the recipe -> the unit it was typed in, as the recipe page keeps it."""
    found: dict[str, str] = {}
    for name in ("across", "along"):
        direction = getattr(content, name)
        if direction is None:
            continue
        found.update({f"{name}.{place}": unit for place in _places(direction)})
    return found


def _places(direction: Direction) -> list[str]:
    """The lengths a direction was typed with: a corded tuck's depth follows from its cord."""
    if direction.is_pleats:
        return ["width", "depth"]
    each = ("space",) if direction.stands_up else ("depth", "space")
    typed = [f"tucks.{number}.{what}" for number in range(len(direction.tucks)) for what in each]
    return [*typed, "cord"] if direction.stands_up else typed
