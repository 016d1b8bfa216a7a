"""What the page of a lay shows, whichever way it was reached."""

import json
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from projects.activities import lay_runs, lay_work
from projects.activities import lays as activity
from projects.calc.lay import Lay, Placement
from projects.calc.lay.request import turns
from projects.calc.lengths import System
from projects.drawings import lay as drawing
from projects.drawings.lay_marks import Marks
from projects.forms.lay import AcceptForm, OnLengthForm
from projects.forms.lay_work import ImproveForm, OptionsForm, PlaceForm, WidthForm
from projects.models import ClothLength, Fabric, KeptLay, LayDraft, Project
from projects.planning import plan_project
from projects.planning.cloth import Washing
from projects.planning.cost_lines import cloth_worth
from projects.planning.fabric_plan import FabricPlan
from projects.planning.lay_changes import what_changed
from projects.planning.lay_choice import able, lengths_for, serving
from projects.planning.lay_drawn import ROLL, ClothLaid, cloths_of, remains_of, share_kept, share_over
from projects.planning.lay_others import others_for
from projects.planning.lay_places import Place, places_of
from projects.planning.lay_shelf import on_shelf
from projects.planning.load import Stock
from projects.planning.plan import Plan

from . import posts
from .lay_before import before, together, unwashed

PAGE, PART = "lays/lay.html", "lays/_lay.html"
TO_BUY = "Cloth to buy"
DRAG_FIELDS = ("name", "copy", "x", "y", "turned", "on")
WIDE, TALLEST = 996, 640
"""The drawing in pixels: the sheet's width; on a phone it scrolls in its frame, so letters stay readable."""


def rows(pk: int, fabric_id: int) -> tuple[Project, Fabric]:
    project = get_object_or_404(Project.objects.live().select_related("client"), pk=pk)
    return project, get_object_or_404(Fabric, pk=fabric_id)


def kept_lay(project: Project, fabric: Fabric) -> KeptLay | None:
    lays = KeptLay.objects.filter(project=project, fabric=fabric).select_related("cloth", "kept_by")
    return lays.prefetch_related("lengths__cloth", "others", "cuts").first()


def accepted_with(project: Project, fabric: Fabric) -> KeptLay | None:
    """The accepted lay that a project's panels lie in: its own, else one of another project."""
    own = kept_lay(project, fabric)
    if own is not None or not project.shared_lays.filter(fabric=fabric).exists():
        return own
    lays = project.shared_lays.filter(fabric=fabric).select_related("project", "cloth", "kept_by")
    return lays.prefetch_related("lengths__cloth", "others", "cuts").order_by("-pk").first()


def _washed(kept: KeptLay | None) -> bool:
    """Whether the length that stands for the roll shrinks no more."""
    return kept is not None and kept.cloth is not None and kept.cloth.washed


def looked_at(project: Project, fabric: Fabric) -> LayDraft | None:
    """The draft, with what a search has found for it so far."""
    draft = lay_work.draft_of(project, fabric)
    return lay_runs.look(draft) if draft and draft.state == "running" else draft


def signature(draft: LayDraft) -> str:
    """Tells whether a draft's lay is still the one that a page shows."""
    return f"{zlib.crc32(json.dumps(draft.result, sort_keys=True).encode()):x}"


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """A line of the list of places: ``cloth`` is what it lies on; ``key`` tells it from all others."""

    place: Place
    cloth: str
    pinned: bool
    key: str

    @property
    def placed(self) -> Placement:
        return self.place.placed


def key_of(name: str, copy: Any) -> str:
    return f"{copy}~{name}"


def _row(place: Place, labels: dict[str, str], pinned: frozenset[tuple[str, int]]) -> PlaceRow:
    placed = place.placed
    which = (placed.name, placed.copy)
    return PlaceRow(place, labels.get(placed.on, ""), which in pinned, key_of(*which))


