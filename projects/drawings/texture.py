"""A texture for the client's eyes: a cloth strip of each direction, flat above, finished below."""

from dataclasses import dataclass

from django.utils.safestring import SafeString

from projects.calc.lengths import System, about
from projects.calc.ratio import ByRatio
from projects.planning.build_page import SideShown, Texture

from .strip import strip
from .worked import Look, worked

PHONE, WIDE = 312, 720


@dataclass(frozen=True, slots=True)
class TextureView:
    """One drawing as a page needs it: for a phone and for a wider page; on paper the wide one."""

    phone: SafeString
    wide: SafeString


def texture(shown: Texture, system: System) -> tuple[TextureView, ...]:
    """The drawings of a texture, one for each direction of folds that is sewn otherwise than the other."""
    if shown.by_ratio is not None:
        return (_worked(shown.name, shown.by_ratio, shown.ratios, system),)
    sides = shown.sides
    if len(sides) == 2 and _sewn(sides[0]) == _sewn(sides[1]):
        sides = sides[:1]
    return tuple(_view(side, system) for side in sides)


def _sewn(side: SideShown) -> tuple[object, ...]:
    """What tells two directions apart at a glance; what a sample adds to one of them does not."""
    return side.wide.seams, side.wide.depths, side.wide.pressings


def _view(side: SideShown, system: System) -> TextureView:
    title = (
        f"A strip of the cloth, measured {side.direction}: {about(side.wide.flat, system)} flat above, "
        f"{about(side.wide.length, system)} once sewn below"
    )
    close = (
        f"A strip of the cloth, close up: {about(side.phone.flat, system)} flat above, "
        f"{about(side.phone.length, system)} once sewn below"
    )
    return TextureView(
        phone=strip(side.phone, system=system, title=close, width=PHONE, kind="strip only-phone"),
        wide=strip(side.wide, system=system, title=title, width=WIDE, kind="strip only-wide"),
    )


def _worked(name: str, content: ByRatio, ratios: tuple[float, float], system: System) -> TextureView:
    title = f"{name}: flat cloth above, the same cloth once worked below"
    wide, phone = (
        worked(content, Look(*ratios, system, title, width, phone))
        for width, phone in ((WIDE, False), (PHONE, True))
    )
    return TextureView(phone=phone, wide=wide)
