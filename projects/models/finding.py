"""What rows are found by: their words in small letters, kept in one column, so that one look finds them."""

import unicodedata
from collections.abc import Iterable
from typing import Any

from django.db import models


def folded(text: str) -> str:
    """Small letters in one form: full-width, composed and accented letters alike, ``ß`` as ``ss``."""
    small = unicodedata.normalize("NFKC", text.replace("\x00", " ")).casefold()
    return unicodedata.normalize("NFKC", small)


class Found(models.Model):
    """``words`` holds what a row is searched by; it is written with the row, whoever saves it."""

    words = models.TextField(default="", blank=True, editable=False)

    class Meta:
        abstract = True

    def said(self) -> Iterable[str]:
        """The texts a row is searched by."""
        raise NotImplementedError

    def words_now(self) -> str:
        """The words as they should be; each text on a line of its own, so that none runs into the next."""
        return folded("\n".join(text for text in self.said() if text))

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.words = self.words_now()
        if kwargs.get("update_fields") is not None:
            kwargs["update_fields"] = {*kwargs["update_fields"], "words"}
        super().save(*args, **kwargs)
