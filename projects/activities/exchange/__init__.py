"""Projects and recipes as files: one documented, versioned JSON format, out of a studio and into another.

Clients, photographs, accounts and what an hour costs stay behind. The format is described for people in
``templates/help/file_format.html``.
"""

from .bytes import LARGEST
from .errors import Unreadable
from .importing import Brought, bring_project, bring_recipe
from .reading import FORMAT, PROJECT, RECIPE, File, read_file
from .writing import project_text, recipe_text

__all__ = [
    "FORMAT",
    "LARGEST",
    "PROJECT",
    "RECIPE",
    "Brought",
    "File",
    "Unreadable",
    "bring_project",
    "bring_recipe",
    "project_text",
    "read_file",
    "recipe_text",
]
