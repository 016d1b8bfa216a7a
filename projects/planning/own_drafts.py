"""Steps drafted from templates of a studio's own: once or for each panel, at either end of a stage."""

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from .bench import Bench
from .drafts import Draft
from .own_templates import Template
from .stages import Stage

ON_THE_TABLE = ("cut", "mark", "texture", "press", "trim")
"""Stages a panel goes through by itself: its own steps stand among its others there."""
AFTER_ALL = "p:deliver::1"
"""Nothing of the last stage comes after this."""
AT_START, AT_END, ONE = -0.1, 0.05, 0.0001


def own_drafts(
    templates: Sequence[Template],
    drafts: Sequence[Draft],
    benches: Sequence[Bench],
    stages: Sequence[Stage],
) -> Iterator[Draft]:
    """A step for each template, or for each panel. ``drafts`` are the generated ones in working order.

    Its key names the template, so it stays the same however the template is changed or placed.
    """
    rank = {stage.key: number for number, stage in enumerate(stages)}
    roots = {stage.key: stage.root for stage in stages}
    shop = [draft for draft in drafts if draft.key != AFTER_ALL]
    by_panel: dict[str, list[Draft]] = {}
    for draft in drafts:
        by_panel.setdefault(draft.key.split(":")[0], []).append(draft)
    count = 0
    for template in templates:
        if template.stage not in rank:
            continue
        all_of_it = drafts if rank[template.stage] > rank["finish"] else shop
        on_table = roots[template.stage] in ON_THE_TABLE
        for bench in _for(template, benches, roots):
            panel = f"{bench.piece}.{bench.line.number}" if bench else "p"
            among = by_panel.get(panel, []) if bench and on_table else all_of_it
            place = _place(template, among, rank)
            if bench and on_table and roots[template.stage] != "cut":
                place = max(place, bench.taken_up_at)  # a plain panel is only cut: it has no other step there
            yield _draft(template, bench, panel, place + count * ONE)
            count += 1


def _for(
    template: Template, benches: Sequence[Bench], roots: dict[str, str]
) -> Iterable[Bench | None]:
    """The panels it is drafted for; None is the whole project. A spare is only cut."""
    if not template.per_panel:
        return (None,)
    return [b for b in benches if not b.line.spare or roots[template.stage] == "cut"]


def _place(template: Template, among: Sequence[Draft], rank: dict[str, int]) -> float:
    """Before the first or after the last step of its stage; where that has none, after the stages before."""
    here = [draft.place for draft in among if draft.stage == template.stage]
    if here:
        return min(here) + AT_START if template.at_start else max(here) + AT_END
    before = [draft.place for draft in among if rank[draft.stage] < rank[template.stage]]
    if before:
        return max(before) + AT_END
    return min((draft.place for draft in among), default=0.0) + AT_START


def _draft(template: Template, bench: Bench | None, panel: str, place: float) -> Draft:
    line = bench.line if bench else None
    return Draft(
        f"{panel}:{template.key}::1", template.stage, place,
        f"{template.title}: {line.name}" if line else template.title, template.detail,
        panel=line.name if line else "", panel_id=line.panel_id if line else None,
        fixed=template.minutes or Decimal("0.00"),
    )  # fmt: skip
