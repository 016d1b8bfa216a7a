"""The whole recipe page as it was typed: what kind it is, its two directions or its ratios, the size or the
cloth it is tried on, a name.

Not a Django form: its rows come and go while somebody types, every path is the path of the stored value, and
it is read some hundred times an hour of typing. Nothing here saves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from projects.calc.direction import Direction
from projects.calc.errors import CalcError
from projects.calc.lengths import System
from projects.calc.recipe import FIRSTS, Recipe, RecipeError, assign_marks

from .cells import MM, Cell, CellKind, from_post
from .number_cells import NumberCell
from .recipe_ratio import BY_DIRECTION, KINDS, RatioFields, no_ratio, ratio_from_content, ratio_from_post
from .recipe_ratio import finds_of as ratio_finds
from .recipe_rows import fill_technique, rearrange, same_as
from .recipe_side import UNKEPT, Side, finds_of, side_from_direction, side_from_post

LONGEST_NAME, LONGEST_NOTE, LONGEST_NOTES = 200, 300, 10_000
LONGEST_CARRIED = 200
SIZE = {
    name: CellKind(f"Finished, {name}", "piece", least=MM, required=False) for name in ("across", "along")
}
FLAT = {
    name: CellKind(f"Flat cloth, {name}", "piece", least=MM, required=False) for name in ("across", "along")
}
MODES = [("size", "from a finished size"), ("cloth", "from the cloth I own")]


@dataclass(slots=True)
class RecipeState:
    """What is on the page. `recipe` is None while something can't be read or sewn; `errors` by path."""

    system: System
    across: Side
    along: Side
    ratio: RatioFields
    first: str = "auto"
    mode: str = "size"
    size: dict[str, Cell] = field(default_factory=dict)
    flat: dict[str, Cell] = field(default_factory=dict)
    find: dict[str, str] = field(default_factory=dict)
    room: bool = True
    fabric: str = ""
    name: str = ""
    note: str = ""
    errors: dict[str, str] = field(default_factory=dict)
    recipe: Recipe | None = None
    focus: str = ""
    carried: dict[str, str] = field(default_factory=dict)
    """What was typed for the kind that is not shown now, to come back with it."""

    @property
    def kind(self) -> str:
        """A technique by ratio, or nothing where tucks and pleats go by direction."""
        return self.ratio.technique

    @property
    def by_ratio(self) -> bool:
        return self.kind != BY_DIRECTION

    @property
    def sides(self) -> tuple[Side, Side]:
        return self.across, self.along

    @property
    def of_recipe(self) -> list[Cell | NumberCell]:
        """The numbers of the recipe itself that count now."""
        return self.ratio.cells if self.by_ratio else [*self.across.cells, *self.along.cells]

    @property
    def cells(self) -> list[Cell | NumberCell]:
        """Every number that counts now."""
        return [*self.of_recipe, *self.tried_on]

    @property
    def tried_on(self) -> list[Cell]:
        """The lengths of size and cloth that are shown."""
        if self.mode == "size":
            return list(self.size.values())
        asked = [
            self.size[side.name]
            for side in self.sides
            if self.find.get(side.name) != "finished" and (self.by_ratio or not side.is_nothing)
        ]
        return [*self.flat.values(), *asked]

    @property
    def size_shape(self) -> str:
        """What decides which fields of size and cloth are shown."""
        if self.by_ratio:
            return "/".join([self.mode, self.kind, *self.find.values()])
        nothing = "".join("-" if side.is_nothing else "+" for side in self.sides)
        kinds = (side.technique for side in self.sides)
        return "/".join([self.mode, *self.find.values(), nothing, *kinds])

    @property
    def both(self) -> bool:
        """Whether both directions are sewn, so that there is an order to choose."""
        return not self.by_ratio and not any(side.is_nothing for side in self.sides)

    @property
    def wrong(self) -> bool:
        return bool(self.errors) or self.recipe is None or any(c.error for c in self.cells)

    def side(self, name: str) -> Side:
        return self.across if name == "across" else self.along

    def typed(self) -> dict[str, str]:
        """What ``RecipeVersion.typed`` keeps: path -> unit."""
        return self.ratio.typed() if self.by_ratio else {**self.across.typed(), **self.along.typed()}

    def settle(self) -> None:
        """Make the recipe, its marks assigned, or put what stands against it beside its field."""
        self.recipe = None
        if self.ratio.wrong if self.by_ratio else self.across.wrong or self.along.wrong:
            return
        try:
            self.recipe = self._made()
        except RecipeError as error:
            self.refuse(error)

    def _made(self) -> Recipe:
        if self.by_ratio:
            return Recipe(ratio=self.ratio.by_ratio())
        return assign_marks(Recipe(self._direction("across"), self._direction("along"), self.first))

    def _direction(self, name: str) -> Direction | None:
        try:
            return self.side(name).direction()
        except RecipeError as error:
            raise error.within(name) from None

    def refuse(self, error: CalcError) -> None:
        """Put a refusal beside the field it names."""
        if self.by_ratio:
            self.ratio.refuse(error)
            return
        name, _, rest = error.field.partition(".")
        if name not in ("across", "along"):
            self.errors.setdefault(error.field or "recipe", str(error))
            return
        cell = next((c for c in self.side(name).cells if c.path == error.field), None)
        if cell is not None:
            cell.error = cell.error or str(error)
        else:
            self.side(name).errors.setdefault(rest or "tucks", str(error))

    def problems(self) -> list[tuple[str, str, str]]:
        """(id, label, what is wrong) of everything wrong, in the order of the page."""
        found = [(key, key.capitalize(), text) for key, text in self.errors.items()]
        if self.by_ratio:
            tried = [(c.ident, c.label, c.error) for c in self.tried_on if c.error]
            return found + self.ratio.problems() + tried
        for side in self.sides:
            found += [
                (f"{side.name}-{key.replace('.', '-')}", _label(side, key), t)
                for key, t in side.errors.items()
            ]
        return found + [(cell.ident, _cell_label(cell), cell.error) for cell in self.cells if cell.error]


