"""The owner's page about backups: where the data is, the command, a backup to download."""

import io
import tempfile
from pathlib import Path
from typing import Any

from django.conf import settings
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods

from projects.activities.backup import BackupError, write_backup

from .access import owner_only


class _Passing(io.FileIO):
    """A backup on its way out; once it is closed its folder goes."""

    def __init__(self, file: Path, folder: "tempfile.TemporaryDirectory[str]") -> None:
        super().__init__(file)
        self._folder = folder

    def close(self) -> None:
        super().close()
        self._folder.cleanup()


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
def backup(request: HttpRequest) -> HttpResponse | FileResponse:
    """GET shows the page; POST makes a backup and sends it."""
    name = f"{slugify(request.workroom.name)[:40] or 'studio'}-{timezone.localdate():%Y-%m-%d}.zip"
    context: dict[str, Any] = {"place": settings.DATA_DIR, "file_name": name}
    if request.method != "POST":
        return render(request, "backup.html", context)
    folder = tempfile.TemporaryDirectory(dir=settings.DATA_DIR, prefix=".backup-")
    try:
        report = write_backup(Path(folder.name) / name)
    except BackupError as error:
        folder.cleanup()
        return render(request, "backup.html", {**context, "problem": str(error)}, status=503)
    answer = FileResponse(_Passing(report.path, folder), as_attachment=True, filename=name)
    answer["Cache-Control"] = "private, no-store"
    return answer


urlpatterns = [path("studio/backup/", backup, name="backup")]
