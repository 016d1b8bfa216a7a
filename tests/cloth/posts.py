"""What a browser would post to the pages of cloth and notions."""

import uuid
from typing import Any

from django.test import Client

from tests import make

MM = make.MM
METRE = 1000 * MM
LONG = "ß" * 10_000


def fabric_post(**values: Any) -> dict[str, Any]:
    return {"name": "Linen voile", "width": "140", "op": str(uuid.uuid4()), "units": "metric", **values}


def length_post(**values: Any) -> dict[str, Any]:
    return {"label": "L7", "received": "4.5", "op": str(uuid.uuid4()), "units": "metric", **values}


def notion_post(**values: Any) -> dict[str, Any]:
    usual = {"name": "Shell buttons", "kind": "button", "unit": "pieces", "received": "12"}
    return {**usual, "op": str(uuid.uuid4()), "units": "metric", **values}


def book_post(**values: Any) -> dict[str, Any]:
    return {"kind": "received", "amount": "2", "op": str(uuid.uuid4()), "units": "metric", **values}


def the_form(page: Client, address: str) -> dict[str, str]:
    """What a browser would send from the form of a page, left untouched."""
    form = page.get(address).context["form"]
    data = {}
    for field in form:
        value = field.value()
        if value is True or (value not in (None, False, "")):
            data[field.html_name] = "on" if value is True else str(value)
    return data
