"""Working on a lay: its options, improving it, and panels that are pinned or moved."""

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.urls import path, reverse
from django.views.decorators.http import require_POST

from projects.activities import lay_runs, lay_work
from projects.calc.lay import LayError
from projects.forms.base import StudioForm
from projects.forms.lay_work import ImproveForm, OptionsForm, PanelForm, PlaceForm
from projects.models import Fabric, LayDraft, Project
from projects.planning.lay_choice import lengths_for
from projects.planning.lay_others import others_for

from . import posts
from .editing import add_problems
from .lay_shown import cloths_named, lay_now, rows
from .stale import renew

MOVED = (
    "Somebody else changed these options while you typed. What you typed is still here: save it once more to "
    "put it in place of theirs."
)
Do, Change = Callable[[], None], Callable[..., LayDraft]


def _begun(project: Project, fabric: Fabric) -> LayDraft:
    """The draft to pin panels in. Where none was begun the page shows new cloth, and the panels stay on it:
    the shelf is used up only when somebody asks for that."""
    draft = lay_work.draft_of(project, fabric)
    if draft is not None or not lengths_for(fabric, project):
        return draft or lay_work.opened(project, fabric)
    return lay_work.set_options(project=project, fabric=fabric, values={"use_stash": False})


def _answered(
    request: HttpRequest,
    project: Project,
    fabric: Fabric,
    form: StudioForm,
    do: Do,
    *,
    name: str = "",
    at: str = "drawn",
) -> HttpResponse:
    """Answer a posted form of the page; ``name`` is what the page calls it, ``at`` where it leads.

    With HTMX the lay itself is the answer, so that nothing jumps.
    """

    def doing() -> str:
        try:
            do()
        except LayError as error:
            raise ValidationError(str(error)) from error
        return reverse("lay", args=[project.pk, fabric.pk]) + f"#{at}"

    if form.is_valid():
        try:
            answer = posts.once(request, doing)
            return lay_now(request, project, fabric) if request.htmx else answer
        except lay_work.DraftMoved:
            form.add_error(None, MOVED)
            renew(form, lay_work.opened(project, fabric))
            return lay_now(request, project, fabric, form=form, status=409, **{name: form})
        except ValidationError as error:
            add_problems(form, error)
    return lay_now(request, project, fabric, form=form, status=422, **({name: form} if name else {}))


@require_POST
def lay_options(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    project, fabric = rows(pk, fabric_id)
    form = OptionsForm(
        request.POST,
        workroom=request.workroom,
        draft=lay_work.draft_of(project, fabric) or LayDraft(),
        stock=lengths_for(fabric, project),
        others=others_for(project, fabric),
        width=fabric.width,
    )

    def do() -> None:
        seen = form.cleaned_data["revision"]
        lay_work.set_options(project=project, fabric=fabric, values=form.values(), seen=seen)
        messages.success(request, "The lay is made anew as asked.")

    return _answered(request, project, fabric, form, do, name="options", at="lay")


@require_POST
def lay_improve(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    """Start a search; where as many run as may, say which."""
    project, fabric = rows(pk, fabric_id)
    form = ImproveForm(request.POST, workroom=request.workroom, draft=LayDraft())

    def do() -> None:
        draft = lay_work.set_options(
            project=project, fabric=fabric, values={"seconds": form.cleaned_data["seconds"]}
        )
        try:
            lay_runs.start(draft=draft)
        except lay_runs.Busy as busy:
            said = ", ".join(f"{run.fabric} for {run.project.title}" for run in busy.runs)
            raise ValidationError(
                f"Two lays are being improved already: {said}. Stop one of them, or wait until it ends."
            ) from busy

    return _answered(request, project, fabric, form, do, name="improve", at="improve")


@require_POST
def lay_shelf(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    """Lay it on the lengths on the shelf before any is bought."""
    project, fabric = rows(pk, fabric_id)

    def do() -> None:
        lay_work.set_options(project=project, fabric=fabric, values={"use_stash": True})

    return _answered(request, project, fabric, _nothing(request), do)


@require_POST
def lay_stop(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    project, fabric = rows(pk, fabric_id)

    def do() -> None:
        draft = lay_work.draft_of(project, fabric)
        if draft is not None:
            lay_runs.stop(draft=draft)

    return _answered(request, project, fabric, _nothing(request), do, at="improve")


@require_POST
def lay_move(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    """Put a panel where the numbers say, and pin it there."""
    project, fabric = rows(pk, fabric_id)
    form = PlaceForm(request.POST, workroom=request.workroom, cloths=cloths_named(project, fabric))

    def do() -> None:
        lay_work.move(draft=_begun(project, fabric), **form.panel(), **form.where())

    return _answered(request, project, fabric, form, do, name="place")


def _panel_post(request: HttpRequest, pk: int, fabric_id: int, change: Change) -> HttpResponse:
    project, fabric = rows(pk, fabric_id)
    form = PanelForm(request.POST, workroom=request.workroom)

    def do() -> None:
        change(draft=_begun(project, fabric), **form.panel())

    return _answered(request, project, fabric, form, do)


@require_POST
def lay_pin(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    return _panel_post(request, pk, fabric_id, lay_work.pin)


@require_POST
def lay_unpin(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    return _panel_post(request, pk, fabric_id, lay_work.unpin)


@require_POST
def lay_unpin_all(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    project, fabric = rows(pk, fabric_id)

    def do() -> None:
        draft = lay_work.draft_of(project, fabric)
        if draft is not None:
            lay_work.unpin_all(draft=draft)

    return _answered(request, project, fabric, _nothing(request), do)


def _nothing(request: HttpRequest) -> StudioForm:
    """A post that carries nothing but its key."""
    return StudioForm(request.POST, workroom=request.workroom)


AT = "projects/<int:pk>/lay/<int:fabric_id>/"
urlpatterns = [
    path(f"{AT}options/", lay_options, name="lay_options"),
    path(f"{AT}improve/", lay_improve, name="lay_improve"),
    path(f"{AT}shelf/", lay_shelf, name="lay_shelf"),
    path(f"{AT}stop/", lay_stop, name="lay_stop"),
    path(f"{AT}move/", lay_move, name="lay_move"),
    path(f"{AT}pin/", lay_pin, name="lay_pin"),
    path(f"{AT}unpin/", lay_unpin, name="lay_unpin"),
    path(f"{AT}unpin-all/", lay_unpin_all, name="lay_unpin_all"),
]
