"""The build page as HTML, for the client's browser and for the PDF of the same content."""

import base64
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string

from projects.calc.lengths import System
from projects.drawings.texture import texture
from projects.planning.build_page import BuildPage, PhotoShown

from .pdf import STATIC, render_pdf


@dataclass(frozen=True, slots=True)
class Picture:
    """A photograph as the template shows it: where it is fetched from and its size as shown (pixels)."""

    address: str
    large: str
    caption: str
    width: int
    height: int


LONGER_SIDE = 1000
"""Pixels of the size of photograph that the page shows."""


def pictures(photos: Sequence[PhotoShown], address: Callable[[str, str], str]) -> tuple[Picture, ...]:
    """Photographs for the page; ``address`` tells where the file of a key and a size is."""
    return tuple(
        Picture(address(p.key, "page"), address(p.key, "full"), p.caption, *_fitted(p.width, p.height))
        for p in photos
    )


def _fitted(width: int, height: int) -> tuple[int, int]:
    longer = max(width, height, 1)
    if longer <= LONGER_SIDE:
        return width, height
    return max(1, width * LONGER_SIDE // longer), max(1, height * LONGER_SIDE // longer)


def build_page_html(page: BuildPage, photos: Sequence[Picture], **extra: Any) -> str:
    """The whole page. It is rendered without a request: nothing of who asks can reach it."""
    drawings = texture(page.texture, System(page.units)) if page.texture else ()
    context = {"page": page, "photos": photos, "drawings": drawings, **extra}
    return render_to_string("see/page.html", context)


def build_page_pdf(page: BuildPage, photos: Sequence[Picture]) -> bytes:
    """The page on paper. ``photos`` have ``data:`` addresses: a print fetches nothing."""
    names = {"fonts": "fonts-print", "style": "see", "print_style": "see-print"}
    styles = {key: f"{STATIC}css/{name}.css" for key, name in names.items()}
    paper = f"{STATIC}css/paper-{page.paper.lower()}.css"
    return render_pdf(build_page_html(page, photos, pdf=True, paper_style=paper, **styles))


def printable(photos: Sequence[PhotoShown], file_of: Callable[[str], Path]) -> tuple[Picture, ...]:
    """Photographs with what is in their files; one whose file is missing is left out."""
    read = [(photo, file_of(photo.key)) for photo in photos]
    found = [(photo, _data(file)) for photo, file in read if file.is_file()]
    return tuple(Picture(data, "", p.caption, *_fitted(p.width, p.height)) for p, data in found)


def _data(file: Path) -> str:
    return "data:image/jpeg;base64," + base64.b64encode(file.read_bytes()).decode()
