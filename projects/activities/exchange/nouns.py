"""Which fields of which rows travel in a file, under which names, and within which bounds.

A row's plain fields are written and read by its model: a length as ``NAME_nm``, a decimal as text, a date in
ISO 8601. What names another row (``fabric``, ``version``) is written by hand beside them, as that row's id in
the file. ``tests/exchange`` fails for a field of a model that neither travels nor is named as staying behind.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from projects.models import (
    BenchFact,
    ClothFlaw,
    ClothLength,
    Edge,
    Fabric,
    LabourLog,
    LearnedRate,
    LengthField,
    Notion,
    OwnStage,
    Panel,
    Piece,
    Project,
    Recipe,
    RecipeVersion,
    Run,
    Sample,
    Step,
    StepTemplate,
    Workroom,
)
from projects.planning.own_settings import NAMES as SETTINGS_NAMES

from . import values
from .errors import Unreadable, wrong

MM, METRE = 1_000_000, 1_000_000_000
MOST_LENGTH = 10_000 * METRE
MOST_COUNT = 2_000_000_000


@dataclass(frozen=True, slots=True)
class Noun:
    """The plain fields of one model that travel. ``bounds`` are least and most of a number; where none are
    given, a length is from nothing to 10 km."""

    model: type[models.Model]
    names: tuple[str, ...]
    bounds: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    needed: tuple[str, ...] = ()

    @property
    def keys(self) -> dict[str, str]:
        """Names in the file -> names in the program."""
        return {_key(self._field(name)): name for name in self.names}

    def _field(self, name: str) -> Any:
        return self.model._meta.get_field(name)

    def write(self, row: models.Model) -> dict[str, Any]:
        return {key: _written(self._field(name), getattr(row, name)) for key, name in self.keys.items()}

    def read(self, place: str, given: Mapping[str, Any]) -> dict[str, Any]:
        """Fields by name, each checked by kind, bounds and the model's own rules."""
        found = {}
        for key, name in self.keys.items():
            where = f"{place}.{key}" if place else key
            found[name] = self._value(where, given[key], self._field(name))
        return found

    def _value(self, place: str, given: Any, kind: Any) -> Any:
        if given is None and kind.null:
            return None
        value = _read(place, given, kind, self.bounds.get(kind.name), kind.name in self.needed)
        try:
            kind.run_validators(value)
        except ValidationError as error:
            wrong(place, given, "something else", " ".join(error.messages))
        return value


def _key(kind: Any) -> str:
    return f"{kind.name}_nm" if isinstance(kind, LengthField) else kind.name


def _written(kind: Any, value: Any) -> Any:
    if value is None:
        return None
    if isinstance(kind, models.DecimalField):
        return str(kind.to_python(value).quantize(kind.to_python(1).scaleb(-kind.decimal_places)))
    if isinstance(kind, models.DateTimeField):
        return values.say_moment(value)
    if isinstance(kind, models.DateField):
        return value.isoformat()
    return repr(value) if isinstance(kind, models.FloatField) else value


def _read(place: str, given: Any, kind: Any, bounds: tuple[int, int] | None, needed: bool) -> Any:
    if isinstance(kind, models.BooleanField):
        return values.flag(place, given)
    if isinstance(kind, models.DecimalField):
        return values.decimal(place, given, kind.max_digits, kind.decimal_places)
    if isinstance(kind, models.DateTimeField):
        return values.moment(place, given)
    if isinstance(kind, models.DateField):
        return values.day(place, given)
    if isinstance(kind, models.FloatField):
        return values.number(place, given)
    if isinstance(kind, models.JSONField):
        return values.typed(place, given)
    if isinstance(kind, models.IntegerField):
        return values.whole(place, given, *(bounds or (0, _most(kind))))
    if kind.choices:
        return values.choice(place, given, [key for key, _ in kind.flatchoices] + [""] * kind.blank)
    return values.text(place, given, kind.max_length or 20_000, needed=needed or not kind.blank)


def _most(kind: Any) -> int:
    if isinstance(kind, LengthField):
        return MOST_LENGTH
    return 32_000 if isinstance(kind, models.PositiveSmallIntegerField) else MOST_COUNT


def read_row(
    noun: Noun, place: str, given: Any, also: Iterable[str] = (), may: Iterable[str] = ()
) -> dict[str, Any]:
    """An object with a noun's fields and ``also``; its fields by name in the program."""
    keys = [*also, *noun.keys]
    return noun.read(place, values.an_object(place, given, keys, tuple(may)))


def check(place: str, row: models.Model, exclude: Iterable[str] = ()) -> None:
    """The rules of a whole row (not those that ask the database)."""
    try:
        row.clean_fields(exclude=set(exclude))
        row.clean()
    except ValidationError as error:
        name, texts = next(iter(error.message_dict.items()))
        raise Unreadable(f"{place}.{name}", "What stands there", "something else", texts[0]) from None