def _label(side: Side, key: str) -> str:
    return f"{side.name.capitalize()}, {key.replace('_', ' ')}"


def _cell_label(cell: Cell | NumberCell) -> str:
    side, _, rest = cell.path.partition(".")
    parts = rest.split(".")
    if parts[0] == "tucks":
        return f"{side.capitalize()}, tuck {int(parts[1]) + 1}, {cell.label.lower()}"
    return cell.label if side in ("size", "flat") else f"{side.capitalize()}, {cell.label.lower()}"


def state_from_post(data: Mapping[str, str], system: System) -> RecipeState:
    """The page as posted, the button pressed (``do``) already done, its recipe made where it can be."""
    kind = data.get("kind", "") if data.get("kind") in dict(KINDS) else BY_DIRECTION
    state = RecipeState(
        system,
        side_from_post("across", system, data),
        side_from_post("along", system, data),
        ratio_from_post(kind, system, data),
        first=data.get("first", "") if data.get("first") in FIRSTS else "auto",
        mode="cloth" if data.get("mode") == "cloth" else "size",
        size={name: from_post(f"size.{name}", kind, system, data) for name, kind in SIZE.items()},
        flat={name: from_post(f"flat.{name}", kind, system, data) for name, kind in FLAT.items()},
        room="room" in data or "mode" not in data,
        fabric=data.get("fabric", "") if data.get("fabric", "").isdecimal() else "",
        name=" ".join(data.get("name", "").split()),
        note=" ".join(data.get("note", "").split()),
        carried=_carried(kind, data),
    )
    _press(state, data)
    state.find = {side.name: _find(kind, side, data.get(f"find.{side.name}", "")) for side in state.sides}
    _check_words(state)
    state.settle()
    return state


