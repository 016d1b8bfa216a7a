"""How long a photograph of 12 megapixels takes to be stored, and the most memory any allowed file needs."""

import io
import resource
import statistics
import subprocess
import sys
import tempfile
import time

# First of all, for it sets Django up.
from tests.bench.common import in_own_database  # isort: skip

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from projects.activities import photos
from tests import make

LIMIT_S, LIMIT_MB, RUNS = 1.0, 300, 5
LARGEST = {
    "JPEG of 60 megapixels": ("JPEG", "RGB", (8940, 6700), {}),
    "JPEG of 23 megapixels, square": ("JPEG", "RGB", (4799, 4799), {"subsampling": 0}),
    "JPEG in passes, CMYK": ("JPEG", "CMYK", (4000, 3990), {"progressive": True}),
    "PNG, transparent": ("PNG", "RGBA", (4000, 3990), {"compress_level": 1}),
    "GIF, transparent": ("GIF", "P", (4000, 3990), {"transparency": 3}),
    "WebP, transparent": ("WEBP", "RGBA", (4000, 3000), {"method": 0}),
}
"""The most each kind of file may hold."""


def noisy(size: tuple[int, int], spread: int = 30) -> Image.Image:
    """A picture as grainy as a photograph; the same colours each time are not needed, the size is."""
    parts = [Image.effect_noise((size[0] // 4, size[1] // 4), spread) for _ in range(3)]
    return Image.merge("RGB", parts).resize(size)


def twelve_megapixels() -> bytes:
    kept = io.BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6
    noisy((4000, 3000)).save(kept, "JPEG", quality=88, exif=exif)
    return kept.getvalue()


def time_storing() -> bool:
    content, maker, project = twelve_megapixels(), make.person(), make.project()
    times, waits = [], []
    for _ in range(RUNS):
        file = SimpleUploadedFile("front.jpg", content)
        start, clock = time.process_time(), time.perf_counter()
        added = photos.add_photos(files=[file], person=maker, project=project)
        times.append(time.process_time() - start)
        waits.append(time.perf_counter() - clock)
        assert len(added.photos) == 1
    kept = added.photos[0]
    spent = statistics.median(times)
    print(
        f"12 megapixels, {len(content) / 1e6:.1f} MB, turned: {spent:.2f} s of computing, "
        f"{statistics.median(waits):.2f} s on the clock, {kept.size // 1000} kB kept   limit {LIMIT_S:.0f} s"
    )
    return spent < LIMIT_S


def peak_of(name: str) -> int:
    """Peak memory in MB of a process of its own that takes in the largest file of a kind."""
    with tempfile.NamedTemporaryFile(suffix=".bin") as file:
        for task in ("write", "take"):
            told = [sys.executable, "-m", "tests.bench.photo_bench", task, name, file.name]
            done = subprocess.run(told, capture_output=True, text=True, check=True)
    return int(done.stdout.split()[-1])


def write_largest(name: str, path: str) -> None:
    kind, mode, size, how = LARGEST[name]
    Image.MAX_IMAGE_PIXELS = None
    image = noisy(size, 12)
    image = image.quantize(64) if mode == "P" else image.convert(mode)
    image.save(path, kind, **how)


def take_in(path: str) -> None:
    """Take a file in, in a process that has read the whole program, and print the peak."""
    from django.urls import get_resolver

    from projects.activities.photos import intake

    _ = get_resolver().url_patterns
    with open(path, "rb") as file:  # noqa: PTH123
        intake.prepare(file)
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)


def run() -> bool:
    good = time_storing()
    for name in LARGEST:
        peak = peak_of(name)
        good = good and peak < LIMIT_MB
        print(f"{name:32} peak {peak} MB   limit {LIMIT_MB} MB")
    return good


if __name__ == "__main__":
    if sys.argv[1:2] == ["write"]:
        write_largest(*sys.argv[2:])
    elif sys.argv[1:2] == ["take"]:
        take_in(sys.argv[3])
    else:
        raise SystemExit(in_own_database(run))
