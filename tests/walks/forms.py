"""The forms of a page as a browser would post them, read from its HTML."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

UNTYPED = ("hidden", "checkbox", "radio", "submit", "button", "password", "search")


@dataclass
class PageForm:
    """``values`` is what is posted untouched; ``typed`` names the fields somebody types text into."""

    ident: str
    values: dict[str, str] = field(default_factory=dict)
    typed: list[str] = field(default_factory=list)
    chosen: list[str] = field(default_factory=list)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[PageForm] = []
        self.inside: PageForm | None = None
        self.select = self.area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.inside = PageForm(given.get("id", ""))
            self.forms.append(self.inside)
        if self.inside is None:
            return
        name = given.get("name", "")
        if tag == "input" and name:
            self._input(self.inside, name, given)
        elif tag == "textarea":
            self.area = name
            self.inside.values[name] = ""
            self.inside.typed.append(name)
        elif tag == "select":
            self.select = name
            self.inside.chosen.append(name)
        elif (
            tag == "option" and self.select and ("selected" in given or self.select not in self.inside.values)
        ):
            self.inside.values[self.select] = given.get("value", "")

    @staticmethod
    def _input(form: PageForm, name: str, given: dict[str, str]) -> None:
        kind = given.get("type", "text")
        if kind in ("checkbox", "radio") and "checked" not in given:
            return
        form.values[name] = given.get("value", "on" if kind == "checkbox" else "")
        if kind not in UNTYPED:
            form.typed.append(name)

    def handle_data(self, data: str) -> None:
        if self.area and self.inside is not None:
            self.inside.values[self.area] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.inside = None
        elif tag == "select":
            self.select = ""
        elif tag == "textarea":
            if self.inside is not None and self.inside.values[self.area].startswith("\n"):
                self.inside.values[self.area] = self.inside.values[self.area][1:]
            self.area = ""


def form_with(html: str, name: str) -> PageForm:
    """The first form of a page that has a field called ``name``."""
    reader = _Reader()
    reader.feed(html)
    return next(form for form in reader.forms if name in form.values or name in form.typed)
