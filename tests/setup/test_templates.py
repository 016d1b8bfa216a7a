"""What the content security policy breaks silently must not be in a template or in HTML made by Python."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
BROKEN = {
    "a style attribute": r"<[^>]*\sstyle\s*=",
    "a style element": r"<style\b",
    "an event attribute": r"<[^>]*\son[a-z]+\s*=\s*[\"']",
    "hx-on": r"\b(?:data-)?hx-on[:\w-]*\s*=",
    "hx-vars": r"\bhx-vars\b",
    "a js: value": r"[\"'{]\s*(?:js|javascript):",
    "a filter in hx-trigger": r"hx-trigger\s*=\s*\"[^\"]*\[|hx-trigger\s*=\s*'[^']*\[",
    "an inline script": r"<script(?![^>]*\bsrc=)",
    "something from elsewhere": r"(?:src|href)\s*=\s*[\"'](?:https?:)?//",
}


def broken(text: str) -> list[str]:
    """Names of the broken things in a template's text."""
    plain = re.sub(r"\{#.*?#\}|\{% comment %\}.*?\{% endcomment %\}|<!--.*?-->", "", text, flags=re.S)
    return [name for name, pattern in BROKEN.items() if re.search(pattern, plain, re.I)]


def templates() -> list[Path]:
    return sorted((ROOT / "templates").rglob("*.html"))


@pytest.mark.parametrize("path", templates(), ids=lambda path: str(path.relative_to(ROOT / "templates")))
def test_template_holds_nothing_the_policy_breaks(path: Path) -> None:
    assert broken(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("html", [
    '<p style="color:red">', '<button onclick="go()">', '<div hx-on:click="x">', "<style>p{}</style>",
    '<div hx-on::after-request="x">', "<div hx-vars='a:1'>", "<div hx-vals='js:{a: 1}'>",
    '<a href="javascript:go()">', '<i hx-trigger="click[ctrlKey]">', "<script>go()</script>",
    "<script nonce='x'>", '<script src="https://elsewhere.example/x.js">',
])
def test_the_search_finds_what_it_is_for(html: str) -> None:
    assert broken(html)


@pytest.mark.parametrize("html", [
    '<script src="/static/app.js" defer></script>', '<path stroke="black" stroke-width="1"/>',
    '<input hx-trigger="input changed delay:300ms, change">', '<a href="/hours/">', "{# <p style=... #}",
])
def test_the_search_leaves_the_rest_alone(html: str) -> None:
    assert broken(html) == []


def test_drawings_made_in_python_carry_no_style() -> None:
    for path in (ROOT / "projects").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"\sstyle=\\?[\"'{]|\bonclick=", text), path
