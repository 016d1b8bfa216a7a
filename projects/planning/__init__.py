"""Rows -> calc -> one Plan: the only place where the models and the calculation service meet."""

from .load import Rows, load_rows
from .making import plan_project, plan_rows

__all__ = ["Rows", "load_rows", "plan_project", "plan_rows"]
