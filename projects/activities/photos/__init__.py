"""Photographs: taken in, kept in three sizes, told about, deleted. Each module says what it does."""

from .adding import MOST_AT_ONCE, Added, add_drawn, add_photos
from .changing import change_photo, clear_old, delete_photo, owner_name
from .files import SIZES, photo_file_path
from .header import Refused
from .moving import move_photo
from .owners import counts_by_step, kind_of, of_all, photos_of, seen

__all__ = [
    "MOST_AT_ONCE",
    "SIZES",
    "Added",
    "Refused",
    "add_drawn",
    "add_photos",
    "change_photo",
    "clear_old",
    "counts_by_step",
    "delete_photo",
    "kind_of",
    "move_photo",
    "of_all",
    "owner_name",
    "photo_file_path",
    "photos_of",
    "seen",
]
