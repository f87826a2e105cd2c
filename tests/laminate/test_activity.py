"""Activities in a resin: what gets into it by mistake is added to what is there, never less."""

import math

import hypothesis
import hypothesis.strategies as st
import msgspec
import numpy as np
import pytest

import outgas
from outgas.errors import InputError
from outgas.job.job import read_contaminants
from outgas.laminate.activity import activities, pushes
from outgas.physics import solution
from outgas.tables import catalogue

pytestmark = pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
UP = "orthophthalic-polyester"
SHOP = outgas.Shop(temperature="26 degC", humidity="60 %")
NAMES = sorted(outgas.volatiles())
RESINS = sorted(r for r in outgas.resins() if "autoclave" not in r)  # beyond most curves


def push(resin, **traces):
    given = read_contaminants({k.replace("_", "-"): v for k, v in traces.items()})
    return {p.volatile.name: p.activity for p in pushes(outgas.resin(resin), given)}


def test_the_resins_own_monomer_is_added_to_what_is_there():
    clean, more = push(UP)["styrene"], push(UP, styrene="1 %")["styrene"]
    assert clean < more < 1.05 * clean
    part = next(p for p in outgas.resin(UP).part if p.volatile == "styrene")
    # by hand: 40 % of 99 % is 39.6 %, and 1 % beside it
    assert part.fraction.si == pytest.approx(0.40)
    richer = outgas.partial_pressures(UP, "29 degC")["styrene"].m * more / clean
    advice = outgas.advise(UP, SHOP, contaminants={"styrene": "1 %"})
    assert advice.partial_pressures_Pa["styrene"] == pytest.approx(richer, rel=1e-6)


def test_spilt_water_counts_until_the_resin_is_saturated():
    dry = outgas.advise(UP, SHOP)
    damp = outgas.advise(UP, SHOP, contaminants={"water": "0.1 %"})
    soaked = outgas.advise(UP, SHOP, contaminants={"water": "5 %"})
    assert damp.water_activity[0] > dry.water_activity[0]
    assert soaked.water_activity == (1.0, 1.0)
    assert soaked.limits_Pa["vapour"] > damp.limits_Pa["vapour"] > dry.limits_Pa["vapour"]


def test_a_trace_takes_nothing_away_from_the_others():
    clean = push(UP)
    two = push(UP, acetone="1 %", toluene="3 %")
    assert two["styrene"] == clean["styrene"]
    assert two["acetone"] == push(UP, acetone="1 %")["acetone"]
    assert two["toluene"] == push(UP, toluene="3 %")["toluene"]


def test_contaminants_together_are_bounded():
    with pytest.raises(InputError, match=r"contaminants are 12% together; above 10%"):
        outgas.advise(UP, SHOP, contaminants={"acetone": "6 %", "toluene": "6 %"})
    with pytest.raises(InputError, match=r"contaminant acetone is 11%; above 10%"):
        outgas.advise(UP, SHOP, contaminants={"acetone": "11 %"})


@hypothesis.given(
    resin=st.sampled_from(RESINS),
    names=st.lists(st.sampled_from(NAMES), min_size=1, max_size=3, unique=True),
    shares=st.lists(st.floats(0.0, 0.03), min_size=3, max_size=3),
    more=st.floats(0.0, 0.01),
)
@hypothesis.example("mma-polyester", ["styrene"], [0.015, 0.0, 0.0], 0.0)  # its own monomer
def test_more_of_a_contaminant_never_lowers_the_vapour_limit(resin, names, shares, more):
    record = outgas.resin(resin)
    least_K = record.minimum_temperature.si
    shop = outgas.Shop(temperature=f"{max(least_K, 299.15)} K", humidity="50 %")

    def least(given):
        try:
            return outgas.advise(resin, shop, process=record.processes[0], contaminants=given)
        except outgas.OutOfRangeError:  # a prepreg's oven is beyond the curves of some
            hypothesis.reject()

    given = {name: str(share) for name, share in zip(names, shares, strict=False)}
    before = least(given)
    given[names[0]] = str(shares[0] + more)
    after = least(given)
    assert after.limits_Pa["vapour"] >= before.limits_Pa["vapour"] * (1 - 1e-12)
    assert after.limits_Pa["vapour"] >= least({}).limits_Pa["vapour"] * (1 - 1e-12)
    assert after.deepest_Pa >= before.deepest_Pa * (1 - 1e-9)


