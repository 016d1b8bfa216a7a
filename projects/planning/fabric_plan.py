"""One fabric of a Plan: its lay and what to buy. Lengths are whole nanometres."""

from dataclasses import dataclass
from decimal import Decimal

from projects.calc.lay import Lay, LayPanel, LayRequest

from .advice import SampleNeeded
from .sewn import Binding


@dataclass(frozen=True, slots=True)
class LayPart:
    """One rectangle to be cut from a fabric. ``panel`` is as it is laid, its name its own in the project;
    ``name`` is what people know it by. A panel joined of several widths has several; ``panel_id`` is None for
    the blank of strips, whose ``key`` is its binding's."""

    panel: LayPanel
    name: str
    panel_id: int | None
    cut: bool
    key: str = ""
    piece_id: int | None = None
    hand: str = ""
    """LEFT or RIGHT of a pair of its piece, where the panel is in one part."""


@dataclass(frozen=True, slots=True)
class LayOn:
    """One cloth that a lay takes: ``name`` as its placements say it (on), "" for the roll, ``cloth_id`` the
    length it is (None: cloth still to buy) and its label. ``width`` as it is worked, ``used`` along it, and
    ``there``: all of it that the project may use, when an accepted lay was laid (the roll: what is used)."""

    name: str
    cloth_id: int | None
    label: str
    width: int
    used: int
    there: int


@dataclass(frozen=True, slots=True)
class BuyLine:
    """One reason in what to buy: "panels as laid", "shrinkage", "sample of pin tucks", "on hand"."""

    why: str
    length: int


@dataclass(frozen=True, slots=True)
class FabricPlan:
    """One fabric of the project: its lay, what is needed, on hand and to buy (rounded up to the step)."""

    fabric_id: int
    name: str
    width: int
    lay: Lay | None
    problem: str
    need: int
    on_hand: int
    buy_exact: int
    buy: int
    lines: tuple[BuyLine, ...]
    kept_lay: bool = False
    lay_changed: bool = False
    grams: Decimal | None = None
    """Weight of all panels of this fabric, where it is known."""
    free: int = 0
    """All that is free on hand for this project, whether the work can use it or not (nm)."""
    lot: str = ""
    mixed: bool = False
    """Some panels come from cloth on hand, others from cloth to buy."""
    uses: tuple[tuple[str, int], ...] = ()
    """Lengths on hand to cut from: (what is written on the tag, nm of cloth as worked)."""
    samples: tuple[SampleNeeded, ...] = ()
    request: LayRequest | None = None
    """What the lay is asked for: all panels, cut ones too, on cloth as it is worked."""
    lay_width: int = 0
    """Width of the cloth the lay is drawn on (nm): that of the length it is kept on, else ``width``."""
    sold_width: int = 0
    """Width of the fabric as it is sold, before any wash (nm); ``width`` is once it is washed."""
    panels: tuple[LayPanel, ...] = ()
    for_panels: int = 0
    """Cloth for the panels still to cut, without samples and swatches (nm): as bought, and what comes from
    lengths that are washed already as it is."""
    worked: int = 0
    """The same as it is worked (nm)."""
    for_all_panels: int = 0
    """The same for all panels, cut ones too: it stays when one is cut."""
    whole: int = 0
    """The same as it is worked (nm)."""
    bindings: tuple[Binding, ...] = ()
    """Blanks for strips, which lie after the panels in the lay's request."""
    parts: tuple[LayPart, ...] = ()
    """What is cut from the fabric, cut or not, in the order of ``request``; ``request.panels`` are theirs."""
    lay_state: str = "quick"
    """Where the lay shown comes from: "accepted", "improved" (the best a draft has), or "quick"."""
    laid_for: LayRequest | None = None
    """What the lay shown was found for: the lengths it may lie on, gap, pins. An accepted lay's own."""
    lay_on: tuple[LayOn, ...] = ()
    """The cloth the lay shown takes, lengths on the shelf first, then the roll (``name`` "")."""
    laid_with: tuple[int, ...] = ()
    """Numbers of the other projects on the same accepted lay."""
    cut_off: int = 0
    """What the accepted lay took off lengths already (nm as on the shelf), where panels still lie in it: no
    more of it is needed."""
    carried_by: int | None = None
    """Number of the project whose accepted lay this one's panels lie in, and which takes the cloth for them:
    then nothing is needed here. None where the lay is the project's own."""
