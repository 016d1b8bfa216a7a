"""What a browser would post from the recipe page, read from the page itself."""

from html.parser import HTMLParser
from typing import Any


class _Fields(HTMLParser):
    """Collects the fields of the form with the wanted id, and of controls that name it."""

    def __init__(self, form: str) -> None:
        super().__init__()
        self.form, self.inside, self.values = form, False, {}
        self.select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "form":
            self.inside = given.get("id") == self.form or (
                not self.form and "save" in (given.get("action") or "")
            )
        if not self.inside:
            return
        if tag == "input" and given.get("type") not in ("checkbox", "radio"):
            self.values[given.get("name")] = given.get("value") or ""
        if tag == "input" and given.get("type") == "checkbox" and "checked" in given:
            self.values[given.get("name")] = given.get("value") or "on"
        if tag == "select":
            self.select = given.get("name") or ""
        if tag == "option" and self.select and ("selected" in given or self.select not in self.values):
            self.values[self.select] = given.get("value") or ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.inside = False
        if tag == "select":
            self.select = ""


def fields(response: Any, form: str = "recipe-form", **changed: str | None) -> dict[str, str]:
    """The form's fields as they stand on a page, with changes; None takes a field out."""
    reader = _Fields(form)
    reader.feed(response.content.decode())
    found = {**reader.values, **{key.replace("__", "."): value for key, value in changed.items()}}
    return {key: value for key, value in found.items() if value is not None and key}
