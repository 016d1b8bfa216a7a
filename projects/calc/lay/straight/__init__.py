"""Lays of straight cuts alone: every cut runs edge to edge of what it cuts, as cloth is torn."""

from projects.calc.lay.straight.quick import plan_straight
from projects.calc.lay.straight.search import improve_straight

__all__ = ["improve_straight", "plan_straight"]
