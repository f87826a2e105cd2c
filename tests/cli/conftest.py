"""The command line sets its own registry of units; each test gives the one before it back."""

import pint
import pytest


@pytest.fixture(autouse=True)
def registry_given_back():
    before = pint.get_application_registry().get()
    yield
    pint.set_application_registry(before)
