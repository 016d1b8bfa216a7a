"""Settings: every field, two people at once, and units that change no stored length."""

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from projects.activities.workroom import change_settings
from projects.forms.workroom import WorkroomForm
from projects.models import Workroom
from tests import make

MM = 1_000_000


def as_shown(row: Workroom, studio: Workroom | None = None) -> dict[str, Any]:
    """What a browser posts when the form is sent as it was shown."""
    form = WorkroomForm(instance=row, workroom=studio or row)
    data = {}
    for bound in form:
        value = bound.value()
        if value is not None and value is not False:
            data[bound.html_name] = "on" if value is True else str(value)
    return data


def test_every_field_is_on_the_page(owner_page: Client, workroom: Workroom) -> None:
    page = owner_page.get("/studio/settings/").content.decode()
    for bound in WorkroomForm(instance=workroom, workroom=workroom):
        assert f'name="{bound.html_name}"' in page


def test_settings_are_saved(owner_page: Client, workroom: Workroom) -> None:
    changes = {
        "name": "Larkfield", "currency": "chf", "time_zone": "Europe/Zurich", "first_day": "6",
        "paper": "Letter", "public_address": "http://192.168.1.20:8000/", "buy_step": "1/8 yd",
        "squaring": "1/2 in", "check_every": "", "needle_lift": "6,5",
    }
    answer = owner_page.post("/studio/settings/", {**as_shown(workroom), **changes})
    assert answer.status_code == 303
    row = Workroom.load()
    assert (row.currency, row.time_zone, row.first_day, row.paper) == ("CHF", "Europe/Zurich", 6, "Letter")
    assert row.public_address == "http://192.168.1.20:8000"
    assert (row.buy_step, row.squaring, row.needle_lift) == (114_300_000, 12_700_000, 6_500_000)
    assert row.typed == {"buy_step": "yd", "squaring": "in", "needle_lift": "mm"}
    assert row.check_every is None and row.revision == workroom.revision + 1


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("squaring", "much", "read as a length"), ("squaring", "-3", "less than"),
        ("buy_step", "0", "at least"),
        ("seam_allowance", "40 m", "at most"), ("depth_spread", "x" * 10_000, "length"),
        ("public_address", "ftp://studio.example.org", "Type the whole address"),
        ("public_address", "javascript:alert(1)", "Type the whole address"),
        ("time_zone", "Mars/Base", "is not in the list"), ("currency", "€", "no currency in three letters"),
        ("name", "", "required"), ("name", "n" * 10_000, "at most 120"), ("check_every", "0", "1"),
        ("first_day", "9", "is not in the list"), ("measures_in", "cubits", "is not in the list"),
    ],
)
def test_bad_input_saves_nothing_and_keeps_what_was_typed(
    owner_page: Client, workroom: Workroom, field: str, text: str, said: str
) -> None:
    answer = owner_page.post("/studio/settings/", {**as_shown(workroom), field: text, "hem_allowance": "33"})
    page = answer.content.decode()
    assert answer.status_code == 422 and said in page and 'value="33"' in page
    assert Workroom.objects.values().get() == Workroom.objects.filter(pk=workroom.pk).values().get()
    assert Workroom.load().revision == workroom.revision


def test_two_people_at_once_see_both_versions(owner_page: Client, workroom: Workroom) -> None:
    first = as_shown(workroom)
    owner_page.post("/studio/settings/", {**first, "squaring": "12", "name": "Their name"})
    answer = owner_page.post("/studio/settings/", {**first, "squaring": "14", "op": str(uuid4())})
    page = answer.content.decode()
    assert answer.status_code == 409 and "12 mm" in page and "14 mm" in page and "Their name" in page
    assert Workroom.load().squaring == 12 * MM
    form = answer.context["form"]
    again = {**form.data.dict()}
    assert again["revision"] == "2" and owner_page.post("/studio/settings/", again).status_code == 303
    assert Workroom.load().squaring == 14 * MM


@pytest.mark.parametrize("revision", ["", "0", "-1", "nonsense", "9" * 40])
def test_a_hostile_revision_overwrites_nothing(owner_page: Client, workroom: Workroom, revision: str) -> None:
    data = {**as_shown(workroom), "name": "Mine", "revision": revision}
    assert owner_page.post("/studio/settings/", data).status_code in (409, 422)
    assert Workroom.load().name == "Larkfield Workroom"


@pytest.mark.django_db
@settings(
    max_examples=60, derandomize=True, deadline=None, phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    lengths=st.lists(st.integers(MM, 99 * MM), min_size=6, max_size=6),
    units=st.lists(st.sampled_from(["", "mm", "cm", "in"]), min_size=6, max_size=6),
    was=st.sampled_from(["metric", "inch"]),
)
def test_a_form_sent_untouched_after_the_units_changed_changes_no_row(
    lengths: list[int], units: list[str], was: str
) -> None:
    names = ["buy_step", "squaring", "seam_allowance", "hem_allowance", "border", "needle_lift"]
    typed = {name: unit for name, unit in zip(names, units, strict=True) if unit}
    stored = dict(zip(names, lengths, strict=True))
    row = make.workroom(units=was, typed=typed, depth_spread=254_000, **stored)
    shown_before = as_shown(row)
    row = make.workroom(units="inch" if was == "metric" else "metric")
    before = Workroom.objects.values().get()
    for data in (as_shown(row), {**shown_before, "measures_in": row.units}):
        form = WorkroomForm(data, instance=row, workroom=row)
        assert form.is_valid(), form.errors
        assert set(form.changed_data) <= {"units", "measures_in", "op"}
        change_settings(row, revision=row.revision, changes=form.changes())
        assert Workroom.objects.values().get() == before


def test_changing_the_units_changes_no_length(owner_page: Client, workroom: Workroom) -> None:
    before = Workroom.objects.values().get()
    answer = owner_page.post("/studio/settings/", {**as_shown(workroom), "measures_in": "inch"})
    assert answer.status_code == 303
    after = Workroom.objects.values().get()
    moved = {name for name in before if before[name] != after[name]}
    assert moved == {"units", "revision", "changed_at"}
    assert "10 mm" in owner_page.get("/studio/settings/").content.decode()


def test_bare_numbers_of_a_form_opened_before_the_change_mean_what_they_meant(
    owner_page: Client, workroom: Workroom
) -> None:
    shown = as_shown(workroom)
    make.workroom(units="inch")
    owner_page.post("/studio/settings/", {**shown, "squaring": "12", "measures_in": "inch"})
    assert Workroom.load().squaring == 12 * MM
