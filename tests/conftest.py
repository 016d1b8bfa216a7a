"""What every test may ask for: the studio, its people, their sign-ins, and a browser."""

import gc
from collections.abc import Iterator
from inspect import signature

import pytest
from django.test import Client
from django.utils import timezone
from hypothesis import HealthCheck, settings

from projects.models import Person, Workroom
from tests import make
from tests.browser import Browsing, start_chromium

# How quickly examples are drawn says something about the machine only, so it fails no test.
settings.register_profile("steady", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("steady")


@pytest.fixture
def workroom(db: None) -> Workroom:
    """The studio's one row, claimed and in millimetres."""
    return make.workroom()


@pytest.fixture
def midday(monkeypatch: pytest.MonkeyPatch) -> None:
    """The program's clock runs from noon on: a timer asks sooner over midnight, so what a test began within
    the last hours would come out otherwise late in the evening. A browser's clock has to be set beside it."""
    real = timezone.now
    ahead = real().replace(hour=12, minute=0) - real()
    monkeypatch.setattr(timezone, "now", lambda: real() + ahead)


@pytest.fixture
def owner(workroom: Workroom) -> Person:
    return make.person("wren", shown_name="Wren", role=Person.OWNER)


@pytest.fixture
def maker(workroom: Workroom) -> Person:
    return make.person("moss", shown_name="Moss")


def signed_in(person: Person) -> Client:
    page = Client()
    page.force_login(person)
    return page


@pytest.fixture
def owner_page(owner: Person) -> Client:
    """A client signed in as the owner."""
    return signed_in(owner)


@pytest.fixture
def maker_page(maker: Person, owner: Person) -> Client:
    """A client signed in as a maker, in a studio that has an owner."""
    return signed_in(maker)


@pytest.fixture
def stranger_page(owner: Person) -> Client:
    """A client that is not signed in, in a studio that has an owner."""
    return Client()


@pytest.fixture(scope="session")
def chromium() -> Iterator[object]:
    """One Chromium for the whole run."""
    with start_chromium() as browser:
        yield browser


@pytest.fixture
def browser_page(chromium: object, live_server: object, request: pytest.FixtureRequest) -> Iterator[Browsing]:
    """``browser_page(width, person=..., javascript=True)`` opens a page; console errors fail the test."""
    browsing = Browsing(chromium, live_server.url)
    yield browsing
    report = getattr(request.node, "call_report", None)
    browsing.close(keep_as=request.node.nodeid if report is not None and report.failed else "")
    assert not browsing.problems, "\n".join(browsing.problems)


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Iterator[None]:
    outcome = yield
    report = outcome.get_result()
    if report.when == "call":
        item.call_report = report


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--on-database", action="store_true", help="only what may touch the database")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Whatever opens a browser carries the marker, so it can be left out by name.

    With ``--on-database`` what can't have to do with a database is left out by itself: pytest-django lets a
    test near one only by the mark or a fixture, or by a process of its own, of which ``setup`` starts some.
    """
    for item in items:
        if "browser_page" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.browser)
    if config.getoption("on_database"):
        left = [item for item in items if not _near_database(item)]
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if _near_database(item)]


def pytest_collection_finish() -> None:
    """What was collected stays to the end; the garbage collector need not look through it again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


DATABASE_FIXTURES = {"db", "transactional_db", "live_server"}


def _near_database(item: pytest.Item) -> bool:
    # A test that itself asks for ``request`` may ask that for any fixture.
    return bool(
        item.get_closest_marker("django_db")
        or DATABASE_FIXTURES & set(getattr(item, "fixturenames", ()))
        or "request" in signature(item.function).parameters
        or "tests/setup" in item.path.as_posix()
    )