def test_conversion_broadcasts_with_a_trace_beside():
    given = read_contaminants({"acetone": "1 %"})
    found = activities(outgas.resin(UP), given, np.array([0.0, 0.5]))
    assert [np.shape(a) for _, a in found] == [(2,), (2,)]
    assert found[0][1][1] < found[0][1][0]


def test_many_conversions_give_what_each_gives_alone():
    resin, trace = outgas.resin(UP), ((outgas.volatile("acetone"), 0.01),)
    alphas = np.array([0.0, 0.02, 0.3])
    together = activities(resin, trace, alphas)
    for i, alpha in enumerate(alphas):
        for (name, many), (other, one) in zip(
            together, activities(resin, trace, float(alpha)), strict=True
        ):
            assert name == other
            assert np.asarray(many)[i] == pytest.approx(one, rel=1e-12)


@pytest.mark.parametrize("name", [UP, "resole-phenolic"])
def test_a_trace_keeps_less_of_its_pressure_among_larger_molecules(name):
    """Flory and Huggins by hand: prepolymer, and water where it is a part, in the mean volume."""
    resin, acetone, share = outgas.resin(name), outgas.volatile("acetone"), 0.05
    (_, a) = activities(resin, ((acetone, share),), 0.0)[-1]
    small = {"acetone": (share, acetone)}
    for part in resin.part:
        if part.volatile:
            record = outgas.volatile(part.volatile)
            small[part.volatile] = (part.fraction.si * (1.0 - share), record)
    solid = resin.prepolymer
    solid_volume = (1.0 - sum(w for w, _ in small.values())) / solid.density.si
    volumes = {name: w / record.density.si for name, (w, record) in small.items()}
    whole = solid_volume + sum(volumes.values())
    per_volume = solid_volume / whole * solid.density.si / solid.molar_mass.si
    per_volume += sum(v / whole / small[name][1].molar_volume for name, v in volumes.items())
    chi = catalogue.practice().margins.contaminant_chi.si
    phi = volumes["acetone"] / whole
    wanted = phi * math.exp(1.0 - acetone.molar_volume * per_volume + chi)
    assert a == pytest.approx(wanted, rel=1e-9)


# Monomers by hand -------------------------------------------------------------------------------


def by_hand(resin, conversion=0.0, ends=None, more=None):
    """Activities of a resin's monomers: volumes by density, then Flory and Huggins, capped at one.

    ends: which inputs are at which end. more: mass shares of its own monomers that got in.
    """
    ends, more = ends or {}, more or {}

    def number(x, name):
        return getattr(x, ends.get(name, "si"))

    monomers = [p for p in resin.part if p.volatile and p.volatile != "water"]
    records = [outgas.volatile(p.volatile) for p in monomers]
    w = np.array([number(p.fraction, "fraction") for p in monomers])
    got_in = np.array([more.get(p.volatile, 0.0) for p in monomers])
    w = w * (1.0 - got_in) + got_in
    w = w / max(w.sum(), 1.0)
    left = w * (1.0 - conversion)
    water = sum(p.fraction.si for p in resin.part if p.volatile == "water")
    solid, polymer = 1.0 - left.sum() - water, resin.prepolymer
    density = number(polymer.density, "density")
    held = [*records, outgas.volatile("water")]
    volume = np.array([*left, water, solid]) / [*(v.density.si for v in held), density]
    phi = volume / volume.sum()
    gel = resin.gel_conversion.si if resin.gel_conversion else 1.0
    size = np.inf if conversion >= gel else number(polymer.molar_mass, "molar_mass") / density
    chi = [number(p.chi, "chi") if p.chi else 0.0 for p in monomers]
    sizes = np.array([v.molar_volume for v in held])
    found = solution.activities(phi[:-1], sizes, size, np.array([*chi, 0.0]))
    return np.minimum(found[:-1], 1.0)


WITH_MONOMER = sorted(r for r in outgas.resins() if outgas.resin(r).monomers)


@pytest.mark.parametrize("name", WITH_MONOMER)
@pytest.mark.parametrize("conversion", [0.0, 0.03, 0.6])
def test_each_monomers_activity_is_that_by_hand(name, conversion):
    resin = outgas.resin(name)
    found = [a for _, a in activities(resin, (), conversion)]
    assert found == pytest.approx(list(by_hand(resin, conversion)), rel=1e-9)
    assert all(type(a) is float for a in found)


