"""A command run in this process."""

import pytest

from outgas.cli.main import main


@pytest.fixture
def run(capsys):
    def go(*arguments):
        code = main(list(arguments))
        got = capsys.readouterr()
        return code, got.out, got.err

    return go
