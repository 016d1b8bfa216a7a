"""How deep people sew, as check measures at the bench show it."""

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.http import require_safe

from projects.calc.hand import Hand
from projects.planning.hands import hand_lines

from . import posts


@require_safe
def hands(request: HttpRequest) -> HttpResponse:
    """One's own hand by technique and cloth; an owner sees everybody's."""
    everybody = request.user.is_owner
    start = request.workroom.depth_spread
    lines = hand_lines(None if everybody else request.user.pk, start)
    context = {"lines": lines, "everybody": everybody, "starting": Hand(spread=start)}
    return posts.show(request, "hours/hands.html", context)


urlpatterns = [path("hours/hands/", hands, name="hands")]