SIZE, ALLOWANCE = (MM, 10_000 * MM), (0, 300 * MM)
EXTENT = (1, 20 * METRE)

PROJECT = Noun(
    Project,
    ("title", "state", "due", "promised", "brief", "washing", "childrens_wear", "nightwear", "kind"),
)
RECIPE = Noun(Recipe, ("name", "notes"))
VERSION = Noun(RecipeVersion, ("number", "typed", "note"), {"number": (1, 100_000)})
FABRIC = Noun(
    Fabric,
    (
        "name", "fibre", "colour", "family", "width", "grams", "thickness", "light", "shrink_along",
        "shrink_across", "one_way", "raised", "sheer", "iron", "price", "price_per", "place", "notes",
        "typed",
    ),
    {"width": (MM, 10 * METRE), "thickness": (1, 100 * MM)},
)  # fmt: skip
LENGTH = Noun(
    ClothLength,
    ("label", "dye_lot", "width", "washed", "place", "notes", "typed"),
    {"width": (MM, 10 * METRE)},
)
FLAW = Noun(
    ClothFlaw,
    ("along", "across", "length", "width", "note"),
    {"length": (1, MOST_LENGTH), "width": (1, MOST_LENGTH)},
)
NOTION = Noun(
    Notion,
    ("name", "kind", "colour", "family", "size", "holds", "price", "unit", "place", "notes", "typed"),
    {"holds": (0, 1_000_000 * METRE)},
)
PIECE = Noun(
    Piece,
    (
        "name", "order", "across", "along", "drawn_half", "count", "mirrored", "spare", "allowances_drawn",
        "allowance_sides", "allowance_top", "allowance_bottom", "whole_repeats", "centring", "caught",
        "margin_at", "work_order", "bordered", "may_turn", "notes", "typed",
    ),
    {
        "across": SIZE, "along": SIZE, "allowance_sides": ALLOWANCE, "allowance_top": ALLOWANCE,
        "allowance_bottom": ALLOWANCE, "count": (1, 60),
    },
)  # fmt: skip
PANEL = Noun(
    Panel,
    ("number", "name", "mirrored", "spare", "dropped_at", "cut_at", "kept_format", "calc_version"),
    {"number": (1, 99)},
)
EDGE = Noun(
    Edge,
    (
        "name", "order", "length", "finish", "width", "allowance", "both_sides", "closed", "on_the_bias",
        "reduction", "by_hand", "typed",
    ),
    {"length": (0, 100 * METRE), "width": (0, METRE), "allowance": ALLOWANCE},
)  # fmt: skip
SAMPLE = Noun(
    Sample,
    (
        "washed", "across_flat", "across_finished", "across_tucks", "across_depths", "across_technique",
        "across_way", "across_place", "along_flat", "along_finished", "along_tucks", "along_depths",
        "along_technique", "along_way", "along_place", "made_on", "notes", "typed",
    ),
    {
        **{f"{d}_{e}": EXTENT for d in ("across", "along") for e in ("flat", "finished")},
        **{f"{d}_depths": (0, MOST_LENGTH) for d in ("across", "along")},
        **{f"{d}_tucks": (0, 100_000) for d in ("across", "along")},
    },
)  # fmt: skip
STEP = Noun(
    Step, ("title", "detail", "minutes", "state", "reason", "place", "done_at", "removed_at")
)
STAGE = Noun(OwnStage, ("title",))
TEMPLATE = Noun(StepTemplate, ("kind", "title", "detail", "minutes", "per_panel", "at_start"))
LOG = Noun(
    LabourLog,
    ("worker", "date", "minutes", "started_at", "ended_at", "note", "rework"),
    {"minutes": (1, 24 * 60)},
    ("worker",),
)
LEARNED = Noun(LearnedRate, ("technique", "driver", "mean", "variance", "steps"))
RUN = Noun(Run, ("placing",))
FACT = Noun(
    BenchFact,
    ("kind", "unit", "depth", "near", "far", "near_end", "far_end", "text"),
    {"unit": (1, 10_000_000)},
)
SETTINGS = Noun(
    Workroom,
    (*SETTINGS_NAMES, "currency"),
    {
        "buy_step": (MM, 10 * METRE), "squaring": (0, 200 * MM), "seam_allowance": (0, 200 * MM),
        "hem_allowance": (0, 500 * MM), "border": (0, 300 * MM), "needle_lift": (MM // 10, 100 * MM),
        "depth_spread": (0, 10 * MM), "bias_join": (0, 200 * MM), "bias_least": (0, 10 * METRE),
        "spool": (1, 1_000_000 * METRE),
    },
)  # fmt: skip
