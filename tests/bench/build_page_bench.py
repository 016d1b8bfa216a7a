"""What the build page weighs without its photographs, and what computing it takes: a coat of 12 pieces.

Run: python -m tests.bench.build_page_bench. It works in a database of its own, which it removes. Bytes are
those sent uncompressed: the page, the styles and fonts and the icon it names, each once.
"""

import re
from pathlib import Path

# First of all, for it sets Django up.
from tests.bench.common import in_own_database, measure  # isort: skip

from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from projects.activities import sharing
from projects.activities.panels import sync_panels
from projects.models import Project
from tests import make

MOST_BYTES, MOST_MS = 100_000, 150
PIECES, PHOTOS = 12, 12
NAMED = re.compile(r'(?:href|src)="/static/([^"]+)"')
IN_STYLE = re.compile(r'url\("\.\./([^"]+)"\)')


def build() -> Project:
    """Twelve pieces tucked both ways, otherwise across than along, so that both directions are drawn."""
    make.workroom()
    cloth, side = make.fabric(fibre="linen", colour="chalk white"), make.tucks(*make.GRADUATED)
    version = make.version(of=make.content(side, make.tucks((9, 3), (9, 4), (9, 5), (9, 6))))
    coat = make.project(client_note="The fronts are pressed. " * 12, promised=make.date(2027, 4, 30))
    for number in range(PIECES):
        sync_panels(make.piece(coat, name=f"Piece {number + 1}", fabric=cloth, version=version))
    for number in range(PHOTOS):
        make.photo(coat, for_client=True, caption=f"Tucks of piece {number + 1}, before they are pressed")
    return coat


def files_of(html: str) -> dict[str, int]:
    """Bytes of every file the page loads for a screen, by its name."""
    found: dict[str, int] = {}
    for name in dict.fromkeys(NAMED.findall(html)):
        content = _read(name)
        found[name] = len(content)
        for inside in IN_STYLE.findall(content.decode()) if name.endswith(".css") else ():
            found[inside] = len(_read(inside))
    return found


def _read(name: str) -> bytes:
    return Path(str(finders.find(name))).read_bytes()


def run() -> bool:
    coat = build()
    shows = dict.fromkeys(sharing.SHOWS, True)
    token = sharing.make_link(project=coat, name="Fern", expires_at=None, shows=shows, person=make.person())
    page, where = Client(), reverse("see", args=[token])
    spent, asked = measure(page, where)
    html = page.get(where).content.decode()
    parts = {"the page": len(html.encode()), **files_of(html)}
    for name, size in parts.items():
        print(f"{name:40} {size / 1000:6.1f} kB")
    total = sum(parts.values())
    print(
        f"build page with {PHOTOS} photographs named: {total / 1000:.1f} kB   limit {MOST_BYTES // 1000} kB"
    )
    print(f"computing it: {spent:.1f} ms, {asked} queries   limit {MOST_MS} ms")
    return total < MOST_BYTES and spent < MOST_MS


if __name__ == "__main__":
    raise SystemExit(in_own_database(run))
