"""Lists and single records on the command line."""

import json
import re

import pytest

import outgas

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]


def test_lists_name_every_record(run):
    for command, names in (("resins", outgas.resins()), ("volatiles", outgas.volatiles())):
        code, out, _ = run(command)
        assert code == 0
        for name in names:
            assert name in out
        code, out, _ = run(command, "--json")
        assert set(json.loads(out)) == set(names)


def test_show_explains_numbers_with_range_how_and_source(run):
    code, out, _ = run("resins", "show", UP)
    assert code == 0
    assert "0.35 to 0.45" in out
    assert "from memory" in out
    assert "polyester-data-sheets" in out
    code, out, _ = run("volatiles", "show", "styrene")
    assert "Peng-Robinson" in out
    assert "VDI Heat Atlas" in out
    code, out, _ = run("volatiles", "show", "water")
    assert "reference equation of state" in out
    code, out, _ = run("resins", "show", "polyurethane-infusion")
    assert "carbon dioxide" in out


def test_show_as_json_keeps_unit_and_source_beside_each_number(run):
    _, out, _ = run("resins", "show", UP, "--json")
    record = json.loads(out)
    assert record["viscosity"]["unit"] == "mPa s"
    assert record["viscosity"]["source"] == "polyester-data-sheets"


def test_a_users_own_file_works_on_the_command_line(run, tmp_path):
    from outgas.tables import data

    text = (data.root() / "resins.toml").read_text(encoding="utf-8")
    block = text[text.index(f"[{UP}]") : text.index("\n[isophthalic-polyester]")]
    path = tmp_path / "mine.toml"
    path.write_text(block.replace(UP, "mine"), encoding="utf-8")
    code, out, _ = run("advise", "--full", str(path), *SHOP)
    assert code == 0
    assert out == run("advise", "--full", UP, *SHOP)[1]
    path.write_text(block.replace(UP, "mine").replace('source = "memory", ', "", 1))
    code, out, err = run("advise", "--full", str(path), *SHOP)
    assert (code, out) == (2, "")
    assert "missing required field `source`" in err


def row(text, name):
    return re.split(r"\s{2,}", next(line for line in text.splitlines() if line.startswith(name)))


def test_water_has_the_pressures_and_the_boiling_point_of_steam_tables(run):
    """IAPWS 1995: 23.39 mbar at 20 degC, 199.5 at 60; 1 atm at 99.97 degC."""
    _, out, _ = run("volatiles")
    name, cold, _, warm, boils, _ = row(out, "water")
    assert name == "water"
    assert float(cold) == pytest.approx(23.39, rel=0.003)
    assert float(warm) == pytest.approx(199.5, rel=0.005)
    assert boils == "100.0 degC"


def test_a_resin_is_listed_with_what_boils_out_of_it_and_its_processes(run):
    _, out, _ = run("resins")
    record = outgas.resin(UP)
    styrene = next(part for part in record.part if part.volatile == "styrene")
    line = " ".join(row(out, UP))
    assert f"styrene {styrene.fraction.value:g}" in line.replace("%", "") or (
        f"styrene {styrene.fraction.value * 100:g}" in line
    )
    assert "water only" in " ".join(row(out, "epoxy-laminating"))
    assert all(process.split()[0] in out for process in record.processes)


def test_a_number_is_shown_with_its_unit_and_either_kind_of_range(run):
    from outgas.cli.commands.lists import _span
    from outgas.tables.number import Number

    told = {"source": "estimate", "how": "estimate"}
    assert _span(Number(value=2.5, unit="mbar", u95=0.5, **told)) == ("2.5 mbar", "± 0.5")
    assert _span(Number(value=0.4, unit="1", low=0.3, high=0.6, **told)) == ("0.4", "0.3 to 0.6")


def test_each_source_is_cited_once_and_one_of_a_users_own_as_the_file_says():
    from outgas.cli.commands.lists import _citations

    lines = _citations(["estimate", "polyester-data-sheets", "estimate", "my shop"])
    assert [line.partition(":")[0] for line in lines] == [
        "estimate", "polyester-data-sheets", "my shop",
    ]  # fmt: skip
    assert lines[-1] == "my shop: as the file says"


def test_a_correlation_is_shown_with_both_of_its_ranges(run):
    _, out, _ = run("volatiles", "show", "styrene")
    low, high = (
        getattr(outgas.volatile("styrene").saturation, f"stated_{end}_K") for end in ("low", "high")
    )
    flat = " ".join(out.split())
    assert f"stated for {low:g} to {high:g} K" in flat
    assert "95 % uncertainty:" in flat
    assert "CAS 100-42-5" in flat


def test_one_record_as_json_is_that_record_and_the_list_holds_the_same(run):
    _, one, _ = run("volatiles", "show", "water", "--json")
    _, all_, _ = run("volatiles", "--json")
    assert json.loads(one) == json.loads(all_)["water"]


def test_output_that_is_no_terminal_has_no_colour_codes_and_keeps_its_width(run):
    _, out, _ = run("resins")
    assert "\x1b" not in out
    assert 80 < max(len(line) for line in out.splitlines()) <= 100
