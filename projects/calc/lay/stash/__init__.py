"""Laying panels on lengths of the stash, and on the roll for what they don't serve.

Two projects on one fabric are laid together by asking for the panels of both at once, their names made
different. A piece cut by an outline is laid as the box around it; to lay outlines, a panel would get a shape,
which `bins.hits` compares where now it compares boxes, and `corners` and `fill` would ask for places by it.
"""

from projects.calc.lay.stash.improving import improve_stash
from projects.calc.lay.stash.planner import plan_stash

__all__ = ["improve_stash", "plan_stash"]
