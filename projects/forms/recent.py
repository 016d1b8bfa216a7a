"""Choosing one row of very many: the list holds those used last, any other is named by typing."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import F, Max, Model, Q, QuerySet
from django.db.models.functions import Coalesce
from django.forms.models import ModelChoiceIterator

from .plain import EVERYWHERE, shortened

MOST = 200
"""How many rows a list offers; a browser and a reader still cope with as many."""
LIKE_IT = 5


def last_used(rows: QuerySet[Any], use: str, *, since: str = "created_at") -> QuerySet[Any]:
    """``rows`` with those first that were used last. ``use`` is the moment of a use, across a relation;
    what was never used counts from when it was made (``since``)."""
    return rows.annotate(last_use=Coalesce(Max(use), F(since))).order_by("-last_use", "-pk")


class _Offered(ModelChoiceIterator):
    def __iter__(self) -> Iterator[tuple[Any, Any]]:
        if self.field.empty_label is not None:
            yield ("", self.field.empty_label)
        for row in self.field.offered():
            yield self.choice(row)


class RecentField(forms.ModelChoiceField):
    """A row of ``queryset``. ``use`` tells when rows were used, ``what`` what one is called ("client").

    ``chosen`` is offered however long ago it was used. The list stands by name.
    """

    iterator = _Offered

    def __init__(self, queryset: QuerySet[Any], *, use: str, what: str, **kwargs: Any) -> None:
        self.use, self.what = use, what
        self.chosen: Any = None
        self._rows: list[Model] | None = None
        self.more = False
        super().__init__(queryset, **kwargs)

    def offered(self) -> list[Model]:
        """The rows of the list; asked of the database once a form."""
        if self._rows is None:
            rows = list(last_used(self.queryset.filter(deleted_at=None), self.use)[: MOST + 1])
            self.more, rows = len(rows) > MOST, rows[:MOST]
            self._rows = sorted([*rows, *self._chosen_row(rows)], key=lambda row: (str(row).lower(), row.pk))
        return self._rows

    def _chosen_row(self, rows: list[Model]) -> list[Model]:
        """The chosen row where it is not among ``rows``; what can't be read chooses nothing."""
        try:
            row = self.to_python(self.chosen)
        except ValidationError:
            return []
        return [] if row is None or row in rows else [row]

    def named(self, typed: str) -> Model:
        """The one living row of this name, or else with this in its name. Raises ValidationError."""
        return one_named(self.queryset.filter(deleted_at=None), typed, self.what)


def one_named(rows: QuerySet[Any], typed: str, what: str) -> Any:
    """The one row called ``typed``, or else with it in its name. Raises ValidationError in plain words."""
    for found in (rows.filter(name__iexact=typed), rows.filter(name__icontains=typed)):
        some = list(found.order_by("name", "pk")[: LIKE_IT + 1])
        if len(some) == 1:
            return some[0]
        if some:
            names = ", ".join(f"“{shortened(row.name)}”" for row in some[:LIKE_IT])
            raise ValidationError(f"More than one {what} is like that: {names}. Type the whole name of one.")
    raise ValidationError(f"No {what} is called “{shortened(typed)}”. Type its name, or a part of it.")


def name_field(what: str) -> forms.CharField:
    """Where a row that is not in the list is named."""
    return forms.CharField(
        label=f"Or another {what}, by its name",
        max_length=200,
        required=False,
        help_text=f"The list holds the {MOST} used last.",
        error_messages=EVERYWHERE,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class NamesRows(forms.BaseForm):
    """A form whose long lists have a field beside them (``<name>_named``) for all that they leave out.

    Deleted rows are no choice, but one that the form's own row already points to may stay.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in list(self.fields.items()):
            if isinstance(field, RecentField):
                kept = getattr(getattr(self, "instance", None), f"{name}_id", None)
                field.queryset = field.queryset.filter(Q(deleted_at=None) | Q(pk=kept))
                field.chosen = self[name].value()
                field.offered()
                if field.more:
                    self.fields[f"{name}_named"] = name_field(field.what)

    def settle_named(self, values: dict[str, Any]) -> None:
        """Put rows named by typing where the list would have put them."""
        for name, field in self.fields.items():
            typed = str(values.pop(f"{name}_named", "") or "").strip()
            if typed and isinstance(field, RecentField):
                try:
                    values[name] = field.named(typed)
                except ValidationError as error:
                    self.add_error(f"{name}_named", error)
                else:
                    self.errors.pop(name, None)
