import ast
import doctest
import importlib
import inspect
import re
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


RECORDS = ("BagPressure", "Advice", "Schedule", "Diagnosis", "Job", "Shop", "Layup", "Rig")
# Names that compute nothing of physics: they read, list or look up, so they have no equation.
LISTS = {"bag_sides", "cores", "processes", "pumps", "reinforcements", "tools"}
PLAIN = {
    "better_instrument",
    "questions",
    "read_job",
    "read_panels",
    "resin",
    "resins",
    "volatile",
    "volatiles",
    *LISTS,
}
# Methods of the records above that compute; the observations of a bag have their equations in the
# Notes of BagPressure, together.
COMPUTING = {
    "BagPressure.advise",
    "BagPressure.observations",
    "BagPressure.next_observation",
    "Advice.interval",
    "Advice.voids_at",
    "Diagnosis.replay",
    "Schedule.bubbles",
    "Layup.resin_mass",
    "Layup.slabs",
    "Rig.volume",
}


# An author's year, or the admission that there is none to name.
SOURCE = re.compile(
    r"\b(18|19|20)\d\d\b|from memory|common practice|own derivation|[Dd]efinition|balance|estimate"
)


def ours():
    return [name for name in outgas.__all__ if name != "Quantity"]  # that one is pint's


def functions():
    return [name for name in ours() if inspect.isfunction(getattr(outgas, name))]


def methods(cls):
    """Its own and inherited public methods, properties left out."""
    return [
        name
        for name, member in inspect.getmembers(cls, callable)
        if not name.startswith("_") and member.__module__.startswith("outgas.")
    ]


def examples(text):
    return doctest.DocTestParser().get_examples(text or "")


def called(text, method):
    """Whether an example of a text calls a method."""
    return any(
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr == method
        for example in examples(text)
        for node in ast.walk(ast.parse(example.source))
    )


def notes(text):
    """The text under Notes, '' where there is none."""
    _, _, after = text.partition("Notes\n-----\n")
    return re.split(r"\n\n[A-Z][a-z]+\n-+\n", after)[0].strip()


def failed(name):
    """How many examples a name's docstring has, and how many of them fail."""
    thing = getattr(outgas, name)
    module = sys.modules[thing.__module__]
    runner = doctest.DocTestRunner(verbose=False)
    for test in doctest.DocTestFinder(recurse=True).find(thing, name, module=module):
        runner.run(test, out=lambda _: None)
    return runner.tries, runner.failures


@pytest.mark.parametrize("name", ours())
def test_every_public_name_has_an_example_that_runs(name):
    thing = getattr(outgas, name)
    assert any(example.want for example in examples(inspect.getdoc(thing))), name
    tries, failures = failed(name)
    assert tries > 0
    assert failures == 0


@pytest.mark.parametrize("name", RECORDS)
def test_every_public_method_has_an_example_in_its_own_docstring_or_in_its_class(name):
    cls = getattr(outgas, name)
    found = methods(cls)
    assert found, name
    for method in found:
        docs = inspect.getdoc(getattr(cls, method)), inspect.getdoc(cls)
        assert docs[0], method
        assert examples(docs[0]) or called(docs[1], method), f"{name}.{method}"


@pytest.mark.parametrize("name", sorted({*functions()} - PLAIN))
def test_every_function_that_computes_has_its_equation_and_source_in_notes(name):
    said = notes(inspect.getdoc(getattr(outgas, name)))
    assert said, name
    assert " = " in said, name
    assert SOURCE.search(said), name


@pytest.mark.parametrize("name", sorted(COMPUTING))
def test_every_method_that_computes_has_notes(name):
    cls, _, method = name.partition(".")
    assert notes(inspect.getdoc(getattr(getattr(outgas, cls), method))), name


def test_every_observation_of_a_bag_is_named_where_its_equation_stands():
    said = notes(inspect.getdoc(outgas.BagPressure))
    seen = [
        name
        for name in methods(outgas.BagPressure)
        if inspect.getdoc(getattr(outgas.BagPressure, name)).startswith("Take in")
    ]
    assert len(seen) >= 10
    for name in seen:
        assert re.search(rf"\b{name}\b", said), name


def test_what_has_no_equation_is_a_public_function():
    assert set(functions()) > PLAIN


@pytest.mark.parametrize("name", functions())
def test_every_public_function_says_what_it_returns_and_what_it_raises(name):
    text = inspect.getdoc(getattr(outgas, name))
    takes = inspect.signature(getattr(outgas, name)).parameters
    headings = ("Returns", *(("Parameters", "Raises") if takes else ()))
    for heading in headings:
        assert f"{heading}\n{'-' * len(heading)}\n" in text, f"{name}: {heading}"
