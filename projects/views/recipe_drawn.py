"""The drawings of the recipe page: the cloth strip, the look through the light, the panel and its key."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.utils.safestring import SafeString

from projects.calc.lengths import System, about, ceil_div
from projects.calc.panels import PanelPlan
from projects.drawings import key
from projects.drawings.light import light
from projects.drawings.panel import panel as panel_drawing
from projects.drawings.strip import strip
from projects.planning.recipe_work import SideWork, Work

from . import recipe_words as words

WIDE, TALL, PHONE, CORNER = 740, 680, 300, (200_000_000, 260_000_000)


@dataclass(frozen=True, slots=True)
class StripView:
    name: str
    unit: str
    many: str
    wide: SafeString
    phone: SafeString


_NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


def strips(work: Work, system: System) -> list[StripView]:
    """The signature drawing of each direction; the second only where it differs from the first."""
    shown = work.sides
    if len(shown) == 2 and replace(shown[0].direction, way="") == replace(shown[1].direction, way=""):
        shown = shown[:1]
    return [_strip(side, system) for side in shown]


def _strip(side: SideWork, system: System) -> StripView:
    unit, sewn = ("pleat", "pleat") if side.direction.is_pleats else ("repeat", "tuck")
    count = side.repeats_shown
    many = f"{_NUMBERS[count]} {unit}{'' if count == 1 else 's'}"
    title = (
        f"Cloth strip {side.name}, {many}: flat {about(side.shown.flat, system)} above, "
        f"finished {about(side.shown.length, system)} below, each {sewn} closing to its seam"
    )
    return StripView(
        side.name,
        sewn,
        many,
        strip(side.shown, system=system, title=title, kind="strip only-wide"),
        strip(
            side.phone,
            system=system,
            title=title.replace(many, "close up"),
            width=312,
            kind="strip only-phone",
        ),
    )


def against_the_light(work: Work) -> SafeString:
    across, along = (side.shown if side else None for side in (work.across, work.along))
    reach = max(_window(side) for side in work.sides)
    extent = tuple(min(reach, axis.length) if axis else reach for axis in (across, along))
    title = f"The cloth held against the light: {work.layers} layers at the most"
    return light(across, along, share=work.light, extent=extent, title=title)


def _window(side: SideWork) -> int:
    """As much of a direction as shows some eight tucks in whole repeats (nm)."""
    return min(side.shown.length, side.repeat * max(1, ceil_div(8, side.units)))


def panel_of(panel: PanelPlan, system: System) -> dict[str, SafeString]:
    """The panel's drawing for a wide page, and its first corner for a phone."""
    title = (
        f"Panel, {words.size(panel.cut_width, system)} across by {words.size(panel.cut_length, system)} along"
    )
    wide = panel_drawing(
        panel,
        system=system,
        title=title,
        width=WIDE,
        most_high=TALL,
        trimmed=True,
        kind="panel trimmed only-wide",
    )
    corner = panel_drawing(
        panel,
        system=system,
        title=f"{title}, its first corner",
        width=PHONE,
        corner=CORNER,
        kind="corner only-phone",
    )
    return {"wide": wide, "corner": corner}


@dataclass(frozen=True, slots=True)
class KeyLine:
    """One mark of the key: its letter, a piece of its line, what it is sewn at."""

    letter: str
    sample: SafeString
    words: str


def mark_key(work: Work, system: System) -> list[KeyLine]:
    """Every mark once, in the order of its letters; one letter stands for one depth in both directions."""
    depths: dict[str, int] = {}
    for side in work.sides:
        own = side.direction
        depths |= {own.mark: own.depth} if own.is_pleats else {t.mark: t.depth for t in own.tucks}
    return [
        KeyLine(letter, key.sample(letter), f"{about(depth, system)} deep" if depth else "over a cord")
        for letter, depth in sorted(depths.items(), key=lambda item: (len(item[0]), item[0]))
    ]
