"""Cloth as bought and cloth as it is worked: what the first wash takes."""

from dataclasses import dataclass
from decimal import Decimal

from projects.calc.shrinkage import buy_for, washed_length, washed_width
from projects.models import ClothLength, Fabric, Project


@dataclass(frozen=True, slots=True)
class Washing:
    """What happens to one fabric in one project. Shares lost are None where unknown or nothing is added.

    Washed before cutting, panels are in washed cloth and more is bought. Sewn unwashed, the panels themselves
    are larger (calc sees to it) and nothing is added here.
    """

    when: str
    along: Decimal | None = None
    across: Decimal | None = None

    @classmethod
    def of(cls, fabric: Fabric, project: Project) -> "Washing":
        if project.washing != "before":
            return cls(project.washing)
        return cls("before", fabric.shrink_along, fabric.shrink_across)

    def to_buy(self, worked: int) -> int:
        """Cloth as bought that leaves ``worked`` nm once washed: need / (1 - along), rounded up."""
        return buy_for(worked, self.along)

    def worked_width(self, bought: int) -> int:
        """Width left of ``bought`` nm once washed."""
        return washed_width(bought, self.across)

    def serves(self, length: ClothLength) -> bool:
        """Cloth that is sewn unwashed can't be taken from a length that has been washed."""
        return not (length.washed and self.when == "after")

    def length_of(self, length: ClothLength, amount: int) -> int:
        """``amount`` nm of a length on hand as worked cloth."""
        return amount if length.washed else washed_length(amount, self.along)

    def width_of(self, length: ClothLength, fabric: Fabric) -> int:
        width = length.width or fabric.width
        return width if length.washed and length.width else self.worked_width(width)

