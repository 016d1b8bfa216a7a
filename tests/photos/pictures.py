"""Pictures for tests, made here byte by byte or by Pillow: good ones, and broken or hostile ones."""

import io
import struct
import zipfile
import zlib
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageCms, ImageDraw

RED, GREEN, BLUE, WHITE = (255, 0, 0), (0, 160, 0), (0, 0, 255), (255, 255, 255)


def corners(width: int = 400, height: int = 300) -> Image.Image:
    """Red at the top left, green at the top right, blue at the bottom left, white at the bottom right."""
    image = Image.new("RGB", (width, height), WHITE)
    draw = ImageDraw.Draw(image)
    across, down = width // 2, height // 2
    draw.rectangle((0, 0, across - 1, down - 1), fill=RED)
    draw.rectangle((across, 0, width, down - 1), fill=GREEN)
    draw.rectangle((0, down, across - 1, height), fill=BLUE)
    return image


def written(image: Image.Image, kind: str = "JPEG", **how: Any) -> bytes:
    kept = io.BytesIO()
    image.save(kept, kind, **how)
    return kept.getvalue()


def jpeg(width: int = 400, height: int = 300, **how: Any) -> bytes:
    return written(corners(width, height), **how)


def upload(content: bytes, name: str = "front.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, content_type="image/jpeg")


MARK = b"LARKFIELD-SECRET-PLACE"


def located(orientation: int = 1) -> Image.Exif:
    """EXIF as a phone writes it: orientation, maker, and where it was taken."""
    exif = Image.Exif()
    exif[0x0112], exif[0x010F], exif[0x010E] = orientation, MARK.decode(), MARK.decode()
    place = exif.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = "N", (51.0, 30.0, 12.25), "W", (0.0, 7.0, 39.5)
    place[29], place[27] = "2026:03:02", MARK
    return exif


def with_everything(kind: str = "JPEG", orientation: int = 1) -> bytes:
    """A picture with EXIF, position, comment, profile and XMP, all of it marked."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes() + MARK
    how: dict[str, Any] = {"exif": located(orientation), "icc_profile": profile}
    if kind == "JPEG":
        how |= {"comment": MARK, "xmp": b"<x:xmpmeta>" + MARK + b"</x:xmpmeta>"}
    return written(corners(3000, 2000), kind, **how)


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png(width: int, height: int, *more: bytes, depth: int = 8, colour: int = 2, data: bytes = b"") -> bytes:
    """A PNG with any header, whatever its data is."""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0))
    body = chunk(b"IDAT", data or zlib.compress(b"\0" * 10_000))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(more) + body + chunk(b"IEND", b"")


def png_bomb(side: int) -> bytes:
    """A whole, valid PNG of ``side`` x ``side`` px that is tiny as a file."""
    line = zlib.compressobj(9)
    data = b"".join(line.compress(b"\0" * (side // 8 + 1)) for _ in range(side)) + line.flush()
    return png(side, side, depth=1, colour=0, data=data)


def resized_header(content: bytes, width: int, height: int) -> bytes:
    """A JPEG whose frame header says another size."""
    at = next(content.find(marker) for marker in (b"\xff\xc0", b"\xff\xc2") if marker in content)
    return content[: at + 5] + struct.pack(">HH", height, width) + content[at + 9 :]


def gif(width: int, height: int, content: bytes) -> bytes:
    return content[:6] + struct.pack("<HH", width, height) + content[10:]


def webp_header(width: int, height: int) -> bytes:
    body = struct.pack("<I", 0) + (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
    inner = b"WEBPVP8X" + struct.pack("<I", 10) + body
    return b"RIFF" + struct.pack("<I", len(inner)) + inner


def moving(kind: str) -> bytes:
    frames = [corners(40 + 0 * n, 30).rotate(90 * n) for n in range(4)]
    return written(frames[0], kind, save_all=True, append_images=frames[1:], duration=80)


def zipped() -> bytes:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w") as made:
        made.writestr("front.jpg", jpeg())
    return kept.getvalue()


def endless_passes() -> bytes:
    """A progressive JPEG with thousands of passes after its own."""
    whole = jpeg(progressive=True)
    last = whole.rindex(b"\xff\xda")
    return whole[:last] + whole[last:-2] * 3000 + b"\xff\xd9"


def text_bomb(name: bytes, body: bytes) -> bytes:
    """A PNG whose text or profile unpacks to 50 MB."""
    packed = zlib.compress(b"A" * 50_000_000, 9)
    return png(40, 30, chunk(name, body + packed))


SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><script>alert(1)</script></svg>'
HTML = b"<!doctype html><html><body><script>alert(1)</script></body></html>"
PDF = b"%PDF-1.7\n1 0 obj<</Type/Catalog>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF"


def _bare() -> dict[str, bytes]:
    """No picture at all, and too much of one."""
    return {
        "empty.jpg": b"",
        "one byte.jpg": b"\xff",
        "soi only.jpg": b"\xff\xd8",
        "soi and a marker.jpg": b"\xff\xd8\xff",
        "zeros.jpg": bytes(5000),
        "noise.jpg": bytes((n * 7919 + n // 13) % 256 for n in range(5000)),
        "thirty-one megabytes.jpg": jpeg() + bytes(31_000_000),
    }


def _pngs() -> dict[str, bytes]:
    """PNG of sizes, data and texts that are refused."""
    return {
        "png of 200 megapixels.png": png(20_000, 10_000),
        "png of 4 thousand million px.png": png(2**31 - 1, 2**31 - 1),
        "png without width.png": png(0, 100),
        "png of 30 megapixels.png": png(6_000, 5_000),
        "png bomb.png": png_bomb(9_000),
        "png with the wrong data.png": png(400, 300),
        "png with broken data.png": png(40, 30, data=b"\x78\x9c" + b"\xff" * 200),
        "png of an odd depth.png": png(40, 30, depth=7),
        "png with a text bomb.png": text_bomb(b"zTXt", b"Comment\0\0"),
        "png with a profile bomb.png": text_bomb(b"iCCP", b"profile\0\0"),
        "png signature.png": written(corners(200, 150), "PNG")[:8],
    }


def _jpegs() -> dict[str, bytes]:
    """JPEG of sizes, passes and tables that are refused."""
    small, steps = jpeg(), jpeg(progressive=True)
    return {
        "jpeg of 200 megapixels.jpg": resized_header(small, 20_000, 10_000),
        "jpeg of 65535 px squared.jpg": resized_header(small, 65_535, 65_535),
        "jpeg without height.jpg": resized_header(small, 400, 0),
        "passes of 30 megapixels.jpg": resized_header(steps, 6_000, 5_000),
        "endless passes.jpg": endless_passes(),
        "jpeg without a picture.jpg": small[: small.index(b"\xff\xda")],
        "jpeg of markers.jpg": b"\xff\xd8" + b"\xff\xe1\x00\x02" * 4000,
        "jpeg with a length of nothing.jpg": b"\xff\xd8\xff\xe0\x00\x00" + small[6:],
        "jpeg with broken tables.jpg": small.replace(b"\xff\xdb", b"\xff\xdb\x00\x03\x99", 1),
    }


def _moving_and_web() -> dict[str, bytes]:
    """GIF and WebP of sizes that are refused, and pictures that move."""
    drawn = corners(200, 150)
    return {
        "gif of 65535 px squared.gif": gif(65_535, 65_535, written(drawn, "GIF")),
        "gif header.gif": b"GIF89a",
        "gif without a picture.gif": b"GIF89a" + struct.pack("<HH", 40, 30) + b"\0\0\0;",
        "webp of 200 megapixels.webp": webp_header(20_000, 10_000),
        "webp of 15 megapixels.webp": webp_header(5_000, 3_000),
        "webp header.webp": webp_header(40, 30),
        "webp of another kind.webp": b"RIFF\x20\0\0\0WEBPVP9 " + bytes(40),
        "moving.gif": moving("GIF"),
        "moving.webp": moving("WEBP"),
        "moving.png": moving("PNG"),
    }


def _foreign() -> dict[str, bytes]:
    """Other kinds of files under the names of pictures."""
    drawn = corners(200, 150)
    return {
        "svg.jpg": SVG,
        "svg with a head.png": b"<?xml version='1.0'?>\n<!-- made by hand -->\n" + SVG,
        "html.jpg": HTML,
        "text.jpg": b"Buttons: 12, shell\n" * 40,
        "page.pdf": PDF,
        "pdf.jpg": PDF,
        "zip.jpg": zipped(),
        "tiff.jpg": written(drawn, "TIFF"),
        "bmp.jpg": written(drawn, "BMP"),
        "avif.jpg": written(drawn, "AVIF"),
        "heic.heic": b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(400),
        "film.mp4": b"\0\0\0\x18ftypisom\0\0\0\0isommp42" + bytes(400),
        "program.jpg": b"MZ" + bytes(500),
        "layers.jpg": b"8BPS" + bytes(100),
        "postscript.jpg": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\nshowpage\n",
        "fits.jpg": b"SIMPLE  =                    T" + b" " * 2850,
        "icon.jpg": written(drawn, "ICO"),
    }

def _cut_short() -> dict[str, bytes]:
    """Good pictures that end too early."""
    drawn = corners(200, 150)
    whole = {
        "jpeg cut at {} %.jpg": jpeg(),
        "png cut at {} %.png": written(drawn, "PNG"),
        "webp cut at {} %.webp": written(drawn, "WEBP"),
        "gif cut at {} %.gif": written(drawn, "GIF"),
        "passes cut at {} %.jpg": jpeg(progressive=True),
    }
    parts = (10, 30, 60, 90)
    return {name.format(p): data[: len(data) * p // 100] for name, data in whole.items() for p in parts}


def hostile() -> dict[str, bytes]:
    """Name -> content of files that are refused. Each is made anew; none is larger than 31 MB."""
    return {**_bare(), **_pngs(), **_jpegs(), **_moving_and_web(), **_foreign(), **_cut_short()}
