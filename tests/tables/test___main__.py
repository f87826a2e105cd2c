import tomllib

import msgspec
import pytest

import outgas
from outgas.tables import __main__, data, rates, volatiles


@pytest.fixture
def nothing_is_built(monkeypatch):
    """Hand on what is shipped in place of building it, which takes a minute."""
    monkeypatch.setattr(volatiles, "build", volatiles.built)
    monkeypatch.setattr(rates, "solve", rates.built)


@pytest.mark.parametrize(
    ("file", "write"), [("saturation.toml", __main__.text), ("kinetics.toml", __main__.rates_text)]
)
def test_what_is_read_from_a_built_table_is_written_back_letter_for_letter(
    nothing_is_built, file, write
):
    shipped = (data.root() / file).read_text(encoding="utf-8")
    assert write() == shipped


def test_every_figure_of_a_curve_keeps_all_its_digits(monkeypatch):
    made = outgas.volatile("water").built
    third = tuple(1.0 / (3.0 + k) for k in range(3))
    odd = msgspec.structs.replace(made, record="odd", alpha=third, residual_stated=0.0123456)
    monkeypatch.setattr(volatiles, "build", lambda _: odd)
    read = tomllib.loads(__main__.text())
    assert set(read) == set(outgas.volatiles())
    got = read["styrene"]
    assert (got["record"], tuple(got["alpha"])) == ("odd", third)
    assert got["residual_stated"] == 0.0123  # three figures: how far, not where
    assert [tuple(s["coefficients"]) for s in got["segment"]] == [
        s.coefficients for s in made.segment
    ]


def test_rates_are_written_to_eight_figures_and_not_for_a_published_law(monkeypatch):
    made = rates.RateTable(
        record="odd",
        induction_s=1000.0 / 3.0,
        k1_per_s=1e-4 / 3.0,
        k2_per_s=2e-3,
        final_conversion=0.8,
        most_final_conversion=0.9,
        residual=1.4e-4,
    )
    monkeypatch.setattr(rates, "solve", lambda _: made)
    read = tomllib.loads(__main__.rates_text())
    published = {name for name in outgas.resins() if outgas.resin(name).published}
    assert set(read) == set(outgas.resins()) - published
    assert published
    got = read["orthophthalic-polyester"]
    assert got["induction_s"] == pytest.approx(1000.0 / 3.0, rel=5e-8)
    assert got["k1_per_s"] == pytest.approx(1e-4 / 3.0, rel=5e-8)
    assert (got["k2_per_s"], got["residual"]) == (2e-3, 1e-4)
    assert "cup_loss_W_per_K" not in got  # none where a film's gel time was the sheet's


def test_both_tables_are_written_beside_their_sources_and_said(monkeypatch, tmp_path, capsys):
    monkeypatch.setattr(__main__, "text", lambda: "curves = '°'\n")
    monkeypatch.setattr(__main__, "rates_text", lambda: "rates = 1\n")
    monkeypatch.setattr(data, "root", lambda: tmp_path)
    assert __main__.main() == 0
    assert (tmp_path / "saturation.toml").read_text(encoding="utf-8") == "curves = '°'\n"
    assert (tmp_path / "kinetics.toml").read_text(encoding="utf-8") == "rates = 1\n"
    said = capsys.readouterr().out.splitlines()
    assert said == [f"wrote {tmp_path / n}.toml" for n in ("saturation", "kinetics")]


def test_the_built_table_reads_back(nothing_is_built, tmp_path):
    text = __main__.text()
    path = tmp_path / "saturation.toml"
    path.write_text(text, encoding="utf-8")
    assert set(tomllib.loads(path.read_text())) == set(outgas.volatiles())
