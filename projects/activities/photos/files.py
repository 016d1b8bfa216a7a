"""Where the files of photographs lie, and writing them whole or not at all."""

import contextlib
import os
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from django.conf import settings

from projects.models import Photo

SIZES = {"thumb": 320, "page": 1000, "full": 2400}
"""The longer side of each size kept, in px; a smaller photograph is never enlarged."""

UNFINISHED = ".part-"
KEY = re.compile(r"[0-9a-f]{32}")


def photo_file_path(photo: Photo, size: str) -> Path:
    """The JPEG of a photograph in one of ``SIZES``, there or not. Raises KeyError for another size."""
    return _place(photo.key, size)


def _place(key: str, size: str) -> Path:
    if size not in SIZES or not KEY.fullmatch(key):
        raise KeyError(f"no photograph has a file {size!r} under {key!r}; sizes are {', '.join(SIZES)}")
    return Path(settings.MEDIA_ROOT) / key[:2] / f"{key}-{size}.jpg"


def write_unfinished(key: str, contents: Mapping[str, bytes]) -> None:
    """Write each size under a name that no page and no backup knows, and wait until it lies on the disk."""
    folder = _place(key, "full").parent
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    for size, content in contents.items():
        handle = os.open(_unfinished(key, size), os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())


def finish(key: str) -> None:
    """Give the files of a photograph their names."""
    for size in SIZES:
        _unfinished(key, size).replace(_place(key, size))
    _settle(_place(key, "full").parent)


def _settle(folder: Path) -> None:
    """Wait until the names in a folder lie on the disk as well."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def remove(key: str) -> None:
    """Remove every file of a photograph, finished or not; an empty folder goes with it."""
    for size in SIZES:
        _unfinished(key, size).unlink(missing_ok=True)
        _place(key, size).unlink(missing_ok=True)
    # Another photograph lies in it, or is just being written: then the folder stays.
    with contextlib.suppress(OSError):
        _place(key, "full").parent.rmdir()


def unfinished() -> Iterator[Path]:
    """Files that were being written or received; old ones were left by a computer that stopped meanwhile."""
    yield from Path(settings.MEDIA_ROOT).glob(f"*/{UNFINISHED}*")
    yield from Path(settings.FILE_UPLOAD_TEMP_DIR).glob("*.upload*")


def _unfinished(key: str, size: str) -> Path:
    place = _place(key, size)
    return place.with_name(UNFINISHED + place.name)
