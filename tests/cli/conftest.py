"""A command run in this process; it sets its own registry of units, which each test gives back."""

import pint
import pytest

from outgas.cli.main import main


@pytest.fixture(autouse=True)
def registry_given_back():
    before = pint.get_application_registry().get()
    yield
    pint.set_application_registry(before)


@pytest.fixture
def run(capsys):
    def go(*arguments):
        code = main(list(arguments))
        got = capsys.readouterr()
        return code, got.out, got.err

    return go
