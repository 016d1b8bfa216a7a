"""The form of one flaw of a length: where it begins and how large it is."""

from django import forms

from projects.calc.lengths import NM_PER_MM

from .base import StudioForm
from .fields import LengthFormField

LARGEST = 1_000_000 * NM_PER_MM


class FlawForm(StudioForm):
    """Lengths in nm, as the cloth lies on the shelf."""

    along = LengthFormField(
        kind="cloth",
        most=LARGEST,
        label="From the end",
        help_text="From the end that is cut from to where it begins.",
    )
    across = LengthFormField(
        kind="piece", most=LARGEST, label="From the left selvedge", help_text="Face up, to where it begins."
    )
    length = LengthFormField(kind="piece", least=NM_PER_MM, most=LARGEST, label="How long")
    width = LengthFormField(kind="piece", least=NM_PER_MM, most=LARGEST, label="How wide")
    note = forms.CharField(
        required=False, max_length=120, label="What it is", help_text="A stain, a slub, a hole."
    )
