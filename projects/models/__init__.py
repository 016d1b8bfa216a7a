"""One module per noun. Models know the rows; what people do with them is in activities."""

from .base import Deletable, Deletion, LengthField, Revised, TypedUnits
from .bench import BenchFact, HandChange, Run
from .calendar import DayOff, WeekHours
from .client import Client
from .edge import Edge
from .fabric import ClothFlaw, ClothLength, Fabric, Notion
from .labour import LabourLog, LabourTotal, LogChange
from .lay import KeptLay, LayCut, LayDraft, LayLength
from .learning import LearnedRate, StepTime
from .money import HourRate, OtherCost
from .own_steps import OwnStage, StepTemplate
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
    "BenchFact",
    "Client",
    "ClothFlaw",
    "ClothLength",
    "DayOff",
    "Deletable",
    "Deletion",
    "Edge",
    "Fabric",
    "HandChange",
    "HourRate",
    "Invitation",
    "KeptLay",
    "LabourLog",
    "LabourRate",
    "LabourTotal",
    "LayCut",
    "LayDraft",
    "LayLength",
    "LearnedRate",
    "LengthField",
    "LogChange",
    "Notion",
    "NotionNeed",
    "Operation",
    "OtherCost",
    "OwnStage",
    "Panel",
    "Person",
    "Photo",
    "Piece",
    "Project",
    "Recipe",
    "RecipeVersion",
    "Revised",
    "Run",
    "Sample",
    "ShareLink",
    "SignInTries",
    "Step",
    "StepTemplate",
    "StepTime",
    "StockEntry",
    "TypedUnits",
    "WeekHours",
    "Workroom",
]
