"""Stages in working order: those every project has, with the studio's own between them."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from projects.calc.labour import STAGES
from projects.models import OwnStage

FIRST = "first"
"""What an own stage comes after that stands before all others."""
BUILT_IN = dict(STAGES)


class Stage(NamedTuple):
    """``root`` is the stage every project has that it stands behind, of an own one before all the first;
    one that is ``gone`` has only its title left, for steps and logs that name it."""

    key: str
    title: str
    root: str
    own: bool = False
    gone: bool = False


def in_order(own: Iterable[OwnStage]) -> tuple[Stage, ...]:
    """Every stage in working order; several own ones behind the same stage in the order they were made.

    One whose place can't be found (the stage it came after came after it) stands at the end.
    """
    behind: dict[str, list[OwnStage]] = {}
    rows = sorted(own, key=lambda row: row.pk)
    for row in rows:
        behind.setdefault(row.after, []).append(row)
    found = [*_behind(FIRST, STAGES[0][0], behind)]
    for key, title in STAGES:
        found += [Stage(key, title, key), *_behind(key, key, behind)]
    placed = {stage.key for stage in found}
    return (*found, *(_own(row, STAGES[-1][0]) for row in rows if row.key not in placed))


def _behind(key: str, root: str, behind: dict[str, list[OwnStage]]) -> Iterator[Stage]:
    for row in behind.pop(key, ()):
        yield _own(row, root)
        yield from _behind(row.key, root, behind)


def _own(row: OwnStage, root: str) -> Stage:
    return Stage(row.key, row.title, root, own=True, gone=not row.is_live)


ALL_BUILT_IN = in_order(())


def all_stages() -> tuple[Stage, ...]:
    """All of them, those removed too; one query."""
    return in_order(OwnStage.objects.all())


def stages() -> tuple[tuple[str, str], ...]:
    """Key and title of the stages there are, in working order, for a form to choose from; one query."""
    return tuple((stage.key, stage.title) for stage in all_stages() if not stage.gone)


def stage_choices(now: str = "") -> list[tuple[str, str]]:
    """The same for a form that may leave it open. ``now`` is offered too where it has been removed since."""
    known = all_stages()
    there = [(stage.key, stage.title) for stage in known if not stage.gone]
    gone = [(stage.key, f"{stage.title}, removed") for stage in known if stage.gone and stage.key == now]
    return [("", "Not said"), *there, *gone]


def stage_titles() -> dict[str, str]:
    """What every stage is called, removed ones too, in working order; one query."""
    return titles_of(all_stages())


def titles_of(known: Iterable[Stage]) -> dict[str, str]:
    return {stage.key: stage.title for stage in known}
