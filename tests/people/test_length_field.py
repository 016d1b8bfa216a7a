"""Lengths in forms: read as typed, shown as stored, exact in both systems."""

import pytest
from django import forms
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.lengths import System
from projects.forms.base import StudioForm
from projects.forms.fields import LengthFormField
from projects.models import Workroom

MM = 1_000_000


def field(kind: str, system: System, **kwargs: object) -> LengthFormField:
    made = LengthFormField(kind=kind, **kwargs)
    made.system = system
    return made


@settings(derandomize=True, deadline=None)
@given(
    nm=st.integers(0, 100_000 * MM), kind=st.sampled_from(["fine", "piece", "cloth"]),
    system=st.sampled_from(System), shown=st.sampled_from([None, "mm", "cm", "m", "in", "ft", "yd"]),
)
def test_what_a_form_shows_reads_back_to_the_same_nanometre(
    nm: int, kind: str, system: System, shown: str | None
) -> None:
    made = field(kind, system)
    made.shown_unit = shown
    text = made.prepare_value(nm)
    assert made.clean(text) == nm and not made.has_changed(nm, text) and not made.has_changed(nm, f" {text} ")


@pytest.mark.parametrize(
    ("kind", "system", "text", "nm", "unit"),
    [
        ("fine", System.METRIC, "12", 12 * MM, "mm"), ("fine", System.INCH, "5/16", 7_937_500, "in"),
        ("piece", System.METRIC, "48,5", 485 * MM, "cm"), ("piece", System.INCH, "12 mm", 12 * MM, "mm"),
        ("cloth", System.METRIC, "2.3", 2_300 * MM, "m"),
        ("cloth", System.INCH, "2 1/4", 2_057_400_000, "yd"),
    ],
)
def test_the_unit_that_was_written_is_remembered(
    kind: str, system: System, text: str, nm: int, unit: str
) -> None:
    made = field(kind, system)
    assert (made.clean(text), made.typed_unit) == (nm, unit)


UNREADABLE = ["much", "-1", "1e9", "nan", "inf", "1,250", "9" * 10_000, "12 cubits", "\x00"]


@pytest.mark.parametrize("text", UNREADABLE)
def test_what_can_not_be_read_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(forms.ValidationError) as refused:
        field("fine", System.METRIC, most=1_000 * MM).clean(text)
    assert refused.value.messages[0].endswith(".")


def test_empty_is_unknown_where_it_may_be() -> None:
    assert field("fine", System.METRIC, required=False).clean(" ") is None
    with pytest.raises(forms.ValidationError, match="such as 12"):
        field("fine", System.METRIC).clean("")


class OneLength(StudioForm):
    depth = LengthFormField(kind="fine")


@pytest.mark.parametrize(("shown", "nm"), [("metric", 4 * MM), ("inch", 101_600_000), ("cubits", 4 * MM)])
def test_a_bare_number_means_the_unit_the_form_was_shown_in(shown: str, nm: int) -> None:
    form = OneLength({"depth": "4", "units": shown}, workroom=Workroom(units="metric"))
    assert form.is_valid() and form.cleaned_data["depth"] == nm


def test_two_forms_at_once_keep_their_own_units() -> None:
    metric = OneLength({"depth": "4"}, workroom=Workroom(units="metric"))
    inch = OneLength({"depth": "4"}, workroom=Workroom(units="inch"))
    assert metric.is_valid() and inch.is_valid()
    assert (metric.cleaned_data["depth"], inch.cleaned_data["depth"]) == (4 * MM, 101_600_000)
    assert (metric.typed_units(), inch.typed_units()) == ({"depth": "mm"}, {"depth": "in"})
