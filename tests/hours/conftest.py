"""Hours: what was begun an hour ago is of the same day, at whatever hour the tests run."""

import pytest


@pytest.fixture(autouse=True)
def _midday_without_a_browser(request: pytest.FixtureRequest) -> None:
    if "browser_page" not in request.fixturenames:
        request.getfixturevalue("midday")
