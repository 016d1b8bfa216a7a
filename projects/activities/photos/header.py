"""What a file says it is, read from its first bytes before anything is unpacked.

Layouts: JPEG after ITU-T T.81, annex B; PNG after ISO/IEC 15948; GIF89a; WebP after RFC 9649.
"""

import struct
from dataclasses import dataclass
from typing import BinaryIO

MOST_BYTES = 30_000_000
MOST_PIXELS = 60_000_000
MOST_PASSES = 100
"""A JPEG built up in more passes than this was made to keep a computer busy."""

ROOM = {"JPEG": 60, "passes": 16, "PNG": 16, "GIF": 16, "WEBP": 12}
"""Megapixels that unpack within the memory one photograph may take. A JPEG can be unpacked smaller than it
is, unless it is built up in passes, for which all of it has to be held; a WebP is held four times over."""

FOREIGN = (
    (b"%PDF", "This is a PDF. Take a picture of it, or save its page as a JPEG."),
    (b"PK\x03\x04", "This is a zip or an office file. Send the pictures in it one by one."),
    (b"II*\x00", "This is a TIFF or a camera's raw file. Save it as a JPEG and send that."),
    (b"MM\x00*", "This is a TIFF or a camera's raw file. Save it as a JPEG and send that."),
    (b"BM", "This is a BMP picture. Save it as a JPEG and send that."),
    (b"8BPS", "This is a layered picture (PSD). Save it as a JPEG and send that."),
    (b"%!PS", "This is a PostScript file. Save it as a JPEG and send that."),
    (b"MZ", "This is a program, not a photograph."),
    (b"\x7fELF", "This is a program, not a photograph."),
)
BRANDS = {
    b"avif": "This is an AVIF picture. Save it as a JPEG and send that.",
    b"avis": "This is an AVIF picture. Save it as a JPEG and send that.",
}
HEIC = (
    "This is a HEIC picture. On the phone, set the camera to save JPEG (“Most compatible”), or save this one "
    "as a JPEG, and send that."
)
FILM = "This is a film. Send a single picture of it."
UNKNOWN = "This is not a photograph that can be read. Send a JPEG, PNG, WebP or GIF."
CUT_SHORT = "The file is broken or was cut short on its way. Send it again."


class Refused(Exception):
    """This file is not taken in. The text says what it is and what to do."""


@dataclass(frozen=True, slots=True)
class Header:
    """The kind of picture, as Pillow names it, its size in px, and whether it is built up in passes."""

    kind: str
    width: int
    height: int
    passes: bool = False


def read_header(file: BinaryIO) -> Header:
    """The header of a picture small enough to unpack. Raises ``Refused`` for everything else."""
    size = file.seek(0, 2)
    file.seek(0)
    if not size:
        raise Refused("The file is empty. Choose the picture again.")
    if size > MOST_BYTES:
        raise Refused(
            f"The file has {-(-size // 1_000_000)} MB; at most {MOST_BYTES // 1_000_000} are taken. "
            "Send a smaller picture."
        )
    try:
        header = _read(file)
    except (struct.error, IndexError):
        raise Refused(CUT_SHORT) from None
    _check_room(header)
    return header


def _read(file: BinaryIO) -> Header:
    start = file.read(64)
    if start.startswith(b"\xff\xd8\xff"):
        return _jpeg(file)
    if start.startswith(b"\x89PNG\r\n\x1a\n"):
        return Header("PNG", *struct.unpack(">II", start[16:24]))
    if start[:6] in (b"GIF87a", b"GIF89a"):
        return Header("GIF", *struct.unpack("<HH", start[6:10]))
    if start.startswith(b"RIFF") and start[8:12] == b"WEBP":
        return Header("WEBP", *_webp_size(start))
    raise Refused(_foreign(start, file))


def _foreign(start: bytes, file: BinaryIO) -> str:
    """What is known of a file that is no photograph."""
    if start[4:8] == b"ftyp":
        brand = start[8:12]
        return BRANDS.get(brand, HEIC if brand in (b"heic", b"heix", b"heif", b"mif1", b"msf1") else FILM)
    for magic, reason in FOREIGN:
        if start.startswith(magic):
            return reason
    text = (start + file.read(1000)).lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if b"<svg" in text:
        return "This is a drawing (SVG). Save it as a PNG or JPEG and send that."
    if text.startswith((b"<!doctype", b"<html", b"<?xml", b"<")):
        return "This is a web page or other text, not a photograph."
    return UNKNOWN


def _webp_size(start: bytes) -> tuple[int, int]:
    kind, body = start[12:16], start[20:]
    if kind == b"VP8X":
        return 1 + int.from_bytes(body[4:7], "little"), 1 + int.from_bytes(body[7:10], "little")
    if kind == b"VP8L":
        bits = struct.unpack("<I", body[1:5])[0]
        return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
    if kind == b"VP8 ":
        width, height = struct.unpack("<HH", body[6:10])
        return width & 0x3FFF, height & 0x3FFF
    raise Refused(CUT_SHORT)


FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
ALONE = frozenset(range(0xD0, 0xD8)) | {0x01}


def _jpeg(file: BinaryIO) -> Header:
    """Walks from marker to marker until the picture itself begins."""
    file.seek(2)
    width = height = parts = 0
    progressive = False
    while True:
        marker = _marker(file)
        if marker in ALONE:
            continue
        body = file.read(struct.unpack(">H", file.read(2))[0] - 2)
        if marker in FRAMES:
            height, width, parts = struct.unpack(">HHB", body[1:6])
            progressive = marker == 0xC2
        if marker == 0xDA:
            break
    if progressive and _passes(file) > MOST_PASSES:
        raise Refused("This JPEG is built up in too many passes. Save it anew and send that.")
    return Header("JPEG", width, height, passes=progressive or body[0] < parts)


def _marker(file: BinaryIO) -> int:
    found = file.read(1)
    if found != b"\xff":
        raise Refused(CUT_SHORT)
    while found == b"\xff":
        found = file.read(1)
    return found[0]


def _passes(file: BinaryIO) -> int:
    """Passes that follow the first: within them 0xFF stands for itself only as a marker."""
    return 1 + file.read().count(b"\xff\xda")


def _check_room(header: Header) -> None:
    pixels = header.width * header.height
    if not pixels:
        raise Refused(CUT_SHORT)
    most = ROOM["passes" if header.passes else header.kind]
    if pixels <= most * 1_000_000:
        return
    held = f"It has {-(-pixels // 1_000_000)} megapixels"
    if pixels > MOST_PIXELS or header.kind == "JPEG" and not header.passes:
        raise Refused(f"{held}; at most 60 are taken. Send a smaller picture.")
    kind = "JPEG built up in passes" if header.passes else header.kind.replace("WEBP", "WebP")
    raise Refused(f"{held}; a {kind} may have {most}. Save it as an ordinary JPEG, which may have 60.")
