"""A folder of photographs of its own for each test."""

from pathlib import Path
from typing import Any

import pytest


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "photographs"
    return tmp_path / "photographs"


def files_in(folder: Path) -> list[str]:
    """Names of all files in a folder, hidden ones too."""
    return sorted(path.name for path in folder.rglob("*") if path.is_file())
