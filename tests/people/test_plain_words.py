"""What is wrong with a field is said in plain words: what was given and what would be right."""

import importlib
import pkgutil

import pytest
from django import forms as django_forms
from django.urls import reverse

import projects.forms
from projects.forms.base import StudioForm
from projects.forms.people import SignInForm
from projects.forms.plain import PlainWords
from projects.models import Fabric, Project
from tests import make

pytestmark = pytest.mark.django_db
FRAMEWORK = ("Ensure", "Enter a", "Select a valid", "This field", "is not one of the available", "Null char")


def forms_of_the_studio():
    for module in pkgutil.iter_modules(projects.forms.__path__):
        importlib.import_module(f"projects.forms.{module.name}")
    found, look = set(), [StudioForm, SignInForm]
    while look:
        form = look.pop()
        found.add(form)
        look += form.__subclasses__()
    return sorted(found, key=lambda form: form.__name__)


def test_no_form_of_the_studio_speaks_the_framework_s_words():
    """Every code a field can raise from its own kind; ``_words`` gives what the form puts in."""
    from projects.forms.plain import _words

    forms = forms_of_the_studio()
    assert len(forms) > 15 and all(issubclass(form, PlainWords) for form in forms)
    said = {
        (form.__name__, name, code): str(text)
        for form in forms
        for name, field in form.base_fields.items()
        for code, text in {**field.error_messages, **_words(field)}.items()
        if code not in ("invalid_list", "list", "invalid_pk_value", "overflow", "incomplete")
        and not (code == "invalid" and type(field) in (django_forms.BooleanField,))
    }
    assert [key for key, text in said.items() if text.startswith(FRAMEWORK)] == []


class Everything(StudioForm):
    name = django_forms.CharField(max_length=20)
    day = django_forms.DateField()
    count = django_forms.IntegerField(min_value=1, max_value=60)
    share = django_forms.DecimalField(max_digits=4, decimal_places=1)
    stage = django_forms.ChoiceField(choices=[("cut", "Cut")])
    fabric = django_forms.ModelChoiceField(queryset=Fabric.objects.none())
    email = django_forms.EmailField()
    own = django_forms.IntegerField(error_messages={"invalid": "Words of its own."})


GOOD = {"name": "Front", "day": "2026-05-30", "count": "2", "share": "1.5", "stage": "cut"}


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("name", "x" * 10_000, "10000 characters were typed; at most 20 fit here."),
        ("name", "", "This was left empty; type something here."),
        ("day", "soon", "“soon” is not a date. Type one such as 2026-05-30."),
        ("day", "", "No date was given. Type one such as 2026-05-30."),
        ("count", "0", "“0” is too small; type 1 or more."),
        ("count", "9" * 100, "“" + "9" * 40 + "…” is too large; type 60 or less."),
        ("count", "two", "“two” is not a whole number; type one such as 2."),
        ("share", "1.25", "“1.25” is finer than is kept here; digits after the point: at most 1."),
        ("share", "50 %", "“50 %” is not a number; type one such as 2.5."),
        ("stage", "dye", "“dye” is not in the list; choose one that is."),
        ("fabric", "7", "What was chosen is not there any more; choose from the list again."),
        ("email", "at home", "“at home” is not an e-mail address; type one such as name@example.org."),
        ("own", "x", "Words of its own."),
    ],
)
def test_what_was_given_and_what_would_be_right(workroom, field, typed, said):
    form = Everything({**GOOD, field: typed}, workroom=workroom)
    assert form.errors[field] == [said]


def test_a_long_name_is_refused_in_plain_words_and_kept(owner_page):
    answer = owner_page.post(reverse("project_new"), {"title": "n" * 10_000, "due": "in May", "washing": "x"})
    page = answer.content.decode()
    assert answer.status_code == 422 and Project.objects.count() == 0
    assert "10000 characters were typed; at most 200 fit here." in page and "n" * 10_000 in page
    assert "“in May” is not a date." in page and "“x” is not in the list" in page


def test_a_deleted_client_is_no_choice(owner_page):
    gone = make.client(deleted_at=make.timezone.now())
    answer = owner_page.post(reverse("project_new"), {"title": "Coat", "client": gone.pk})
    assert "not there any more" in answer.content.decode()


def test_somebody_who_signs_in_is_told_plainly(stranger_page):
    page = stranger_page.post(reverse("sign_in"), {"username": "", "password": ""}).content.decode()
    assert "This was left empty" in page and "This field" not in page
