"""Notions (buttons, thread, zips, cord): new, changed, put away, and what projects need of them."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.activities import balances, deleting, photos, revising, stock
from projects.models import Deletion, Notion, NotionNeed, Person, Project


@transaction.atomic
def add_notion(*, values: dict[str, Any], received: int | None, person: Person) -> Notion:
    """A new notion, with ``received`` thousandths of its unit on the shelf."""
    notion = Notion(**values)
    notion.full_clean()
    notion.save()
    if received:
        stock.receive(row=notion, amount=received, person=person)
    return notion


def change_notion(*, notion: Notion, revision: int, changes: dict[str, Any]) -> Notion:
    """Raises ``revising.Stale`` when somebody saved first."""
    return revising.save_changes(notion, revision=revision, changes=changes)


@transaction.atomic
def delete_notion(*, notion: Notion, person: Person) -> Deletion:
    """Hide a notion; its ledger stays.

    Raises ``ValidationError`` while a project needs it or some of it is reserved.
    """
    Notion.objects.select_for_update().get(pk=notion.pk)
    need = (
        NotionNeed.objects.filter(notion=notion, project__deleted_at=None).select_related("project").first()
    )
    if need:
        raise ValidationError(f"{need.project.title} needs it. Take it off that project's list first.")
    if balances.balance(notion).reserved:
        raise ValidationError("Some of it is reserved for a project. Release it first.")
    return deleting.delete([notion, *photos.of_all(notion)], what=f"the notion {notion.name}", person=person)


@transaction.atomic
def set_need(*, notion: Notion, project: Project, amount: int, why: str = "") -> NotionNeed:
    """A project needs ``amount`` thousandths of the notion's unit; replaces what it needed before."""
    Notion.objects.select_for_update().get(pk=notion.pk)
    if not 0 < amount <= stock.MOST:
        raise stock.StockError("Type how many are needed, more than nothing.")
    need = NotionNeed.objects.filter(notion=notion, project=project).first()
    need = need or NotionNeed(notion=notion, project=project)
    need.amount, need.why = amount, why
    need.full_clean()
    need.save()
    return need


@transaction.atomic
def drop_need(*, notion: Notion, project: Project) -> None:
    """The project needs none of it any more; nothing happens when it needed none."""
    NotionNeed.objects.filter(notion=notion, project=project).delete()
