"""Taking a picture in: checked, turned right, drawn anew in three sizes without what the camera wrote.

Nothing here touches the database. One picture is unpacked at a time in a process, so that several makers
who send photographs at once don't need several times the memory.
"""

import threading
import warnings
from dataclasses import dataclass
from io import BytesIO
from typing import BinaryIO

from PIL import Image, ImageFile

from . import colours
from .files import SIZES
from .header import CUT_SHORT, MOST_PIXELS, Header, Refused, read_header

QUALITY = {"thumb": 80, "page": 82, "full": 85}
ORIENTATION = 0x0112
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""What turns a picture right, by the number its EXIF holds (EXIF 2.3, tag Orientation)."""

_ONE_AT_A_TIME = threading.Lock()

# The header is checked before; should a file say something else once it is opened, this stops it.
Image.MAX_IMAGE_PIXELS = MOST_PIXELS
warnings.simplefilter("error", Image.DecompressionBombWarning)


@dataclass(frozen=True, slots=True)
class Prepared:
    """The JPEG of each size, and the width and height in px of the largest."""

    contents: dict[str, bytes]
    width: int
    height: int


def prepare(file: BinaryIO) -> Prepared:
    """Make the files that are kept of an upload. Raises ``Refused`` with a plain reason."""
    header = read_header(file)
    file.seek(0)
    with _ONE_AT_A_TIME:
        # The printer lets broken pictures through for the whole process; photographs are kept whole only.
        ImageFile.LOAD_TRUNCATED_IMAGES = False
        try:
            return _sizes(_read(file, header))
        except Refused:
            raise
        except MemoryError:
            raise Refused("There is not enough memory to unpack it. Send a smaller picture.") from None
        except Exception:
            # Decoders break on hostile bytes in many ways (OSError, SyntaxError, ValueError ...).
            raise Refused(CUT_SHORT) from None


def prepare_drawn(image: Image.Image) -> Prepared:
    """Make the files of a picture that the studio drew itself."""
    with _ONE_AT_A_TIME:
        image = _shrunk(colours.countable(image.copy()), SIZES["full"])
        return _sizes(colours.to_srgb(image, None))


def _read(file: BinaryIO, header: Header) -> Image.Image:
    """The picture at its largest kept size, turned right, in sRGB."""
    with Image.open(file, formats=[header.kind]) as image:
        if image.size != (header.width, header.height):
            raise Refused(CUT_SHORT)
        if header.kind != "JPEG" and getattr(image, "is_animated", False):
            raise Refused("This picture moves. Send a single picture instead.")
        image.draft(None, _fitted(image.size, SIZES["full"]))
        image.load()
        turn, profile = _turn(image), image.info.get("icc_profile")
        small = _shrunk(colours.countable(image), SIZES["full"])
    small = colours.to_srgb(small, profile)
    return small.transpose(turn) if turn is not None else small


def _turn(image: Image.Image) -> Image.Transpose | None:
    try:
        return TURNS.get(image.getexif().get(ORIENTATION, 1))
    except Exception:
        # What a camera wrote may be broken while the picture is whole: it is shown as it lies.
        return None


def _fitted(size: tuple[int, int], longest: int) -> tuple[int, int]:
    """The size a picture gets when its longer side is ``longest`` px at most; sides are 1 px at least."""
    most = max(size)
    if most <= longest:
        return size
    width, height = (max(1, round(side * longest / most)) for side in size)
    return width, height


def _shrunk(image: Image.Image, longest: int) -> Image.Image:
    size = _fitted(image.size, longest)
    if size == image.size:
        return image.copy()
    return image.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)


def _sizes(image: Image.Image) -> Prepared:
    contents, width, height = {}, image.width, image.height
    for name in sorted(SIZES, key=lambda size: -SIZES[size]):
        image = _shrunk(image, SIZES[name])
        # Comments, positions, camera and profile go with this; the JPEG writer would keep some of it.
        image.info = {}
        kept = BytesIO()
        image.save(kept, "JPEG", quality=QUALITY[name])
        contents[name] = kept.getvalue()
    return Prepared(contents, width, height)