def _carried(kind: str, data: Mapping[str, str]) -> dict[str, str]:
    """What was typed for the other kinds. A long text is not worth carrying: it was refused before."""
    other = ("across.", "along.") if kind else ("ratio.",)
    return {
        key: value[:LONGEST_CARRIED]
        for key, value in data.items()
        if key.startswith(other) and not key.endswith(".shape")
    }


def state_from_recipe(recipe: Recipe, typed: Mapping[str, str], system: System) -> RecipeState:
    """A stored recipe, ready to be changed, tried on 50 x 70 cm (or 20 x 28 in)."""
    state = RecipeState(
        system,
        side_from_direction("across", system, recipe.across, typed),
        side_from_direction("along", system, recipe.along, typed),
        ratio_from_content(recipe.ratio, system, typed) if recipe.ratio else no_ratio(system),
        first=recipe.first,
        find={"across": "finished", "along": "finished"},
        recipe=recipe,
    )
    start = ("50", "70") if system is System.METRIC else ("20", "28")
    wished = {f"size.{name}": text for name, text in zip(SIZE, start, strict=True)}
    state.size = {name: from_post(f"size.{name}", kind, system, wished) for name, kind in SIZE.items()}
    state.flat = {name: Cell(f"flat.{name}", kind, system) for name, kind in FLAT.items()}
    return state


def starting_state(system: System) -> RecipeState:
    """A new recipe: one tuck across, nothing along."""
    fine = {"metric": ("5", "15"), "inch": ("3/16", "5/8")}[str(system)]
    data = {"across.technique": "tucks", "across.tucks.0.depth": fine[0], "across.tucks.0.space": fine[1]}
    made = state_from_post(data, system)
    assert made.recipe is not None
    return state_from_recipe(made.recipe, made.typed(), system)


def _find(technique: str, side: Side, given: str) -> str:
    asked = ratio_finds(technique, side.name) if technique != BY_DIRECTION else finds_of(side)
    return given if given in dict(asked) else "finished"


def _press(state: RecipeState, data: Mapping[str, str]) -> None:
    """Do what a row's button says ("across.remove.2") and furnish a technique that was just chosen."""
    name, _, rest = data.get("do", "").partition(".")
    what, _, number = rest.partition(".")
    if name in ("across", "along") and what == "same":
        state.along = same_as(state.across, state.along)
        state.focus = "along-technique"
    elif name in ("across", "along"):
        state.focus = rearrange(state.side(name), what, int(number) if number.isdecimal() else -1)
    for side in state.sides:
        if data.get(f"{side.name}.shape", "").rpartition("/")[0] != shape(side).rpartition("/")[0]:
            fill_technique(side)


def shape(side: Side) -> str:
    """What decides which fields a direction shows; a page whose shape changed is drawn again."""
    return f"{side.technique}/{side.sewn}/{side.centring if side.centres else ''}/{len(side.rows)}"


def to_redraw(state: RecipeState, data: Mapping[str, str]) -> set[str]:
    """Which parts of the page must be drawn again with their fields: "work", or of it "across", "along",
    "ratio", "size"."""
    if data.get("kind.shape", BY_DIRECTION) != state.kind:
        return {"work"}
    if state.by_ratio:
        found = {"ratio"} if data.get("ratio.shape") != state.ratio.shape else set()
        return found | ({"size"} if data.get("size.shape") != state.size_shape else set())
    moved = data.get("do", "").partition(".")[0]
    found = {s.name for s in state.sides if data.get(f"{s.name}.shape") != shape(s) or s.name == moved}
    return found | ({"size"} if data.get("size.shape") != state.size_shape else set())


def _check_words(state: RecipeState) -> None:
    for key, longest in (("name", LONGEST_NAME), ("note", LONGEST_NOTE)):
        length = len(getattr(state, key))
        if length > longest:
            state.errors[key] = f"That is {length} characters; say it in at most {longest}."
        elif "\x00" in getattr(state, key):
            state.errors[key] = UNKEPT
