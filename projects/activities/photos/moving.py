"""Moving a photograph to another row, without uploading it again."""

from typing import Any

from projects.activities import revising
from projects.models import Photo, Step

from .owners import KINDS, Owner, kind_of


def move_photo(photo: Photo, *, revision: int, to: Owner) -> Photo:
    """Tie a photograph to another project, step, sample, fabric or notion; it belongs to that alone.

    What it showed to a client, or on a job sheet, it shows no more once it leaves that project. Raises Stale
    when somebody saved first.
    """
    links: dict[str, Any] = dict.fromkeys(KINDS.values()) | {kind_of(to): to}
    if isinstance(to, Step):
        links["project"] = to.project
    there = links["project"]
    if there is None or there.pk != photo.project_id:
        links |= {"for_client": False, "on_sheet": False}
    return revising.save_changes(photo, revision=revision, changes=links)
