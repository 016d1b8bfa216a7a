"""Pages of photographs: all of a row with a form to add some, one by itself, and its file."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import photos as activity
from projects.activities import steps
from projects.forms.photo import PhotoForm, PhotosForm
from projects.models import Fabric, Notion, Photo, Project, Sample, Step

from . import posts
from .bench_ways import way_from, way_to
from .editing import keep, offer_undo, save
from .photo_strip import address_of
from .uploads import takes_up_to

PAGE = 48
TOLD = 20
MOST_BYTES = 620_000_000
"""Twenty files of the largest size, and what comes with them."""
ROWS = {"sample": Sample, "fabric": Fabric, "notion": Notion}
Row = Project | Sample | Fabric | Notion
NAV = {"project": "projects", "sample": "recipes", "fabric": "cloth", "notion": "cloth"}


@takes_up_to(MOST_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
def project_photos(request: HttpRequest, pk: int) -> HttpResponse:
    """All photographs of a project, or those of one of its steps (``step`` is the step's key)."""
    project = get_object_or_404(Project.objects.live(), pk=pk)
    key = (request.POST if request.method == "POST" else request.GET).get("step", "")
    if not key:
        context = {"row": project, "back": page_of(project)}
        return _photos(request, project, activity.photos_of(project), context)
    try:
        step, title = steps.look_up(project=project, key=key)
    except steps.StepGone:
        raise Http404("no such step") from None
    rows = activity.photos_of(step) if step else Photo.objects.none()
    back = f"{reverse('steps', args=[pk])}#step-{key}"
    way = way_to(project, key, request.GET.get("unit", ""))
    context = {"row": project, "step": title, "key": key, "back": back, "way": way}
    return _photos(request, project, rows, context)


@takes_up_to(MOST_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
def photos_of(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """All photographs of a sample, a fabric or a notion."""
    if kind not in ROWS:
        raise Http404("photographs are of samples, fabrics and notions")
    rows = ROWS[kind].objects.live()
    if kind == "sample":
        rows = rows.filter(version__recipe__deleted_at=None).select_related("version__recipe", "fabric")
    row = get_object_or_404(rows, pk=pk)
    return _photos(request, row, activity.photos_of(row), {"row": row, "back": page_of(row)})


def page_of(row: Row) -> str:
    """The page of what a photograph shows, where the strip is."""
    kind = activity.kind_of(row)
    return f"{reverse(kind, args=[row.pk])}#photos"


def _photos(request: HttpRequest, row: Row, found: Any, context: dict[str, Any]) -> HttpResponse:
    key = context.get("key", "")
    rows = Paginator(found.select_related("step", "added_by"), PAGE).get_page(request.GET.get("page"))
    way = context.get("way")
    kept = keep(step=key, unit=str(way.unit) if way and way.unit else "")
    context |= {"rows": rows, "keep": kept, "nav": NAV[activity.kind_of(row)]}
    if request.method != "POST":
        caption = way.caption if way else ""
        form = PhotosForm(workroom=request.workroom, initial={"step": key, "caption": caption})
        return posts.show(request, "photos/photos.html", {**context, "form": form})
    form = PhotosForm(request.POST, request.FILES, workroom=request.workroom)
    here = f"{address_of(row)}?{kept}".rstrip("?&")

    def do() -> str:
        _add(request, form, row, key)
        if way and way.unit:
            return str(way.url)
        return context["back"] if form.cleaned_data["stay"] else here

    return save(request, form, do, page="photos/photos.html", context=context, back=here)


def _add(request: HttpRequest, form: PhotosForm, row: Row, key: str) -> None:
    """Keep what is good, and say of each other file why it is not; raises when nothing was good."""
    of = {"step": _step(row, key)} if key else {activity.kind_of(row): row}
    data = form.cleaned_data
    added = activity.add_photos(files=data["photos"], person=request.user, caption=data["caption"], **of)
    told = [f"“{name[:60]}” was not kept. {reason}" for name, reason in added.refused]
    if len(told) > TOLD:
        told[TOLD:] = [f"{len(told) - TOLD} more were not kept."]
    if not added.photos:
        raise ValidationError({"photos": told})
    count = len(added.photos)
    activity.clear_old(timezone.now())
    messages.success(request, f"{count} photographs added." if count > 1 else "The photograph was added.")
    for text in told:
        messages.warning(request, text)


def _step(project: Row, key: str) -> Step:
    """The step's row, made where nobody touched it yet."""
    try:
        return steps.row_for(project=project, key=key)
    except steps.StepGone:
        raise Http404("no such step") from None


def photo_of(pk: int) -> Photo:
    """A photograph that may be seen, with what it is of; or 404."""
    linked = ("project", "step", "sample__version__recipe", "sample__fabric", "fabric", "notion", "added_by")
    return get_object_or_404(activity.seen().select_related(*linked), pk=pk)


def row_of(photo: Photo) -> Row:
    """What a photograph is of; of a step, its project."""
    return photo.project or photo.sample or photo.fabric or photo.notion


@require_http_methods(["GET", "HEAD", "POST"])
def photo(request: HttpRequest, pk: int) -> HttpResponse:
    """One photograph: what it shows, its caption, and where else it is seen."""
    row = photo_of(pk)
    form = PhotoForm(request.POST or None, instance=row, workroom=request.workroom)
    here, of = reverse("photo", args=[pk]), row_of(row)
    context = {
        "photo": row, "form": form, "nav": NAV[activity.kind_of(of)],
        "row": of, "row_page": page_of(of), "all": address_of(of), "way": way_from(row),
    }
    if request.method != "POST":
        return posts.show(request, "photos/photo.html", context)

    def do() -> str:
        revision = form.cleaned_data["revision"] or 0
        activity.change_photo(row, revision=revision, changes=form.changes())
        messages.success(request, "Saved.")
        return here

    return save(request, form, do, page="photos/photo.html", context=context, back=here)


@require_POST
def photo_delete(request: HttpRequest, pk: int) -> HttpResponse:
    row = photo_of(pk)

    def do() -> str:
        deletion = activity.delete_photo(row, person=request.user)
        offer_undo(request, "The photograph was deleted.", deletion)
        return address_of(row_of(row))

    return posts.once(request, do)


@require_safe
def photo_file(request: HttpRequest, key: str, size: str) -> HttpResponse:
    """The JPEG itself, for whoever is signed in. It never changes, so browsers may keep it."""
    row = get_object_or_404(activity.seen(), key=key)
    try:
        content = activity.photo_file_path(row, size).read_bytes()
    except (KeyError, FileNotFoundError):
        raise Http404("no such size, or its file is missing") from None
    answer = HttpResponse(content, content_type="image/jpeg")
    answer["Cache-Control"] = "private, max-age=31536000, immutable"
    answer["Content-Security-Policy"] = "default-src 'none'; sandbox"
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cross-Origin-Resource-Policy"] = "same-origin"
    return answer


urlpatterns = [
    path("projects/<int:pk>/photos/", project_photos, name="project_photos"),
    path("photos/of/<slug:kind>/<int:pk>/", photos_of, name="photos_of"),
    path("photos/<int:pk>/", photo, name="photo"),
    path("photos/<int:pk>/delete/", photo_delete, name="photo_delete"),
    path("photos/<slug:key>/<slug:size>.jpg", photo_file, name="photo_file"),
]
