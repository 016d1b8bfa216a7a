"""What is kept of a good picture: turned right, in sRGB, in three sizes, without what the camera wrote."""

import io
import threading
import zlib
from typing import Any

import pytest
from PIL import Image, ImageCms, ImageFile

from projects.activities.photos import Refused, intake
from projects.activities.photos.files import SIZES
from projects.activities.photos.header import read_header

from . import pictures
from .pictures import BLUE, GREEN, MARK, RED, WHITE


def prepared(content: bytes) -> intake.Prepared:
    return intake.prepare(io.BytesIO(content))


def opened(made: intake.Prepared, size: str) -> Image.Image:
    return Image.open(io.BytesIO(made.contents[size]))


def near(found: Any, wanted: tuple[int, int, int], within: int = 12) -> bool:
    return all(abs(a - b) <= within for a, b in zip(found, wanted, strict=True))


def corner_colours(image: Image.Image) -> list[tuple[int, ...]]:
    """The colours in the middle of each quarter: top left, top right, bottom left, bottom right."""
    across, down = image.width // 4, image.height // 4
    return [image.getpixel((x, y)) for y in (down, 3 * down) for x in (across, 3 * across)]


def assert_corners(image: Image.Image, wanted: list[tuple[int, int, int]]) -> None:
    found = corner_colours(image)
    assert all(near(a, b) for a, b in zip(found, wanted, strict=True)), f"{found} instead of {wanted}"


def test_three_sizes_and_never_larger_than_it_was() -> None:
    made = prepared(pictures.jpeg(4000, 3000))
    assert {name: opened(made, name).size for name in SIZES} == {
        "full": (2400, 1800), "page": (1000, 750), "thumb": (320, 240),
    }
    small = prepared(pictures.jpeg(500, 200))
    assert [opened(small, name).size for name in ("full", "page", "thumb")] == [(500, 200)] * 2 + [(320, 128)]
    assert (small.width, small.height) == (500, 200)
    assert all(opened(made, name).format == "JPEG" for name in SIZES)


@pytest.mark.parametrize("size", [(5000, 1), (1, 5000), (1, 1), (9000, 300)])
def test_odd_shapes_keep_a_pixel(size: tuple[int, int]) -> None:
    made = prepared(pictures.written(Image.new("RGB", size, "teal")))
    assert max(opened(made, "thumb").size) == min(320, max(size))


TURNED = {
    1: [RED, GREEN, BLUE, WHITE], 2: [GREEN, RED, WHITE, BLUE], 3: [WHITE, BLUE, GREEN, RED],
    4: [BLUE, WHITE, RED, GREEN], 5: [RED, BLUE, GREEN, WHITE], 6: [BLUE, RED, WHITE, GREEN],
    7: [WHITE, GREEN, BLUE, RED], 8: [GREEN, WHITE, RED, BLUE],
}
"""EXIF 2.3: where the camera's first row and first column lie, so what each number has to become."""


@pytest.mark.parametrize("number", TURNED)
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_it_is_turned_right(number: int, kind: str) -> None:
    content = pictures.written(pictures.corners(600, 400), kind, exif=pictures.located(number))
    made = prepared(content)
    wide = number < 5
    for name in SIZES:
        image = opened(made, name)
        assert (image.width > image.height) == wide
        assert_corners(image, TURNED[number])
    assert (made.width, made.height) == ((600, 400) if wide else (400, 600))


@pytest.mark.parametrize("number", [0, 9, 77, 65535])
def test_a_number_that_turns_nothing_is_passed_over(number: int) -> None:
    made = prepared(pictures.jpeg(exif=pictures.located(number)))
    assert_corners(opened(made, "full"), TURNED[1])


@pytest.mark.parametrize("broken", [
    b"Exif\0\0", b"Exif\0\0II*\0", b"Exif\0\0II*\0\xff\xff\xff\xff",
    b"Exif\0\0MM\0*\0\0\0\x08\xff\xff" + b"\1" * 99,
    b"Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x02\0\xff\xff\xff\x7f\0\0\0\0", b"Exif\0\0" + b"\xff" * 65_000,
])
def test_exif_that_is_broken_or_huge_spoils_nothing(broken: bytes) -> None:
    made = prepared(pictures.jpeg(exif=broken))
    assert_corners(opened(made, "full"), TURNED[1])


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_nothing_of_what_the_camera_wrote_stays(kind: str) -> None:
    content = pictures.with_everything(kind, orientation=6)
    assert content.count(MARK) >= 2, "the test's own picture holds nothing to remove"
    made = prepared(content)
    for name, kept in made.contents.items():
        assert MARK not in kept and b"Exif" not in kept and b"ICC_PROFILE" not in kept, name
        assert b"http" not in kept and b"2026:03:02" not in kept
        image = Image.open(io.BytesIO(kept))
        assert not image.getexif() and not {"comment", "icc_profile", "exif", "xmp"} & set(image.info)


def test_a_comment_of_a_small_picture_goes_too() -> None:
    made = prepared(pictures.jpeg(100, 80, comment=MARK, exif=pictures.located()))
    assert not [name for name, kept in made.contents.items() if MARK in kept]


def test_a_picture_with_another_behind_it_is_one_photograph() -> None:
    """Phones put a second picture (for depth or brightness) into the same file."""
    first, second = pictures.corners(800, 600), Image.new("RGB", (80, 60))
    content = pictures.written(first, "MPO", save_all=True, append_images=[second])
    assert_corners(opened(prepared(content), "full"), TURNED[1])


