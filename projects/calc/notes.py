"""What deserves a line beside a panel: tight gaps, caught tucks, numbers without a source, unknowns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from projects.calc.caught import OUTSIDE
from projects.calc.direction import Direction
from projects.calc.folds import Tuck
from projects.calc.gaps import gap_notes
from projects.calc.need import reach_of
from projects.calc.side import SidePlan
from projects.calc.sizes import Cloth, Sizing
from projects.calc.techniques import TECHNIQUES
from projects.calc.techniques.corded import thickness_note


@dataclass(frozen=True, slots=True)
class Note:
    """One line: its kind ("gap", "caught", "unsampled", "unknown", "width"), text and direction."""

    kind: str
    text: str
    direction: str = ""


def panel_notes(across: SidePlan, along: SidePlan, sizing: Sizing, cloth: Cloth) -> tuple[Note, ...]:
    """Notes of both directions, across first."""
    return tuple(
        note
        for plan in (across, along)
        for note in (
            *_gaps(plan, cloth),
            *_caught(plan),
            *_unsampled(plan),
            *_unknown(plan, sizing, cloth),
        )
    )


_GAP_WORDS = {
    "tight": "Tight after {0}: press each tuck before sewing the next.",
    "blind": "Blind after {0}: the fold meets the next seam.",
    "overlapping": "Overlapping after {0}: sew against the pressing, the last tuck first.",
}


def _gaps(plan: SidePlan, cloth: Cloth) -> tuple[Note, ...]:
    direction = plan.direction
    if direction is None or direction.is_pleats:
        return ()
    return _gap_notes(direction, cloth.thickness, plan.name)


@lru_cache(maxsize=256)
def _gap_notes(direction: Direction, thickness: int | None, name: str) -> tuple[Note, ...]:
    found = gap_notes(direction.tucks, direction.laid, reach_of(direction, thickness))
    return tuple(
        Note("gap", _GAP_WORDS[n.kind].format(_after(direction.tucks, n.after)), name) for n in found
    )


def _after(tucks: Sequence[Tuck], number: int) -> str:
    """Which tuck of the repeat (from 1), without a number that marks count from the edge of a panel."""
    if len(tucks) == 1:
        return "every tuck"
    mark = tucks[number - 1].mark
    if mark and sum(tuck.mark == mark for tuck in tucks) == 1:
        return f"every {mark}"
    return f"tuck {number} of each repeat" + (f" ({mark})" if mark else "")


def _caught(plan: SidePlan) -> list[Note]:
    if not plan.found:
        return []
    what = "dropped" if plan.dropped else "kept"
    tucks = "1 tuck is" if len(plan.found) == 1 else f"{len(plan.found)} tucks are"
    found = [Note("caught", f"{tucks} caught at the edges and {what}.", plan.name)]
    trimmed = [str(number) for number, why in plan.found if why.startswith(OUTSIDE)]
    if trimmed and not plan.dropped and plan.direction is not None and not plan.direction.is_pleats:
        lies = f"Tuck {trimmed[0]} lies" if len(trimmed) == 1 else f"Tucks {', '.join(trimmed)} lie"
        it = "it" if len(trimmed) == 1 else "them"
        text = f"{lies} in what is trimmed away: leave {it} unsewn, unless the panel comes out short."
        found.append(Note("caught", text, plan.name))
    return found


def _unsampled(plan: SidePlan) -> list[Note]:
    direction = plan.direction
    if direction is None or plan.take_up.basis != "none":
        return []
    technique = TECHNIQUES[direction.technique]
    if technique.needs_sample:
        return [Note("unsampled", f"{technique.title} rest on a starting value: sew a sample.", plan.name)]
    return [Note("unsampled", "No sample yet: what the cloth adds by itself is taken as nothing.", plan.name)]


def _unknown(plan: SidePlan, sizing: Sizing, cloth: Cloth) -> list[Note]:
    found = []
    if plan.direction is not None and plan.direction.stands_up and cloth.thickness is None:
        found.append(Note("unknown", thickness_note(None), plan.name))
    if sizing.wash == "after" and cloth.shrink(plan.name) is None:
        text = f"How much the cloth shrinks {plan.name} is not known and counts as nothing."
        found.append(Note("unknown", text, plan.name))
    return found
