"""The worker that keeps the bench pages opened last on the device, to be opened without connection too.

The script itself is ``static/js/bench-worker.js``. What is served here names it, with every static file that
a bench page needs: after an update the names are others, and the browser fetches the worker anew.
"""

import json
from hashlib import sha256

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_safe

from .bench_person import bench_person

WHOSE, VERSION = "X-Bench-Whose", "X-Bench-Version"
"""What a bench page says to the worker: whose it is, and which files it was made with."""
SCRIPTS = (
    "js/pins.js",
    *(
        f"js/bench-{name}.js"
        for name in (
            "fold", "outbox", "lengths", "numbers", "link", "strays", "waiting", "figures", "lies",
            "words", "model", "ask", "keys", "awake", "line", "taps", "show", "advice", "forms", "kept",
            "page", "start",
        )
    ),
)  # fmt: skip
"""The scripts of a bench page, in the order they are run."""
FILES = (
    "css/app.css", "css/bench.css", "fonts/SourceSans3-Regular.woff2", "fonts/SourceSans3-Semibold.woff2",
    "icon.svg", "js/app.js", "js/bench-forget.js", "vendor/htmx-2.0.11.min.js", *SCRIPTS,
)  # fmt: skip


def addresses() -> list[str]:
    """Where each of the files is served from."""
    return [static(name) for name in FILES]


def version() -> str:
    """Another one whenever a file of the bench page is another: 16 letters."""
    names = " ".join([*addresses(), static("js/bench-worker.js")])
    return sha256(names.encode()).hexdigest()[:16]


def whose(request: HttpRequest) -> str:
    """Who is signed in and who is at the bench: what is kept for others is thrown away. Empty: nobody."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return ""
    return f"{user.pk}-{bench_person(request).pk}"


def kept_for(request: HttpRequest, answer: HttpResponse) -> None:
    """Let the worker keep a bench page, for whom it was made and with its files."""
    answer[WHOSE], answer[VERSION] = whose(request), version()


@require_safe
def bench_worker(request: HttpRequest) -> HttpResponse:
    """The worker's script, for all below the address of the projects."""
    told = {
        "files": addresses(), "version": version(), "whose_header": WHOSE, "version_header": VERSION,
        "scope": reverse("projects"), "static": settings.STATIC_URL,
    }  # fmt: skip
    text = f"self.BENCH = {json.dumps(told)};\nimportScripts({json.dumps(static('js/bench-worker.js'))});\n"
    answer = HttpResponse(text, content_type="text/javascript; charset=utf-8")
    answer["Cache-Control"] = "no-cache"
    return answer
