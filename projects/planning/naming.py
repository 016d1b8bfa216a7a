"""How a piece expands into panels: "Front", "Front, left", "Front, right", numbered when more, a spare."""

from dataclasses import dataclass

SPARE = 99
"""The number of a spare panel: beyond any count, so that it stays itself when the count changes."""


@dataclass(frozen=True, slots=True)
class PanelName:
    """One panel of a piece: its number there, its name, the hand of a pair, and whether it is spare."""

    number: int
    name: str
    hand: str = ""
    spare: bool = False

    @property
    def mirrored(self) -> bool:
        return self.hand == "right"


def panel_names(name: str, count: int, pair: bool, spare: bool) -> tuple[PanelName, ...]:
    """The panels of a piece, in order. Of a pair, lefts and rights take turns; the left is as drawn."""
    pair = pair and count > 1
    found = [_named(name, number, count, pair) for number in range(1, count + 1)]
    if spare:
        found.append(PanelName(SPARE, f"{name}, spare", "left" if pair else "", True))
    return tuple(found)


def _named(name: str, number: int, count: int, pair: bool) -> PanelName:
    if not pair:
        return PanelName(number, name if count == 1 else f"{name} {number}")
    hand = "left" if number % 2 else "right"
    several = f" {(number + 1) // 2}" if count > 2 else ""
    return PanelName(number, f"{name}, {hand}{several}", hand)
