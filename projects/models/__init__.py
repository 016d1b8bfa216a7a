"""One module per noun. Models know the rows; what people do with them is in activities."""

from .base import Deletable, Deletion, LengthField, Revised, TypedUnits
from .client import Client
from .edge import Edge
from .fabric import ClothFlaw, ClothLength, Fabric, Notion
from .labour import LabourLog, LabourTotal
from .lay import KeptLay, LayCut, LayDraft, LayLength
from .money import HourRate, OtherCost
from .person import Invitation, Operation, Person, SignInTries
from .photo import Photo
from .piece import Panel, Piece
from .project import Project
from .recipe import Recipe, RecipeVersion
from .sample import Sample
from .share import ShareLink
from .step import Step
from .stock import NotionNeed, StockEntry
from .workroom import LabourRate, Workroom

__all__ = [
    "Client",
    "ClothFlaw",
    "ClothLength",
    "Deletable",
    "Deletion",
    "Edge",
    "Fabric",
    "HourRate",
    "Invitation",
    "KeptLay",
    "LabourLog",
    "LabourRate",
    "LabourTotal",
    "LayCut",
    "LayDraft",
    "LayLength",
    "LengthField",
    "Notion",
    "NotionNeed",
    "Operation",
    "OtherCost",
    "Panel",
    "Person",
    "Photo",
    "Piece",
    "Project",
    "Recipe",
    "RecipeVersion",
    "Revised",
    "Sample",
    "ShareLink",
    "SignInTries",
    "Step",
    "StockEntry",
    "TypedUnits",
    "Workroom",
]
