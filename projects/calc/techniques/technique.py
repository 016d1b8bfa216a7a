"""What every technique can do: one module per technique, the same verbs in each.

`place` lays the direction over a panel, `starting_take_up` is what each unit of a repeat takes up before a
sample says better, `sew_note` is one line for the table. Lengths are whole nanometres.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from projects.calc.axis import Axis
from projects.calc.direction import Direction


class Place(Protocol):
    """Lays a direction over a panel of finished `length`.

    `extra` is e, what the cloth adds to each tuck; `thickness` the cloth's, None unknown. `lead` is the plain
    cloth before the pattern and `section` the pattern's own extent (pleats lie over it alone). `phase` is the
    recipe coordinate at the first edge where it is already decided; `centre` the piece's centre line.
    """

    def __call__(
        self,
        direction: Direction,
        length: int,
        extra: int,
        thickness: int | None,
        *,
        lead: int = 0,
        section: int | None = None,
        phase: int | None = None,
        centre: int | None = None,
    ) -> Axis: ...


@dataclass(frozen=True, slots=True)
class Technique:
    """A technique as the registry holds it. `unit` is what one thing sewn is called."""

    name: str
    title: str
    unit: str
    needs_sample: bool
    place: Place
    starting_take_up: Callable[[Direction, int | None], tuple[int, ...]]
    sew_note: Callable[[Direction], str]
