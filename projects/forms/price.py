"""What fabrics and notions cost, on their forms: for owners only."""

from typing import Any

from .base import RowForm
from .numbers import NumberField


class PriceField(NumberField):
    """A price of one unit in the studio's currency, as exact as it was typed, at most four places."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(most="1000000", places=4, required=False, **kwargs)


class PricedForm(RowForm):
    """A form whose fields named ``price...`` only an owner sees; for a maker they are not there at all, so
    whatever is sent, the price stays as it was."""

    def __init__(self, *args: Any, owner: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in [name for name in self.fields if name.startswith("price")]:
            if not owner:
                del self.fields[name]
            elif isinstance(self.fields[name], PriceField):
                self.fields[name].unit = self.workroom.currency
