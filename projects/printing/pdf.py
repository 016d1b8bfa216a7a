"""HTML to PDF. Nothing is fetched but the project's own static files and data the page itself holds."""

import threading
from functools import cache
from pathlib import Path
from typing import Any

from django.contrib.staticfiles import finders

# WeasyPrint's fonts and layout are not meant for several threads; one print at a time in a process.
_ONE_AT_A_TIME = threading.Lock()

STATIC = "http://static.invalid/"
"""Where a print's own files seem to be. No such host can exist (RFC 2606); nothing is asked of a network."""


@cache
def own_fetcher() -> Any:
    """A fetcher that serves static files by ``STATIC`` and ``data:``, and refuses everything else."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFetcher(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
            if not url.startswith(STATIC):
                return super().fetch(url, headers)
            found = finders.find(url.removeprefix(STATIC))
            if not found:
                raise ValueError(f"no such static file: {url}")
            kinds = {".css": "text/css", ".woff2": "font/woff2", ".svg": "image/svg+xml"}
            kind = kinds.get(Path(found).suffix, "application/octet-stream")
            return URLFetcherResponse(url, Path(found).read_bytes(), {"Content-Type": kind})

    return OwnFetcher(allowed_protocols=("data",))


def _print_at_full_size(document: Any, pdf: Any) -> None:
    """Ask the print dialog not to scale: measures on paper are true only at 100 %."""
    import pydyf

    pdf.catalog["ViewerPreferences"] = pydyf.Dictionary({"PrintScaling": "/None"})


def render_pdf(html: str) -> bytes:
    """One PDF of a whole HTML page whose links to style and fonts begin with ``STATIC``."""
    from weasyprint import HTML

    with _ONE_AT_A_TIME:
        page = HTML(string=html, base_url=STATIC, url_fetcher=own_fetcher())
        return bytes(page.write_pdf(finisher=_print_at_full_size))
