"""Forms for PINs."""

from typing import Any

from django import forms

from projects.activities import pins

from .base import StudioForm
from .plain import PlainWords


def pin_field(label: str = "PIN", *, new: bool = False, **kwargs: Any) -> forms.CharField:
    """A PIN, typed unseen on a keyboard of figures where the device has one."""
    attrs = {"inputmode": "numeric", "autocomplete": "off" if not new else "new-password"}
    return forms.CharField(label=label, max_length=40, widget=forms.PasswordInput(attrs=attrs), **kwargs)


class PinForm(PlainWords, forms.Form):
    """The PIN of somebody who takes over at a bench."""

    pin = pin_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["pin"].widget.attrs["autofocus"] = True


class OwnPinForm(StudioForm):
    """A PIN of one's own, typed twice."""

    pin = pin_field("New PIN", new=True, help_text="4 to 8 figures, not 1234 and its like.")
    pin_again = pin_field("The same PIN again", new=True)

    def clean_pin(self) -> str:
        pin: str = self.cleaned_data["pin"]
        pins.check_new(pin)
        return pin

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        pin, again = data.get("pin"), data.get("pin_again")
        if pin and again and pin != again:
            self.add_error("pin_again", "The two PINs differ. Type the same one twice.")
        return data
