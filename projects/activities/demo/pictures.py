"""Pictures of cloth for the demo, drawn from its own plans: nothing was photographed.

A picture is two profiles laid over one another, one of each direction: how light a place is follows from the
layers lying there, from the shadow beside a fold, and from the weave.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from projects.calc.axis import Axis
from projects.calc.panels import PanelPlan

from .measures import MM

Colour = tuple[int, int, int]
WIDE, HIGH = 960, 720
SEED = 12


@dataclass(frozen=True, slots=True)
class Look:
    """How a cloth looks: its colour, what is behind it, and the share of light that a layer lets through."""

    colour: Colour
    behind: Colour = (236, 240, 242)
    light: float = 0.8


VOILE = Look((247, 243, 232), (255, 246, 222), 0.78)
CHALLIS = Look((31, 74, 58), light=0.5)
VELVET = Look((84, 36, 74), light=0.5)
LAWN = Look((246, 246, 242), light=0.7)


def against_the_light(plan: PanelPlan, look: Look, width: int) -> Image.Image:
    """Cloth before a lamp, ``width`` nm of it: the more layers, the darker."""
    high = width * HIGH // WIDE
    across = _profile(plan.across.axis, width, WIDE, look.light)
    along = _profile(plan.along.axis, high, HIGH, look.light)
    return _coloured(_crossed(across, along), look.behind, _darker(look.colour, 38))


def on_the_table(plan: PanelPlan, look: Look, width: int) -> Image.Image:
    """The face of the cloth lit from the left: a shadow beside each fold."""
    across = _relief(plan.across.axis, width, WIDE)
    along = _relief(plan.along.axis, width * HIGH // WIDE, HIGH)
    return _coloured(_crossed(across, along), look.colour, _darker(look.colour, 50))


def _darker(colour: Colour, share: int) -> Colour:
    """So many hundredths of each part."""
    red, green, blue = (part * share // 100 for part in colour)
    return red, green, blue


def _crossed(across: list[int], along: list[int]) -> Image.Image:
    """Both profiles multiplied: where tucks cross, their layers do."""
    side = _strip(across, (len(across), 1)).resize((WIDE, HIGH))
    down = _strip(along, (1, len(along))).resize((WIDE, HIGH))
    return ImageChops.multiply(side, down)


def _strip(values: Sequence[int], size: tuple[int, int]) -> Image.Image:
    strip = Image.new("L", size)
    strip.putdata(values)
    return strip


def _profile(axis: Axis | None, length: int, pixels: int, light: float) -> list[int]:
    """255 for one layer, and less for each more."""
    if axis is None:
        return [255] * pixels
    start = max(0, (axis.length - length) // 2)
    layers = (axis.layers_at(start + pixel * length // pixels) for pixel in range(pixels))
    return [round(255 * light ** (number - 1)) for number in layers]


def _relief(axis: Axis | None, length: int, pixels: int) -> list[int]:
    """Light falls from the first edge: bright on the fold, dark just beyond it, and fading."""
    if axis is None:
        return [255] * pixels
    start = max(0, (axis.length - length) // 2)
    folds = [x - start for x in axis.seams]
    values = []
    for pixel in range(pixels):
        place = pixel * length // pixels
        beyond = min((place - fold for fold in folds if fold <= place), default=length)
        values.append(_shade(beyond))
    return values


def _shade(beyond: int) -> int:
    """Darkest 1 mm beyond a seam, as light as can be from 9 mm on."""
    return min(255, 110 + beyond * 145 // (9 * MM)) if beyond > MM else 150


def _coloured(shade: Image.Image, light: Colour, dark: Colour) -> Image.Image:
    """The shade in two colours, with a weave on it."""
    lit = Image.composite(
        Image.new("RGB", shade.size, light), Image.new("RGB", shade.size, dark), _woven(shade)
    )
    return lit.filter(ImageFilter.GaussianBlur(0.6))


def _woven(shade: Image.Image) -> Image.Image:
    """A fine unevenness, the same every time."""
    wide, high = WIDE // 3, HIGH // 3
    noise = Image.frombytes("L", (wide, high), Random(SEED).randbytes(wide * high))  # noqa: S311 - no secret
    small = noise.point([232 + value * 23 // 255 for value in range(256)])
    return ImageChops.multiply(shade, small.resize(shade.size, Image.Resampling.BILINEAR))


def drawn_up_squares(look: Look, columns: int = 7, rows: int = 10) -> Image.Image:
    """Lattice smocking seen from the face: rows of soft diamonds, every second one set half aside."""
    step, rise = WIDE // columns, HIGH // rows
    shade = Image.new("L", (WIDE, HIGH), 96)
    draw = ImageDraw.Draw(shade)
    for row in range(-1, rows + 1):
        for column in range(-1, columns + 1):
            _diamond(draw, column * step + (row % 2) * step // 2, row * rise, step, rise)
    soft = shade.filter(ImageFilter.GaussianBlur(11))
    red, green, blue = (min(255, part + 40) for part in look.colour)
    return _coloured(soft, (red, green, blue), _darker(look.colour, 40))


def _diamond(draw: ImageDraw.ImageDraw, left: int, top: int, wide: int, high: int) -> None:
    """One puff between four gathered corners: its upper left is lit."""
    right, low, mid, half = left + wide, top + 2 * high, left + wide // 2, top + high
    draw.polygon([(left, half), (mid, top), (right, half), (mid, low)], fill=150)
    draw.polygon([(left, half), (mid, top), (mid, half)], fill=235)
    draw.polygon([(mid, top), (right, half), (mid, half)], fill=185)
    draw.polygon([(mid, half), (right, half), (mid, low)], fill=105)


def folded_lengths(colours: Sequence[Colour]) -> Image.Image:
    """Cloth on a shelf: folded lengths one upon another."""
    picture = Image.new("RGB", (WIDE, HIGH), (214, 219, 222))
    draw = ImageDraw.Draw(picture)
    each = HIGH * 7 // 10 // len(colours)
    for number, colour in enumerate(colours):
        low = HIGH * 17 // 20 - number * each
        inset = 150 + (number * 37) % 60
        for fold in range(4):
            shade = 100 - 9 * (fold % 2) - 3 * number
            tint = tuple(part * shade // 100 for part in colour)
            top = low - each + fold * each // 4
            draw.rounded_rectangle((inset, top, WIDE - inset, top + each // 4 - 2), each // 9, fill=tint)
    draw.rectangle((0, HIGH * 17 // 20, WIDE, HIGH), fill=(176, 168, 156))
    return picture.filter(ImageFilter.GaussianBlur(1.2))
