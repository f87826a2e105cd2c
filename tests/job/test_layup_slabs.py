"""A layup as slabs for the heat kernel."""

import pytest

import outgas
from outgas.errors import InputError
from outgas.job import layup
from outgas.tables import rates


def test_slabs_of_no_plies_are_refused():
    with pytest.raises(InputError, match="has no plies"):
        layup.slabs_of(outgas.Layup(), rates.Curing(outgas.resin("orthophthalic-polyester")), ())
