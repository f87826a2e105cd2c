import importlib
import inspect
import subprocess
import sys

import pytest

import outgas


def test_all_is_exactly_what_can_be_had():
    for name in outgas.__all__:
        assert getattr(outgas, name) is not None
    homes = {name for names in outgas._HOMES.values() for name in names}
    assert homes | {"Quantity"} == set(outgas.__all__)
    assert set(outgas.__all__) <= set(dir(outgas))


def test_an_unknown_attribute_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'advice_me'"):
        outgas.__getattr__("advice_me")


def test_every_public_function_says_units_and_errors():
    for name in (
        "advise",
        "vapour_pressure",
        "boiling_temperature",
        "barometer",
        "read_pressure",
        "bubble_growth",
    ):
        text = inspect.getdoc(getattr(outgas, name))
        for heading in ("Parameters", "Returns", "Raises"):
            assert heading in text, name
        assert any(unit in text for unit in ("[Pa]", "[K]", "[m]")), name


def test_everything_after_shop_is_keyword_only():
    parameters = list(inspect.signature(outgas.advise).parameters.values())
    assert [p.name for p in parameters[:2]] == ["resin", "shop"]
    assert all(p.kind is inspect.Parameter.KEYWORD_ONLY for p in parameters[2:])


def test_the_cli_module_is_where_the_script_points():
    assert callable(importlib.import_module("outgas.cli.main").main)


def test_the_version_is_a_version():
    assert outgas.__version__.count(".") == 2
    done = subprocess.run(
        [sys.executable, "-m", "outgas", "--version"],
        check=True,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.stdout.strip() == f"outgas {outgas.__version__}"
