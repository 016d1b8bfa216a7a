"""How much computing the job sheet of a large project takes: 12 pieces, 36 tucks each way, three pictures.

Run: python -m tests.bench.sheet_bench. It works in a database of its own, which it removes.
"""

import base64
import io
import statistics
import time
from datetime import date

# First of all, for it sets Django up.
from tests.bench.common import in_own_database  # isort: skip

from PIL import Image

from projects.activities.panels import sync_panels
from projects.planning import plan_project
from projects.printing.pdf import STATIC, render_pdf
from projects.printing.sheet import Picture, make_sheet, sheet_html
from tests import make

LIMIT_S = 3.0
PIECES, TUCKS, PICTURES, RUNS = 12, 36, 3, 3
MM = 1_000_000
STYLES = {"fonts": "fonts-print", "style": "sheet", "paper_style": "paper-a4"}


def picture(number: int) -> Picture:
    """A picture of 1,000 x 750 px that no compression makes small, as a stored photograph is."""
    noise = Image.effect_noise((1000, 750), 60 + number).convert("RGB")
    kept = io.BytesIO()
    noise.save(kept, "JPEG", quality=82)
    text = base64.b64encode(kept.getvalue()).decode()
    return Picture(f"data:image/jpeg;base64,{text}", f"Sample {number}")


def build() -> object:
    """A project whose pieces have 36 tucks across and along, margins included."""
    room = make.workroom()
    cloth = make.fabric(thickness=160_000)
    side = make.tucks(*make.GRADUATED)
    version = make.version(of=make.content(side, side))
    coat = make.project(client=make.client())
    for number in range(PIECES):
        size = {"across": (426 + number % 4) * MM, "along": (424 + number // 4) * MM}
        piece = make.piece(coat, name=f"Piece {number + 1}", fabric=cloth, version=version, **size)
        sync_panels(piece)
    return room, coat


def render(room: object, coat: object, pictures: list[Picture]) -> int:
    sheet = make_sheet(plan_project(coat), room, today=date(2026, 11, 25), pictures=pictures)
    styles = {key: f"{STATIC}css/{name}.css" for key, name in STYLES.items()}
    return len(render_pdf(sheet_html(sheet, pdf=True, **styles)))


def run() -> bool:
    room, coat = build()
    counts = {line.plan.across.count for piece in plan_project(coat).pieces for line in piece.panels}
    print(f"{PIECES} pieces, tucks each way: {counts} (wanted {TUCKS})")
    pictures = [picture(number) for number in range(PICTURES)]
    render(room, coat, pictures)  # the first print of a process also loads the printer
    times, size = [], 0
    for _ in range(RUNS):
        start = time.process_time()
        size = render(room, coat, pictures)
        times.append(time.process_time() - start)
    spent = statistics.median(times)
    print(f"job sheet: {spent:.2f} s of computing, {size // 1024} kB   limit {LIMIT_S:.0f} s")
    return spent < LIMIT_S


if __name__ == "__main__":
    raise SystemExit(in_own_database(run))