def test_the_polymer_is_endless_from_its_gel_or_where_none_is_told_when_all_has_reacted():
    resin = outgas.resin(UP)
    gel = resin.gel_conversion.si
    for alpha in (0.99 * gel, 1.01 * gel):
        ((_, a),) = activities(resin, (), alpha)
        assert a == pytest.approx(float(by_hand(resin, alpha)[0]), rel=1e-9)
    unsaid = msgspec.structs.replace(resin, gel_conversion=None)
    ((_, a),) = activities(unsaid, (), 1.01 * gel)
    assert a == pytest.approx(float(by_hand(unsaid, 1.01 * gel)[0]), rel=1e-9)
    assert a != pytest.approx(float(by_hand(resin, 1.01 * gel)[0]), rel=1e-6)


@pytest.mark.parametrize("name", WITH_MONOMER)
def test_the_upper_side_is_the_root_of_squares_of_what_each_input_adds_up_to_all(name):
    resin = outgas.resin(name)
    middle = by_hand(resin)
    square = np.zeros(len(middle))
    for given in ("fraction", "chi", "molar_mass", "density"):
        ends = [by_hand(resin, ends={given: end}) / middle - 1.0 for end in ("low_si", "high_si")]
        square += np.maximum(0.0, np.maximum(*ends)) ** 2
    wanted = np.minimum(np.sqrt(square), 1.0 / middle - 1.0)
    found = pushes(resin)
    assert [p.activity for p in found] == pytest.approx(list(middle), rel=1e-9)
    assert [p.above for p in found] == pytest.approx(list(wanted), rel=1e-9)
    assert (wanted > 0.0).all()


def each_alone(resin, own):
    """Activities of monomers with each that got in alone in the clean resin, never below that."""
    clean = by_hand(resin)
    names = [p.volatile for p in resin.monomers]
    alone = [by_hand(resin, more={n: own.get(n, 0.0)})[i] for i, n in enumerate(names)]
    return list(np.maximum(clean, alone))


def test_its_own_monomer_is_added_but_thins_no_other_and_no_resin_is_more_monomer_than_it_is():
    resin = outgas.resin("mma-polyester")
    own = {"styrene": 0.05, "methyl-methacrylate": 0.03}
    given = read_contaminants(own)
    found = [a for _, a in activities(resin, given, 0.0)]
    assert found == pytest.approx(each_alone(resin, own), rel=1e-9)
    assert all(a > b for a, b in zip(found, by_hand(resin), strict=True))
    parts = [
        msgspec.structs.replace(
            p, fraction=msgspec.structs.replace(p.fraction, value=share, low=0.0, high=1.0)
        )
        for p, share in zip(resin.part, shares_of(resin), strict=True)
    ]
    rich = msgspec.structs.replace(resin, part=tuple(parts))
    found = [a for _, a in activities(rich, given, 0.0)]
    assert found == pytest.approx(each_alone(rich, own), rel=1e-6)
    assert all(0.0 < a <= 1.0 for a in found)


def test_no_monomer_that_got_in_pushes_more_than_it_does_alone():
    """A prepolymer that it hardly mixes with: by Flory and Huggins its activity would pass one."""
    resin = outgas.resin(UP)
    (poor,) = [p for p in resin.part if p.volatile == "styrene"]
    chi = msgspec.structs.replace(poor.chi, value=1.0, low=0.9, high=1.1)
    parts = tuple(
        msgspec.structs.replace(p, chi=chi) if p.volatile == "styrene" else p for p in resin.part
    )
    unmixed = msgspec.structs.replace(resin, part=parts)
    (clean,) = by_hand(unmixed, more={"styrene": 0.0})
    ((_, a),) = activities(unmixed, read_contaminants({"styrene": 0.08}), 0.0)
    assert clean == a == 1.0


def shares_of(resin):
    """All but a hundredth of it monomer."""
    of = {"styrene": 0.6, "methyl-methacrylate": 0.39}
    return [of.get(part.volatile, 0.01) for part in resin.part]


def test_no_activity_passes_one_of_a_monomer_or_of_a_trace():
    resin = outgas.resin(UP)
    parts = [
        msgspec.structs.replace(
            p, chi=p.chi and msgspec.structs.replace(p.chi, value=2.5, high=3.0)
        )
        for p in resin.part
    ]
    ((_, a),) = activities(msgspec.structs.replace(resin, part=tuple(parts)), (), 0.0)
    assert a == 1.0
    soaked = activities(resin, ((outgas.volatile("acetone"), 0.5),), 0.0)
    assert soaked[-1][1] == 1.0


def test_what_is_not_there_pushes_nothing():
    resin = outgas.resin(UP)
    given = ((outgas.volatile("acetone"), 0.0),)
    (none,) = (p for p in pushes(resin, given) if p.volatile.name == "acetone")
    assert (none.activity, none.above) == (0.0, 0.0)
