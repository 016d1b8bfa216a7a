"""Forms for signing in, joining, roles and passwords."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.exceptions import ValidationError

from projects.models import Person

from .base import StudioForm
from .plain import PlainWords

GOOD_PASSWORD = "At least 8 characters: no common password, not only figures, not like your name."
AS_TYPED = {"autocapitalize": "none", "spellcheck": "false"}


def name_field(label: str = "Your name", **kwargs: Any) -> forms.CharField:
    """How somebody is called on pages and prints."""
    return forms.CharField(label=label, max_length=120, **kwargs)


def username_field() -> forms.CharField:
    """What somebody types to sign in."""
    return forms.CharField(
        label="User name", max_length=150, validators=[UnicodeUsernameValidator()],
        help_text="For signing in: letters, figures and @ . + - _, no spaces.",
        error_messages={"invalid": "“%(given)s” can't be a user name: letters, figures and @ . + - _ only."},
        widget=forms.TextInput(attrs={"autocomplete": "username", **AS_TYPED}),
    )


def password_field(label: str = "Password", *, new: bool = True, **kwargs: Any) -> forms.CharField:
    """A password, taken as it is typed, spaces included; never shown again."""
    attrs = {"autocomplete": "new-password" if new else "current-password"}
    return forms.CharField(
        label=label, strip=False, max_length=1000, widget=forms.PasswordInput(attrs=attrs), **kwargs
    )


class NewPassword(forms.Form):
    """A new password typed twice, judged against the person's own names."""

    password = password_field()
    again = password_field("The same password again")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["password"].help_text = GOOD_PASSWORD

    def whose(self) -> Person:
        """The person the password is for, saved or not, to judge it by."""
        data = self.cleaned_data
        return Person(username=data.get("username", ""), first_name=data.get("shown_name", ""))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        password, again = data.get("password"), data.get("again")
        if password and again and password != again:
            self.add_error("again", "The two passwords differ. Type the same one twice.")
        if password:
            try:
                validate_password(password, self.whose())
            except ValidationError as error:
                self.add_error("password", error)
        return data


class SignInForm(PlainWords, forms.Form):
    """Who signs in. ``next`` is where to go then; what a signed-out form held goes along."""

    username = forms.CharField(
        label="User name", max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "username", **AS_TYPED}),
    )
    password = password_field(new=False)
    next = forms.CharField(widget=forms.HiddenInput, required=False)
    kept = forms.CharField(widget=forms.HiddenInput, required=False)
    kept_to = forms.CharField(widget=forms.HiddenInput, required=False)


class InviteForm(StudioForm):
    shown_name = name_field("Name of the new person")
    role = forms.ChoiceField(choices=Person.ROLES, initial=Person.MAKER)


class JoinForm(NewPassword, StudioForm):
    username = username_field()
    field_order = ["username", "password", "again"]


class PersonForm(StudioForm):
    shown_name = name_field("Name")
    role = forms.ChoiceField(choices=Person.ROLES)


class OwnPasswordForm(NewPassword, StudioForm):
    """Somebody's own new password; the old one shows that it is them."""

    old = password_field("Present password", new=False)
    field_order = ["old", "password", "again"]

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        self.person = person
        super().__init__(*args, **kwargs)
        self.fields["password"].label = "New password"

    def whose(self) -> Person:
        return self.person

    def clean_old(self) -> str:
        old = self.cleaned_data["old"]
        if not self.person.check_password(old):
            raise ValidationError("This is not your present password. Type it again.")
        return old


class StartOwnForm(NewPassword, StudioForm):
    """A studio of one's own in the demo's place."""

    name = forms.CharField(label="Name of the studio", max_length=120)
    shown_name = name_field()
    username = username_field()
    sure = forms.BooleanField(
        label="Clear the demo: its projects, clients, cloth, recipes, hours, people and photographs",
        error_messages={"required": "Tick this if the demo may be cleared; it can't be brought back."},
    )
    field_order = ["name", "shown_name", "username", "password", "again", "sure"]
