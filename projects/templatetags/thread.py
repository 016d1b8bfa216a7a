"""Thread and cord in words, with what the figures cover."""

from typing import Any

from django import template

from projects.calc import thread
from projects.calc.lengths import System
from projects.planning.plan import CordPlan, ThreadPlan
from projects.planning.thread_plan import cord_said, covers

register = template.Library()


@register.simple_tag(takes_context=True)
def thread_length(context: dict[str, Any], nm: int) -> str:
    """Rounded up, as sure as a starting value is: "44 m"."""
    return thread.said(nm, System(context["workroom"].units))


@register.filter
def thread_covers(found: ThreadPlan) -> str:
    return covers(found)


@register.simple_tag(takes_context=True)
def cord_line(context: dict[str, Any], cord: CordPlan) -> str:
    return cord_said(cord, System(context["workroom"].units))
