import pickle
from pathlib import Path

import msgspec
import pytest

import outgas
from outgas.errors import DataError, UnknownNameError
from outgas.physics import data_sheet
from outgas.physics.cure import LeeLoosSpringer, rate, time_to
from outgas.tables import built, catalogue, data, rates
from outgas.tables.number import Number


def test_no_two_resins_share_all_their_rates():
    found = {}
    for name in outgas.resins():
        law = rates.kinetics(outgas.resin(name))
        assert law not in found.values(), name
        found[name] = law


def test_every_standard_mass_loses_what_a_cup_does_and_no_reaction_passes_its_whole():
    for name, raw in data.table("kinetics.toml").items():
        resin = catalogue.resin(name)
        assert rates.sheet(resin)["gel"] < raw["final_conversion"] <= 1.0, name
        assert raw["final_conversion"] <= raw["most_final_conversion"] <= 1.0, name
        if "cup_loss_W_per_K" in raw:
            family = rates.family_of(resin)
            loss = family.cup_loss or rates.cure().general.cup_loss
            assert loss.low_si <= raw["cup_loss_W_per_K"] <= loss.high_si, name
            assert raw["final_conversion"] > 0.65, name
        else:  # nothing known of its peak: all of it, the hot side
            assert raw["final_conversion"] == 1.0, name


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            lambda t: t.replace(
                "time_to_peak = { value = 35.0", "time_to_peak = { value = 15.0"
            ).replace("low = 21.0, high = 52.5", "low = 10.0, high = 52.5"),
            "is not after the gel time",
        ),
        (
            lambda t: t.replace(
                "peak_temperature = { value = 155.0", "peak_temperature = { value = 300.0"
            ).replace("low = 145.0, high = 165.0", "low = 145.0, high = 310.0"),
            "all that the heat",
        ),
        (
            lambda t: t.replace(
                "time_to_peak = { value = 35.0", "time_to_peak = { value = 300.0"
            ).replace("low = 21.0, high = 52.5", "low = 21.0, high = 310.0"),
            r"in a cup that loses 0.1 to 0.25 W/K \(at best they miss: gel time by",
        ),
        (lambda t: t.replace('family = "polyester"', 'family = "polyestre"'), "did you mean"),
    ],
)
def test_a_sheet_that_contradicts_itself_is_refused_in_one_line(tmp_path, change, message):
    text = (Path(str(data.root())) / "resins.toml").read_text(encoding="utf-8")
    start = text.index("[orthophthalic-polyester]")
    mine = text[start : text.index("[isophthalic-polyester]")].replace(
        "orthophthalic-polyester", "odd"
    )
    path = tmp_path / "odd.toml"
    path.write_text(change(mine), encoding="utf-8")
    with pytest.raises((DataError, UnknownNameError), match=message) as caught:
        rates.kinetics(catalogue.resin(str(path)))
    assert "\n" not in str(caught.value)


ORTHO = outgas.resin("orthophthalic-polyester")
FILM = next(r for r in map(outgas.resin, outgas.resins()) if r.gel_of == "film" and not r.published)
WARM = Number(value=40.0, unit="degC", u95=1.0, source="sheet", how="read")
PREPREG = next(r for r in map(outgas.resin, outgas.resins()) if r.published)


def other(number, by=1.01):
    return Number(
        value=number.value * by,
        unit=number.unit,
        u95=abs(number.value),
        source=number.source,
        how=number.how,
    )


def test_a_sheet_is_in_si_with_the_familys_figures_where_it_is_silent():
    got = rates.sheet(ORTHO)
    # 20 and 35 min, 155 degC, 363 kJ/kg and a gel at 5 %, on 100 g at 25 degC
    assert got["gel_time"] == pytest.approx(1200.0)
    assert got["time_to_peak"] == pytest.approx(2100.0)
    assert got["peak_temperature"] == pytest.approx(428.15)
    assert (got["heat"], got["gel"]) == pytest.approx((363e3, 0.05))
    assert (got["mass"], got["temperature"]) == pytest.approx((0.1, 298.15))
    family = rates.family_of(ORTHO)
    silent = msgspec.structs.replace(ORTHO, heat=None, gel_conversion=None, gel_time=None)
    got = rates.sheet(silent)
    assert (got["heat"], got["gel"]) == (family.heat.si, family.gel_conversion.si)
    assert got["gel_time"] is None
    assert got["gel_temperature"] == got["temperature"]


