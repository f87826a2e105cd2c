"""Tests stand where the code is: each module of some size has its own test module."""

from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
PACKAGE = TESTS.parent / "outgas"
SHORT = 60  # lines up to which a module may do without
# Modules tested together with their neighbours, or by what is asked of them: by which tests.
ELSEWHERE = {
    "bag_log/charts.py": "bag_log/test_read_log.py",
    "bag_log/log.py": "bag_log/test_read_log.py",
    "bag_log/words.py": "bag_log/test_read_log.py",
    "cli/progress.py": "show/test_progress.py",
    "files.py": "abuse/test_files.py",
    "laminate/gas/held.py": "laminate/test_gas_balance.py",
    "no_gauge/cautions.py": "no_gauge/test_words.py",
    "show/plain.py": "no_gauge/test_kept.py",
    "show/us.py": "cli/test_us.py",
    "tables/cure.py": "tables/test_rates.py",
    "many/sources.py": "many/test_weakest.py",
    "many/worker.py": "many/test_sweep.py",
    "physics/steps/cells.py": "physics/test_heat_steps.py",
    "physics/steps/gather.py": "physics/test_heat_steps.py",
    "physics/steps/implicit.py": "physics/test_heat_steps.py",
    "physics/steps/march.py": "physics/test_heat_steps.py",
    "physics/steps/reaction.py": "physics/test_heat_steps.py",
    "physics/steps/tableau.py": "physics/test_heat_steps.py",
    "plan/history.py": "plan/test_bleed.py",
    "shop_card/grid.py": "shop_card/test_card.py",
    "show/margins.py": "show/test_draw.py",
    "show/shapes.py": "show/test_draw.py",
    "window/charts/against.py": "window/test_charts.py",
    "window/charts/over_pressure.py": "window/test_charts.py",
    "window/charts/upright.py": "window/test_charts.py",
    "window/charts/zones.py": "window/test_charts.py",
    "window/ways/ways_of_prepreg.py": "window/test_ways_out_numbers.py",
}


def modules():
    """Every module of some size."""
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.name != "__init__.py" and len(path.read_text("utf-8").splitlines()) > SHORT:
            yield path.relative_to(PACKAGE)


def own_test(module: Path) -> Path | None:
    """The module's own tests: in its room, by its name, or by its folder's and its name."""
    names = [f"test_{module.stem}.py", f"test_{module.parent.name}_{module.stem}.py"]
    room = TESTS / module.parts[0] if len(module.parts) > 1 else TESTS
    return next((room / name for name in names if (room / name).exists()), None)


@pytest.mark.parametrize("module", [str(module) for module in modules()])
def test_each_module_has_its_tests(module):
    elsewhere = ELSEWHERE.get(module)
    own = own_test(Path(module))
    assert (own is None) != (elsewhere is None), "one or the other"
    assert elsewhere is None or (TESTS / elsewhere).exists()


def test_what_is_tested_elsewhere_is_there():
    assert set(ELSEWHERE) <= {str(module) for module in modules()}