def context_of(request: HttpRequest, project: Project, fabric: Fabric, **bound: Any) -> dict[str, Any]:
    """All that the page shows. ``bound`` are forms that were posted, by the name they have on the page."""
    draft = looked_at(project, fabric)
    plan = plan_project(project)
    line = next((f for f in plan.fabrics if f.fabric_id == fabric.pk), None)
    kept = accepted_with(project, fabric)
    accepted = bool(line and line.lay_state == "accepted")
    running = bool(draft and draft.state == "running" and not accepted)
    washed = accepted and _washed(kept)
    shown = {
        "project": project,
        "fabric": fabric,
        "line": line,
        "draft": draft,
        "kept": kept,
        "own_lay": kept is not None and kept.project_id == project.pk,
        "accepted": accepted,
        "running": running,
        "progress": lay_runs.progress(draft) if draft and running else None,
        "searched": bool(draft and draft.state and line and line.lay_state == "improved"),
        "shown": signature(draft) if draft and running else "",
        "can_work": bool(line and line.lay and not accepted and not running),
        "width": line.lay_width if line else fabric.width,
        "shelf": _on_shelf(plan, line, draft, fabric, project),
        "left_out": [p for p in plan.pieces if p.problem and p.uses(fabric.pk)],
        "changes": what_changed(kept, plan) if kept and line and line.lay_changed else [],
        "before": before(request, kept, line) if kept and line and line.lay_changed else None,
        "saves": together(line, draft, fabric) if line else None,
        "bought": unwashed(line, draft, fabric, project) if line and not washed else None,
        "reserved": activity.reserved_by(kept) if kept else 0,
    }
    shown |= _laid(request, plan, line, fabric, project, kept, movable=shown["can_work"])
    shown |= {**_forms(request, project, fabric, shown), **bound}
    place = shown.get("place")
    if place and not _may_turn(line, place["name"].value()):
        place.keep_grain()
    shown["moving"] = key_of(place["name"].value(), place["copy"].value()) if place else None
    return shown


def _on_shelf(
    plan: Plan, line: FabricPlan | None, draft: LayDraft | None, fabric: Fabric, project: Project
) -> Lay | None:
    """The lay with the shelf used up first, where nobody asked for anything yet and it buys less."""
    if draft is not None or line is None or line.lay is None or line.lay_state == "accepted":
        return None
    lay = on_shelf(plan, fabric, project)
    return lay if lay and lay.length < line.lay.length else None


def _may_turn(line: FabricPlan | None, name: str) -> bool:
    """Whether turning a panel of the lay is allowed and makes a difference."""
    request = line and (line.laid_for or line.request)
    return bool(request) and any(turns(p, request) for p in request.panels if p.name == name)


def _laid(
    request: HttpRequest,
    plan: Plan,
    line: FabricPlan | None,
    fabric: Fabric,
    project: Project,
    kept: KeptLay | None,
    *,
    movable: bool,
) -> dict[str, Any]:
    """The lay itself: its cloths drawn, where each panel lies, what it takes and wastes."""
    if line is None or line.lay is None:
        return {"cloths": [], "places": []}
    places = places_of(plan, fabric.pk)
    done = frozenset(cut.number for cut in kept.cuts.all()) if kept and line.lay_state == "accepted" else ()
    cloths = cloths_of(line)
    drawn = [_drawn(request, line, cloth, places, frozenset(done), movable) for cloth in cloths]
    pinned = frozenset[tuple[str, int]]().union(*(cloth.pinned for cloth in cloths))
    labels = {cloth.on.name: cloth.on.label or TO_BUY for cloth in cloths}
    bought = as_bought(cloths, fabric, project)
    return {
        "cloths": list(zip(cloths, drawn, strict=True)),
        "drag_fields": DRAG_FIELDS,
        "several": len(cloths) > 1 or not cloths[0].is_roll,
        "places": [_row(place, labels, pinned) for place in places],
        "pinned": len(pinned),
        "to_cut": len({(p.panel_id, p.panel) for p in places if not p.cut}),
        "parts": len([place for place in places if not place.cut]),
        "any_cut": any(place.cut for place in places),
        "to_buy": line.lay.length,
        "taken": sum(cloth.on.used for cloth in cloths if not cloth.is_roll),
        "over": share_over(line.lay.length, line.lay.lower_bound),
        "keeps": share_kept(cloths),
        "any_flaw": any(cloth.flaws for cloth in cloths),
        "any_lost": any(cloth.lost for cloth in cloths),
        "cost": cloth_worth(fabric, bought, request.workroom.currency) if request.user.is_owner else None,
        "remains": remains_of(cloths),
        "all_cuts": sum(len(cloth.cuts) for cloth in cloths),
        "cuts_done": len(done),
    }


def as_bought(cloths: Sequence[ClothLaid], fabric: Fabric, project: Project) -> int:
    """What the cloths of a lay come to as they were bought (nm)."""
    washing = Washing.of(fabric, project)
    on = [cloth.on.cloth_id for cloth in cloths]
    washed = set(ClothLength.objects.filter(pk__in=on, washed=True).values_list("pk", flat=True))
    return sum(c.on.used if c.on.cloth_id in washed else washing.to_buy(c.on.used) for c in cloths)


