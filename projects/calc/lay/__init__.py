"""Laying panels on cloth. `plan_lay` is the one way in; how it packs is its own business."""

from projects.calc.lay.planner import plan_lay
from projects.calc.lay.request import Lay, LayError, LayPanel, LayRequest, Placement

__all__ = ["Lay", "LayError", "LayPanel", "LayRequest", "Placement", "plan_lay"]
