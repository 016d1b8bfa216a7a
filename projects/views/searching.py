"""What every search shares: the words of a query, and rows in which each of them is found."""

import re
import unicodedata
from collections.abc import Iterable

from django.db import connection
from django.db.models import Q

MOST_WORDS = 8
MOST_LETTERS = 200


def words_of(query: str) -> list[str]:
    """The words to look for: at most eight, composed letters, nothing a database can't hold."""
    plain = unicodedata.normalize("NFC", query[:MOST_LETTERS]).replace("\x00", " ")
    return list(dict.fromkeys(plain.split()))[:MOST_WORDS]


def contains(field: str, word: str) -> Q:
    """``field`` holds ``word``, whatever the case of its letters.

    SQLite's own comparison folds only the letters a to z, so other words go through its regular expressions.
    """
    if connection.vendor == "sqlite" and not word.isascii():
        return Q(**{f"{field}__iregex": re.escape(word)})
    return Q(**{f"{field}__icontains": word})


def every_word(words: Iterable[str], fields: Iterable[str]) -> Q:
    """Each word stands in at least one of ``fields``."""
    found, listed = Q(), list(fields)
    for word in words:
        anywhere = Q()
        for field in listed:
            anywhere |= contains(field, word)
        found &= anywhere
    return found