def _drawn(
    request: HttpRequest,
    line: FabricPlan,
    cloth: ClothLaid,
    places: Sequence[Place],
    done: frozenset[int],
    movable: bool,
) -> str:
    assert line.lay is not None
    where = cloth.on.label or "cloth to buy"
    return drawing.lay(
        line.lay,
        cloth_width=cloth.on.width,
        system=System(request.workroom.units),
        title=f"The lay of {line.name} on {where}: how {cloth.panels} parts lie on it, listed below",
        cut=[i for i, place in enumerate(places) if place.cut],
        on=cloth.on.name,
        marks=Marks(
            cuts=cloth.cuts,
            done=done,
            remnants=cloth.remnants,
            flaws=cloth.flaws,
            pinned=cloth.pinned,
            lost=cloth.lost,
            whole=cloth.on.there,
            movable=movable,
        ),
        width=WIDE,
        tallest=TALLEST,
    )


def _forms(request: HttpRequest, project: Project, fabric: Fabric, shown: dict[str, Any]) -> dict[str, Any]:
    """The forms of the page, filled with what stands now; those that don't apply are not there."""
    room, line, found = request.workroom, shown["line"], {}
    stock = lengths_for(fabric, project)
    if shown["can_work"] or (line and line.problem):
        draft = shown["draft"] or LayDraft()
        others = others_for(project, fabric)
        found["options"] = OptionsForm(
            workroom=room, draft=draft, stock=stock, others=others, width=fabric.width
        )
        found["improve"] = ImproveForm(workroom=room, draft=draft)
        there = len([s for s in stock if s.free])
        asked = shown["draft"] is not None and draft.use_stash
        found["on_shelf"] = 0 if asked else there
        found["unused_shelf"] = there and asked and not shown.get("taken")
    if shown["can_work"]:
        free = able(line, stock, fabric, project)
        shelf = shown["draft"] is None or shown["draft"].use_stash
        first = serving(line, stock, fabric, project) if shelf else None
        initial = {"seen": line.lay.length, "cloth": first.pk if first else None}
        found["stands_for"] = first
        found["accept"] = AcceptForm(workroom=room, stock=free, initial=initial)
        found["other_width"] = WidthForm(workroom=room)
        found["place"] = _place(request, shown, cloth_choices(shown["draft"], stock))
    if shown["accepted"] and shown["own_lay"] and line.lay.length and not shown["kept"].cloth:
        free = able(line, stock, fabric, project)
        first = serving(line, free, fabric, project)
        initial = {"cloth": first.pk if first else None}
        found["give"] = OnLengthForm(workroom=room, stock=free, initial=initial) if free else None
        # The plan counts on the shelf for it, though nothing is reserved there.
        found["not_put"] = line.uses if not line.buy else ()
    return found


def cloth_choices(draft: LayDraft | None, stock: Sequence[Stock]) -> list[tuple[str, str]]:
    """Cloths that a panel may be put on, by their name in the lay: lengths it may use, then the roll."""
    draft = draft or LayDraft()
    chosen = {row.pk for row in draft.lengths.all()} if draft.pk else set[int]()
    rows = [s.length for s in stock if not chosen or s.length.pk in chosen] if draft.use_stash else []
    return [*((str(n), row.label) for n, row in enumerate(rows, 1)), (ROLL, TO_BUY)]


def cloths_named(project: Project, fabric: Fabric) -> list[tuple[str, str]]:
    return cloth_choices(lay_work.draft_of(project, fabric), lengths_for(fabric, project))


def lay_now(
    request: HttpRequest,
    project: Project,
    fabric: Fabric,
    *,
    status: int = 200,
    form: Any = None,
    **bound: Any,
) -> HttpResponse:
    """The page as it is now, or with HTMX the lay on it; ``form`` is the posted one that has problems."""
    context = context_of(request, project, fabric, **bound)
    if form is not None:
        context["form"] = form
    return posts.show(request, PAGE, context, fragment=PART, status=status)


def _place(request: HttpRequest, shown: dict[str, Any], cloths: list[tuple[str, str]]) -> PlaceForm | None:
    """The form for the panel that the address names, where it lies now."""
    wanted = key_of(request.GET.get("panel", ""), request.GET.get("copy", ""))
    for row in shown["places"]:
        placed = row.placed
        if row.key == wanted:
            at = {"x": placed.x, "y": placed.y, "turned": placed.turned, "on": placed.on}
            initial = {"name": placed.name, "copy": placed.copy, **at}
            form = PlaceForm(workroom=request.workroom, cloths=cloths, initial=initial)
            form.fields["y"].widget.attrs["autofocus"] = True
            return form
    return None