GREY = (128, 128, 128)
MODES = {
    "L": (128, GREY), "LA": ((128, 255), GREY), "1": (1, WHITE), "I;16": (32_768, GREY),
    "RGBA": ((0, 160, 0, 255), GREEN), "CMYK": ((255, 0, 255, 95), GREEN), "YCbCr": ((94, 75, 61), GREEN),
}


@pytest.mark.parametrize("mode", MODES)
def test_every_kind_of_pixels_becomes_plain_colour(mode: str) -> None:
    shade, wanted = MODES[mode]
    kind = "JPEG" if mode in ("CMYK", "YCbCr") else "PNG"
    made = opened(prepared(pictures.written(Image.new(mode, (40, 30), shade), kind)), "full")
    assert made.mode == "RGB" and near(made.getpixel((20, 15)), wanted)


def test_a_palette_becomes_plain_colour() -> None:
    made = opened(prepared(pictures.written(pictures.corners().quantize(8), "GIF")), "full")
    assert made.mode == "RGB"
    assert_corners(made, TURNED[1])


def test_sixteen_bits_a_colour() -> None:
    line = b"\0" + (b"\0\0" + b"\xa0\x00" + b"\0\0") * 40
    content = pictures.png(40, 30, depth=16, colour=2, data=zlib.compress(line * 30))
    assert near(opened(prepared(content), "full").getpixel((20, 15)), GREEN)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_what_is_transparent_lies_on_white(kind: str) -> None:
    image = Image.new("RGBA", (40, 30), (200, 0, 0, 0))
    image.paste((0, 0, 255, 255), (0, 0, 20, 30))
    how = {"lossless": True} if kind == "WEBP" else {}
    made = opened(prepared(pictures.written(image, kind, **how)), "full")
    assert near(made.getpixel((5, 15)), BLUE) and near(made.getpixel((35, 15)), WHITE)


@pytest.mark.parametrize("kind", ["PNG", "GIF"])
def test_a_transparent_colour_of_a_palette_lies_on_white(kind: str) -> None:
    image = Image.new("P", (40, 30), 0)
    image.putpalette([200, 0, 0, 0, 0, 255])
    image.paste(1, (0, 0, 20, 30))
    made = opened(prepared(pictures.written(image, kind, transparency=0)), "full")
    assert near(made.getpixel((5, 15)), BLUE) and near(made.getpixel((35, 15)), WHITE)


def lab_profile() -> bytes:
    """A real profile: Lab, so that its numbers are no red, green and blue."""
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()


def swapped_profile() -> bytes:
    """sRGB's profile with red and blue swapped: a reader that heeds it swaps them back."""
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return plain.replace(b"rXYZ", b"tmp1").replace(b"bXYZ", b"rXYZ").replace(b"tmp1", b"bXYZ")


def test_colours_follow_the_pictures_own_profile() -> None:
    made = prepared(pictures.jpeg(icc_profile=swapped_profile()))
    assert_corners(opened(made, "page"), [BLUE, GREEN, RED, WHITE])


GARBAGE = [b"\0" * 128, b"garbage", b"\xff" * 3000, b"acsp" * 60_000]


@pytest.mark.parametrize("profile", [*GARBAGE, lab_profile()])
def test_a_profile_that_can_not_be_read_is_passed_over(profile: bytes) -> None:
    assert_corners(opened(prepared(pictures.jpeg(icc_profile=profile)), "full"), TURNED[1])


def test_wrong_extensions_do_not_matter() -> None:
    file = pictures.upload(pictures.written(pictures.corners(), "PNG"), "front.svg")
    assert intake.prepare(file).width == 400


def test_broken_pictures_are_refused_after_a_print_allowed_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """The printer's library lets every picture of the process be cut short."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    whole = pictures.jpeg()
    with pytest.raises(Refused, match="cut short"):
        prepared(whole[: len(whole) * 2 // 3])


def test_one_picture_is_unpacked_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    inside, most = [], []
    plain = intake._read

    def reading(*what: Any) -> Image.Image:
        inside.append(1)
        most.append(len(inside))
        done = plain(*what)
        inside.pop()
        return done

    monkeypatch.setattr(intake, "_read", reading)
    content = pictures.jpeg(1500, 1000)
    threads = [threading.Thread(target=prepared, args=(content,)) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(most) == 6 and max(most) == 1


def test_the_header_is_what_pillow_finds() -> None:
    whole = [
        pictures.jpeg(401, 299), pictures.jpeg(401, 299, progressive=True), pictures.with_everything(),
        *(pictures.written(pictures.corners(401, 299), kind) for kind in ("PNG", "GIF", "WEBP")),
        pictures.written(pictures.corners(401, 299), "WEBP", lossless=True),
        pictures.written(pictures.corners(401, 299).convert("RGBA"), "WEBP", exif=pictures.located()),
    ]
    for content in whole:
        header = read_header(io.BytesIO(content))
        found = Image.open(io.BytesIO(content))
        assert (header.kind, header.width, header.height) == (found.format, *found.size)
        assert header.passes == bool(found.info.get("progressive"))


def test_a_drawn_picture_is_kept_alike() -> None:
    drawn = pictures.corners(3000, 2000).convert("RGBA")
    drawn.info["comment"] = MARK
    made = intake.prepare_drawn(drawn)
    assert made.width == 2400 and MARK not in b"".join(made.contents.values())
    assert drawn.size == (3000, 2000) and drawn.mode == "RGBA"
    assert_corners(opened(made, "thumb"), TURNED[1])
