"""What a figure rests on, and the error a reading raises: shared by take-up and by ratio."""

from __future__ import annotations

from typing import Final

from projects.calc.lengths import PlainError

THIS_CLOTH: Final = "this cloth"
ANOTHER_CLOTH: Final = "another cloth"
NO_SAMPLE: Final = "none"


class SampleError(PlainError):
    """A reading that can't be right. `field` is "flat", "finished" or "tucks"."""