def test_only_a_cup_waits_for_its_inhibitor():
    assert rates.sheet(ORTHO)["induction_energy"] == rates.family_of(ORTHO).induction_energy.si
    film = msgspec.structs.replace(ORTHO, gel_of="film")
    assert rates.sheet(film)["induction_energy"] == 0.0


def test_the_law_of_a_resin_gives_its_sheet_back():
    law = rates.kinetics(FILM)
    s = rates.sheet(FILM)
    assert time_to(law, s["gel"], s["gel_temperature"]) == pytest.approx(s["gel_time"], rel=2e-3)
    law, s = rates.kinetics(ORTHO), rates.sheet(ORTHO)
    loss = rates.built(ORTHO).cup_loss_W_per_K
    cup = data_sheet.Cup(
        mass=s["mass"],
        heat_capacity=s["heat_capacity"],
        heat_capacity_slope=s["heat_capacity_slope"],
        loss=loss,
        air_K=s["temperature"],
    )
    run = data_sheet.in_cup(law, cup, 8000.0)
    assert (run.gel, run.peak_time) == pytest.approx((1200.0, 2100.0), rel=2e-3)
    assert run.peak == pytest.approx(428.15, abs=0.3)


def test_a_film_is_solved_anew_to_what_it_states():
    plain = msgspec.structs.replace(FILM, time_to_peak=None, peak_temperature=None)
    found = rates.solve(plain)
    assert found.record == rates.fingerprint(plain)
    assert found.cup_loss_W_per_K is None
    assert found.k1_per_s == pytest.approx(rates.sheet(plain)["ratio"] * found.k2_per_s)
    slow = msgspec.structs.replace(plain, gel_time=other(plain.gel_time, 2.0))
    assert rates.solve(slow).k2_per_s == pytest.approx(found.k2_per_s / 2.0)


def test_every_number_that_rates_are_solved_from_is_in_the_fingerprint():
    names = ("gel_time", "time_to_peak", "peak_temperature", "heat", "gel_conversion")
    changed = [msgspec.structs.replace(ORTHO, **{n: other(getattr(ORTHO, n))}) for n in names]
    changed += [
        msgspec.structs.replace(ORTHO, name="other"),
        msgspec.structs.replace(ORTHO, gel_of="film"),
        msgspec.structs.replace(ORTHO, gel_temperature=WARM),
        msgspec.structs.replace(ORTHO, family="vinyl ester", heat=None),
    ]
    found = [rates.fingerprint(resin) for resin in (ORTHO, *changed)]
    assert len(set(found)) == len(found)
    same = msgspec.structs.replace(ORTHO, title="other", viscosity=other(ORTHO.viscosity))
    assert rates.fingerprint(same) == found[0]


def test_a_sheet_that_says_too_little_is_refused_by_name():
    silent = msgspec.structs.replace(ORTHO, gel_time=None)
    with pytest.raises(DataError, match=r"^orthophthalic-polyester: no gel_time"):
        rates.solve(silent)
    for name in ("time_to_peak", "peak_temperature"):
        with pytest.raises(DataError, match="polyester: gel_time of a cup needs time_to_peak and"):
            rates.solve(msgspec.structs.replace(ORTHO, **{name: None}))


def test_a_family_is_found_whatever_its_spaces_or_the_nearest_is_offered():
    assert rates.family_of(msgspec.structs.replace(ORTHO, family="vinyl ester"))
    with pytest.raises(UnknownNameError, match="polyester"):
        rates.family_of(msgspec.structs.replace(ORTHO, family="polyestre"))


def test_a_published_law_is_taken_as_it_stands_with_minutes_made_seconds():
    law = rates.kinetics(PREPREG)
    assert isinstance(law, LeeLoosSpringer)
    raw = data.table("cure.toml")["published"][PREPREG.published]
    # Lee, Loos and Springer (1982): at conversion 0 only k1 B is left, a rate per minute
    k1, E1 = raw["factors_per_min"][0], raw["energies_J_per_mol"][0]
    T = 450.0
    want = k1 / 60.0 * 2.718281828459045 ** (-E1 / (8.314462618 * T)) * raw["limit"]
    assert float(rate(law, 0.0, 1.0, T)) == pytest.approx(want, rel=1e-6)
    assert law.gel == rates.sheet(PREPREG)["gel"]
    assert law.heat == PREPREG.heat.si
    for k, (ours, theirs) in enumerate(zip(law.factors, raw["factors_per_min"], strict=True)):
        assert ours * 60.0 == pytest.approx(theirs), k
    unknown = msgspec.structs.replace(PREPREG, published="lee-loos-springs")
    with pytest.raises(UnknownNameError, match="lee-loos-springer"):
        rates.kinetics(unknown)


