"""Laying panels on lengths of the stash, and on the roll for what they don't serve."""

from projects.calc.lay.stash.improving import improve_stash
from projects.calc.lay.stash.planner import plan_stash

__all__ = ["improve_stash", "plan_stash"]
