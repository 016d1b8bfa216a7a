"""One module per noun. Models know the rows; what people do with them is in activities."""

from .base import Deletable, Deletion, LengthField, Revised, TypedUnits
from .client import Client
from .fabric import ClothLength, Fabric, Notion
from .labour import LabourLog, LabourTotal
from .lay import KeptLay
from .person import Invitation, Operation, Person, SignInTries
from .piece import Panel, Piece
from .project import Project
from .recipe import Recipe, RecipeVersion
from .sample import Sample
from .step import Step
from .stock import NotionNeed, StockEntry
from .workroom import LabourRate, Workroom

__all__ = [
    "Client",
    "ClothLength",
    "Deletable",
    "Deletion",
    "Fabric",
    "Invitation",
    "KeptLay",
    "LabourLog",
    "LabourRate",
    "LabourTotal",
    "LengthField",
    "Notion",
    "NotionNeed",
    "Operation",
    "Panel",
    "Person",
    "Piece",
    "Project",
    "Recipe",
    "RecipeVersion",
    "Revised",
    "Sample",
    "SignInTries",
    "Step",
    "StockEntry",
    "TypedUnits",
    "Workroom",
]
