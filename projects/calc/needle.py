"""What passes under the needle: layers where tucks cross, and in the seams of the garment.

Thickness = layers x the cloth's thickness (nm). The machine's lift is 5 mm as a starting value.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from projects.calc import lengths
from projects.calc.lengths import System


@dataclass(frozen=True, slots=True)
class Stack:
    """Layers under the needle at one place. `thickness` is None while the cloth's is unknown.

    `without` is how many there would be with the tucks in the allowance dropped; 0 where that is no help.
    `edge` names the edge whose seam it is; empty elsewhere.
    """

    where: str
    layers: int
    thickness: int | None
    lift: int
    without: int = 0
    edge: str = ""

    @property
    def over(self) -> bool:
        """Whether it is known to be thicker than the machine lifts."""
        return self.thickness is not None and self.thickness > self.lift

    def warning(self, system: System = System.METRIC) -> str:
        """What to say in the units of ``system`` when it is over the machine's lift; empty otherwise."""
        if not self.over or self.thickness is None:
            return ""
        offer = ""
        if 0 < self.without < self.layers:
            offer = f" With the tucks in the allowance dropped there are {self.without} layers."
        thick, lift = (lengths.thickness(nm, system) for nm in (self.thickness, self.lift))
        return (
            f"{self.layers} layers, {thick}, pass under the needle {self.where}; "
            f"the machine lifts {lift}.{offer}"
        )


def stack(where: str, layers: int, thickness: int | None, lift: int) -> Stack:
    """Layers times the cloth's thickness, at one place."""
    return Stack(where, layers, None if thickness is None else layers * thickness, lift)


def seam(edge: str, layers: int, thickness: int | None, lift: int, without: int = 0) -> Stack:
    """The same in the seam at an edge, with the layers of both pieces."""
    return replace(stack(f"in the {edge} seam", layers, thickness, lift), without=without, edge=edge)


def crossing_layers(first_layers_max: int) -> int:
    """A tuck is two plies, so one of the second direction passes 2 x the other direction's layers."""
    return 2 * first_layers_max


def garment_seam(layers_here: int, layers_there: int) -> int:
    """A seam between two pieces passes the layers of both in their allowances."""
    return layers_here + layers_there


def warnings(stacks: Iterable[Stack], system: System = System.METRIC) -> tuple[str, ...]:
    """One sentence for each thickness over the machine's lift; seams that are alike share theirs."""
    alike: dict[tuple[int, int, bool], list[Stack]] = {}
    for found in stacks:
        if found.over:
            alike.setdefault((found.layers, found.without, found.edge == ""), []).append(found)
    return tuple(_together(group).warning(system) for group in alike.values())


def _together(group: list[Stack]) -> Stack:
    """Seams that are alike as one place."""
    *rest, last = [found.edge for found in group]
    return replace(group[0], where=f"in the {', '.join(rest)} and {last} seams") if rest else group[0]
