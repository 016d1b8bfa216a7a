"""Photographs: taken in, kept in three sizes, told about, deleted. Each module says what it does."""

from .files import SIZES, photo_file_path

__all__ = ["SIZES", "photo_file_path"]
