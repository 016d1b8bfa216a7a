"""What a photograph can be of, and which photographs may be seen."""

from django.db.models import Count, Q, QuerySet

from projects.models import Fabric, Notion, Photo, Project, Sample, Step

Owner = Project | Step | Sample | Fabric | Notion
KINDS: dict[type, str] = {
    Project: "project",
    Step: "step",
    Sample: "sample",
    Fabric: "fabric",
    Notion: "notion",
}


def kind_of(row: Owner) -> str:
    """The field of ``Photo`` that names such a row."""
    return KINDS[type(row)]


def seen() -> QuerySet[Photo]:
    """Photographs that may be seen: neither they nor what they are of was deleted."""
    there = {"project__deleted_at": None, "fabric__deleted_at": None, "notion__deleted_at": None}
    return Photo.objects.live().filter(
        # A join that finds no row is empty as well, so photographs of other things pass.
        Q(sample__deleted_at=None) & Q(sample__version__recipe__deleted_at=None),
        **there,
    )


def photos_of(row: Owner) -> QuerySet[Photo]:
    """The living photographs of a row, newest first; of a project those of its steps too."""
    return Photo.objects.live().filter(**{kind_of(row): row}).order_by("-pk")


def counts_by_step(project: Project) -> dict[int, int]:
    """How many living photographs each step's row of a project has; rows without one are missing."""
    found = Photo.objects.live().filter(project=project, step__isnull=False).order_by()
    return dict(found.values_list("step").annotate(count=Count("pk")))


def of_all(*rows: Owner) -> list[Photo]:
    """The living photographs of rows that are deleted together, to go with them."""
    wanted = Q()
    for row in rows:
        wanted |= Q(**{kind_of(row): row})
    return list(Photo.objects.live().filter(wanted)) if rows else []
