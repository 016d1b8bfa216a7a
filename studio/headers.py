"""Headers that every answer carries beside the content security policy."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

PERMISSIONS = "camera=(self), geolocation=(), microphone=(), payment=(), screen-wake-lock=(self), usb=()"


class SecurityHeaders:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        response.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
        if "text/html" in response.headers.get("Content-Type", ""):
            # A page holds the studio's own data; a shared computer's "back" must not show it after sign-out.
            response.headers.setdefault("Cache-Control", "private, no-store")
        return response
