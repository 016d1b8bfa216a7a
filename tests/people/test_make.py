"""The factories make rows that pass the models' own checks."""

import pytest

from tests import make


@pytest.mark.django_db
def test_every_factory_makes_a_clean_row() -> None:
    who = make.person()
    rows = [
        make.workroom(), who, make.client(), make.project(), make.fabric(), make.length(), make.notion(),
        make.recipe(), make.version(), make.sample(), make.piece(), make.panel(), make.step(), make.log(who),
    ]
    for row in rows:
        row.full_clean()
