"""What several tests of panels share."""

import pytest
from some_panels import MIXED, rows

import outgas


@pytest.fixture(scope="session")
def shop():
    return outgas.Shop(temperature="22 degC", humidity="50 %")


@pytest.fixture(scope="session")
def ten():
    return rows(*MIXED)


@pytest.fixture(scope="session")
def known(ten, shop):
    return outgas.learn(ten, shop)
