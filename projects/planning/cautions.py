"""What can hurt, in one plain line each; and which kinds of rule exist, never what they say."""

from collections.abc import Iterable
from functools import lru_cache

from projects.models import Fabric, NotionNeed, Project

from .plan import Note

IRON = "Hot iron and steam: try a scrap first, keep fingers clear, never leave the iron on."
BLADES = "Blades: close the guard after each cut, keep fingers behind the ruler."
NEEDLES = "Needles: fingers clear, foot off the pedal when threading, eyes covered against a broken needle."
DUST = "Dust from cut pile: wear a mask, open a window, sweep up damp."
SHORT = {IRON: "hot iron", BLADES: "blades", NEEDLES: "needles", DUST: "dust"}
DECIDE = (
    "They differ by country and change: check the current text. "
    "Local rules and qualified testing decide, not this plan."
)


def iron(fabric: Fabric | None) -> str:
    """The iron's caution, with the most the fabric takes where it is known."""
    most = f" {fabric.name}: at most {fabric.iron}." if fabric is not None and fabric.iron else ""
    return IRON + most


@lru_cache(maxsize=256)
def short(cautions: tuple[str, ...]) -> tuple[str, ...]:
    """A word or two for each caution, each once."""
    return tuple(dict.fromkeys(_short(text) for text in cautions))


def _short(text: str) -> str:
    known = next((word for full, word in SHORT.items() if text.startswith(full)), "")
    if known:
        return known
    return "thick under the needle" if "under the needle" in text else "rules"


def cutting(fabric: Fabric | None) -> tuple[str, ...]:
    return (BLADES, DUST) if fabric is not None and fabric.raised else (BLADES,)


def rules(project: Project, fabrics: Iterable[Fabric], needs: Iterable[NotionNeed]) -> tuple[Note, ...]:
    """Notes naming the kind of rule that exists for such work."""
    cloths, kinds = list(fabrics), {need.notion.kind for need in needs}
    found = [*_wearer(project, kinds), *_burning(project, cloths)]
    return tuple(Note("caution", f"{text} {DECIDE}") for text in found)


def _wearer(project: Project, kinds: set[str]) -> list[str]:
    if not project.childrens_wear:
        return []
    found = ["Made for a child: there are rules for children's clothing."]
    if "cord" in kinds:
        found.append("Cords on a child's garment: there are rules for cords and drawstrings.")
    if "button" in kinds:
        found.append("Buttons on a child's garment: there are rules for small parts.")
    return found


def _burning(project: Project, cloths: list[Fabric]) -> list[str]:
    nightwear = ["Nightwear: there are rules on how easily nightwear may burn."] if project.nightwear else []
    return [*nightwear, *_quick_to_burn(cloths)]


def of_cloth(cloths: Iterable[Fabric]) -> tuple[str, ...]:
    """The same words for cloth by itself, whatever is made of it."""
    return tuple(f"{text} {DECIDE}" for text in _quick_to_burn(list(cloths)))


def _quick_to_burn(cloths: list[Fabric]) -> list[str]:
    found = []
    for what, kind in (("Sheer", "sheer"), ("Raised", "raised")):
        names = ", ".join(f.name for f in cloths if getattr(f, kind))
        if names:
            found.append(f"{what} cloth ({names}): if it is worn, there are rules on how easily it may burn.")
    return found
