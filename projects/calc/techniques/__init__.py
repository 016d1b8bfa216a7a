"""The techniques by name. Adding one: a module with the same verbs, a line here, a name in `direction`."""

from projects.calc.techniques.box import BOX, box_pleats
from projects.calc.techniques.corded import CORDED
from projects.calc.techniques.inverted import INVERTED, inverted_pleats
from projects.calc.techniques.knife import KNIFE, knife_pleats
from projects.calc.techniques.pleats import PleatCount, Strips, pleat_strips
from projects.calc.techniques.technique import Technique
from projects.calc.techniques.tucks import TUCKS, graduated
from projects.calc.techniques.twin_needle import TWIN_NEEDLE

TECHNIQUES: dict[str, Technique] = {t.name: t for t in (TUCKS, CORDED, TWIN_NEEDLE, KNIFE, BOX, INVERTED)}

__all__ = [
    "TECHNIQUES",
    "PleatCount",
    "Strips",
    "Technique",
    "box_pleats",
    "graduated",
    "inverted_pleats",
    "knife_pleats",
    "pleat_strips",
]
