"""A run to tap at, and taps: what the tests of the bench share."""

import json
import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

from django.http import HttpResponse
from django.test import Client

from projects.activities.panels import sync_panels
from projects.models import Piece
from tests import make

BEGUN = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def piece(**values: Any) -> Piece:
    """A front of 24 graduated tucks across in voile, with its panel rows."""
    usual = {"version": make.version(), "fabric": make.fabric(), "across": 300 * make.MM}
    row = make.piece(values.pop("of", None) or make.project(), **{**usual, **values})
    sync_panels(row)
    return row


def key_of(row: Piece, number: int = 1, direction: str = "across", kind: str = "sew") -> str:
    return f"{row.pk}.{number}:{kind}:{direction}:1"


def page_of(row: Piece, key: str = "") -> str:
    return f"/projects/{row.project_id}/bench/{key or key_of(row)}/"


def fact(kind: str = "sewn", unit: int | None = None, minute: int = 0, **values: Any) -> dict[str, Any]:
    """A fact as a device sends it, ``minute`` minutes after nine."""
    at = (BEGUN + timedelta(minutes=minute)).isoformat()
    return {"op": str(uuid.uuid4()), "kind": kind, "unit": unit, "at": at, **values}


def send(page: Client, row: Piece, *facts: Any, key: str = "", after: int = 0, **body: Any) -> HttpResponse:
    """Facts as a device posts them."""
    told = json.dumps({"facts": list(facts), "after": after, **body})
    return page.post(f"{page_of(row, key)}facts/", told, content_type="application/json")


def sew(page: Client, row: Piece, *units: int, start: int = 0, key: str = "") -> dict[str, Any]:
    """Tap units one after the other; the last answer."""
    facts = [fact(unit=unit, minute=start + place) for place, unit in enumerate(units)]
    answer = send(page, row, *facts, key=key).json()
    assert not answer["refused"], answer["refused"]
    return answer


def tap(page: Client, row: Piece, kind: str, key: str = "", **fields: Any) -> HttpResponse:
    """A plain form, as without JavaScript."""
    values = {"op": str(uuid.uuid4()), "kind": kind, **fields}
    return page.post(f"{page_of(row, key)}tap/", values)
