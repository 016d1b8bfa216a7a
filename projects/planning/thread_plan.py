"""Thread and cord of a project, and in words what the figures cover."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from projects.calc import thread
from projects.calc.lengths import UNITS, Rounding, System, rounded
from projects.calc.ratio_work import RatioWork
from projects.calc.techniques.corded import cord_needed
from projects.models import NotionNeed

from .edges_plan import rows_of
from .load import Rows
from .plan import CordPlan, Note, PanelLine, PiecePlan, ThreadPlan

STITCHED = ("english", "honeycomb", "lattice")
"""Techniques that are nothing but stitches by hand."""


def plan_thread(pieces: tuple[PiecePlan, ...], rows: Rows) -> ThreadPlan | None:
    """Thread for all that is sewn: textures, seams and edges; None while nothing is."""
    textures = [pair for piece in pieces for line in _panels(piece) for pair in _texture(line)]
    edges = [(edge.sewn, edge.starts) for piece in pieces for edge in piece.edges]
    sewn, starts = (sum(figures) for figures in zip((0, 0), *textures, *edges, strict=True))
    if not sewn:
        return None
    notion = _thread_named(rows.needs)
    spool = notion.notion.holds if notion and notion.notion.holds else rows.workroom.spool
    length = thread.thread(sewn, starts)
    count = thread.spools(length, spool) if spool > 0 else 0
    return ThreadPlan(
        sewn, starts, "301", length, count, spool, True, notion.notion.name if notion else "",
        texture=bool(textures),
        edges=bool(edges),
        at_machine=bool(textures) or any(_machine(e.finish, e.by_hand) for p in pieces for e in p.edges),
        left_out=any(by_hand(line.plan.work) for piece in pieces for line in _panels(piece)),
    )  # fmt: skip


def _panels(piece: PiecePlan) -> Iterator[PanelLine]:
    return (line for line in piece.panels if not line.spare)


def _texture(line: PanelLine) -> Iterator[tuple[int, int]]:
    """Metres (nm) and starts of a panel's texture, as far as it is sewn at the machine."""
    work = line.plan.work
    if work is not None and work.metres and not work.by_hand:
        yield work.metres, max(1, work.lines or work.rows)
    for side in line.plan.sides:
        sewn = line.plan.sewn(side.name)
        if sewn:
            yield sewn, side.count


def by_hand(work: RatioWork | None) -> bool:
    """Whether a panel's texture is worked by hand, so that its thread can't be reckoned as seams."""
    return work is not None and (work.by_hand or work.technique in STITCHED)


def _machine(finish: str, hand: bool) -> bool:
    return rows_of(finish, hand)[0] > 0


def _thread_named(needs: Iterable[NotionNeed]) -> NotionNeed | None:
    """The thread among what the project needs: one whose length is known, if any."""
    found = [need for need in needs if need.notion.kind == "thread"]
    return next((need for need in found if need.notion.holds), found[0] if found else None)


def covers(found: ThreadPlan) -> str:
    """What the figure covers, and what it rests on."""
    counted = [
        *(["texture sewn at the machine"] if found.texture else []),
        *(["edges and seams named with the pieces"] if found.edges else []),
    ]
    left = "; texture worked by hand is not counted" if found.left_out else ""
    stitch = "Reckoned as lockstitch (301)" if found.at_machine else "Reckoned for rows sewn by hand"
    said = " and ".join(counted)
    return (
        f"For {said}{left}. {stitch}; what a seam takes and what is lost at each start are starting values."
    )


# -- cord ----------------------------------------------------------------------------------------------------


def plan_cords(pieces: Iterable[PiecePlan]) -> tuple[CordPlan, ...]:
    """Cord by its thickness, the thinnest first, for every tuck that has one."""
    tucks: dict[int, int] = {}
    sewn: dict[int, int] = {}
    for plan in (line.plan for piece in pieces for line in _panels(piece)):
        for side in plan.sides:
            cord = side.direction.cord if side.direction and side.direction.stands_up else 0
            if cord and side.count:
                tucks[cord] = tucks.get(cord, 0) + side.count
                sewn[cord] = sewn.get(cord, 0) + plan.sewn(side.name)
    return tuple(CordPlan(cord, tucks[cord], cord_needed(sewn[cord], tucks[cord])) for cord in sorted(tucks))


def cord_said(cord: CordPlan, system: System) -> str:
    """ "9.0 m of cord 2.0 mm thick: 52 corded tucks, with a tail each"."""
    many = f"{cord.tucks} corded tuck{'' if cord.tucks == 1 else 's'}"
    length, thick = thread.said(cord.need, system), rounded(cord.thickness, Rounding.MARK, system)
    return f"{length} of cord {thick} thick: {many}, with a tail each"


METRES = ("metres", "metre", "meters", "meter", "m")


def of_cords(cords: tuple[CordPlan, ...], rows: Rows) -> Iterator[Note]:
    """Where cord is named among what the project needs, in metres, and is less than the tucks take."""
    named = [n for n in rows.needs if n.notion.kind == "cord" and n.notion.unit.lower() in METRES]
    need, given = sum(cord.need for cord in cords), sum(n.amount for n in named)
    if named and given * UNITS["m"] < need * 1000:
        names, amount = ", ".join(n.notion.name for n in named), (Decimal(given) / 1000).normalize()
        length = thread.said(need, System.METRIC)
        text = f"{amount:f} m of {names} named among what it needs; the corded tucks take {length}."
        yield Note("warning", text, names)