def test_the_table_of_cure_is_checked_whole(monkeypatch):
    raw = data.table("cure.toml")
    family = raw["family"]["polyester"]
    for broken, message in (
        ({**raw, "odd": {}}, "cure.toml: .*unknown field `odd`"),
        ({**raw, "general": {**raw["general"], "mass": family["heat"]}}, "cure.toml: general.mass"),
        (
            {**raw, "family": {"polyester": {**family, "order_m": family["heat"]}}},
            "cure.toml: family.polyester.order_m",
        ),
    ):
        monkeypatch.setattr(data, "table", lambda _, held=broken: held)
        with pytest.raises(DataError, match=message):
            rates.cure.__wrapped__()


def test_shipped_rates_are_believed_only_for_the_record_they_were_solved_from(
    monkeypatch, tmp_path
):
    calls = []
    monkeypatch.setattr(built, "cache_file", lambda *_: tmp_path / "kept.json")
    made = rates.built.__wrapped__(ORTHO)
    monkeypatch.setattr(rates, "solve", lambda resin: calls.append(resin) or made)
    assert rates.built.__wrapped__(ORTHO).record == rates.fingerprint(ORTHO)
    assert calls == []
    rates.built.__wrapped__(msgspec.structs.replace(ORTHO, gel_time=other(ORTHO.gel_time)))
    assert len(calls) == 1


def test_how_a_resin_cures_is_what_the_tables_say_and_looked_up_once(monkeypatch):
    got = rates.Curing(ORTHO)
    s, solved = rates.sheet(ORTHO), rates.built(ORTHO)
    assert got.law == rates.kinetics(ORTHO)
    assert got.family == rates.family_of(ORTHO)
    assert (got.gel.si, got.heat.si) == (s["gel"], s["heat"])
    assert got.further == rates.most_final(ORTHO)
    assert got.cup_loss == solved.cup_loss_W_per_K
    monkeypatch.setattr(rates, "kinetics", lambda _: None)
    monkeypatch.setattr(rates, "family_of", lambda _: None)
    assert got.law is not None
    assert got.family is not None


def test_a_family_is_known_where_no_rate_of_cure_can_be_solved():
    silent = rates.Curing(msgspec.structs.replace(ORTHO, gel_time=None))
    assert silent.family == rates.family_of(ORTHO)
    with pytest.raises(DataError, match="no gel_time"):
        _ = silent.law


def test_where_no_loss_of_a_cup_was_solved_for_the_least_is_taken():
    film = rates.Curing(msgspec.structs.replace(FILM, time_to_peak=None, peak_temperature=None))
    assert rates.built(film.resin).cup_loss_W_per_K is None
    assert film.cup_loss == (film.family.cup_loss or film.general.cup_loss).low_si


def test_what_was_looked_up_is_not_stored_with_an_answer():
    got = rates.Curing(ORTHO)
    fresh = pickle.dumps(got)
    assert got.law == got.law
    assert pickle.dumps(got) == fresh
    assert pickle.loads(fresh) == got


@pytest.mark.parametrize("name", ["orthophthalic-polyester", "epoxy-laminating"])
def test_a_resin_paced_to_its_own_gel_time_peaks_as_its_sheet_says(name):
    resin = catalogue.resin(name)
    run = rates.paced(resin, resin.gel_time.si)
    assert run.peak_time == pytest.approx(resin.time_to_peak.si, rel=5e-3)
    assert run.peak == pytest.approx(resin.peak_temperature.si, abs=1.0)
    slow = rates.paced(resin, 2.0 * resin.gel_time.si)
    assert slow.peak_time > run.peak_time
    assert slow.peak < run.peak
    if resin.gel_of == "cup":
        assert slow.gel == pytest.approx(2.0 * resin.gel_time.si, rel=1e-4)


def test_a_resin_whose_sheet_states_no_peak_is_not_paced():
    for name in ("autoclave-epoxy-prepreg", "out-of-autoclave-epoxy-prepreg"):
        with pytest.raises(DataError, match="states no peak"):
            rates.paced(catalogue.resin(name), 3600.0)
