"""The demo studio: Larkfield Workroom and its work, so that every page has something true to show."""

from .load import load_demo

__all__ = ["load_demo"]
