"""Serves the studio: gunicorn where processes can fork, waitress elsewhere."""

import os
from collections.abc import Callable
from typing import Any

SETTINGS: dict[str, Any] = {
    "worker_class": "gthread",
    "workers": 2,
    "threads": 4,
    "timeout": 60,
    # Workers are renewed now and then, so that memory a print once needed is given back.
    "max_requests": 2000,
    "max_requests_jitter": 200,
    "loglevel": "warning",
    "control_socket_disable": True,
    "preload_app": True,
}


def read_program() -> None:
    """Import every page once, before processes are made that then share it."""
    from django.urls import get_resolver

    from studio.wsgi import application  # noqa: F401

    _ = get_resolver().url_patterns


def serve(host: str, port: int, *, ready: Callable[[], None]) -> None:
    """Serve until stopped. ``ready`` is called once the studio listens."""
    if hasattr(os, "fork"):
        _gunicorn(host, port, ready)
    else:
        _waitress(host, port, ready)


def _gunicorn(host: str, port: int, ready: Callable[[], None]) -> None:
    from gunicorn.app.base import BaseApplication

    bind = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    hooks = {
        "bind": bind, "when_ready": lambda arbiter: ready(), "post_worker_init": lambda worker: warm_up(),
    }

    class Studio(BaseApplication):  # type: ignore[misc]
        def load_config(self) -> None:
            for name, value in {**SETTINGS, **hooks}.items():
                self.cfg.set(name, value)

        def load(self) -> Any:
            from studio.wsgi import application

            return application

    Studio().run()


def _waitress(host: str, port: int, ready: Callable[[], None]) -> None:
    from waitress.server import create_server

    from studio.wsgi import application

    server = create_server(application, host=host, port=port, threads=4, ident="")
    ready()
    warm_up()
    try:
        server.run()
    finally:
        server.close()


def warm_up() -> None:
    """Import what prints need a moment after the first pages were answered, so no print waits for it."""
    from threading import Timer

    from projects.printing import available

    timer = Timer(5, available.pdf_available)
    timer.daemon = True
    timer.start()
