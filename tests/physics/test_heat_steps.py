"""The heat's own stepper: its method, its parts, and whole runs against scipy's LSODA."""

import dataclasses
import itertools

import numpy as np
import pytest
from heat_references import SOLID, UP, heated, layup_case, lsoda, oven_case

import outgas
from outgas.errors import OutOfRangeError
from outgas.laminate import warming
from outgas.physics import cure, gelling, heat
from outgas.physics.steps import cells, gather, implicit, output, tableau
from outgas.physics.steps.march import Tolerance, Trail
from outgas.physics.steps.reaction import speeds_of
from outgas.tables import rates

LOOSE = Tolerance(kelvin=0.02, conversion=1e-7, share=1e-4, inhibitor=3e-6)
LAYUPS = {
    "3 mm": outgas.Layup(plies=SOLID * 2, tool="18 mm plywood"),
    "10 mm": outgas.Layup(plies=SOLID * 7),
    "sandwich": outgas.Layup(
        plies=["3 x 600 g/m2 woven glass"], core="20 mm PVC foam", tool="6 mm glass plate"
    ),
    "metal": outgas.Layup(plies=SOLID * 7, tool="10 mm aluminium"),
    "40 mm": outgas.Layup(plies=["42 x 900 g/m2 woven roving"], tool="50 mm foam block"),
    "skin": outgas.Layup(plies=["core", "400 g/m2 woven glass"], core="15 mm PVC foam"),
}


def test_both_parts_of_the_method_meet_its_order_together():
    method = tableau.FOURTH
    A = (method.explicit, method.implicit)
    c, close = method.c, {"abs": 1e-13}
    for part in A:
        assert part.sum(axis=1) == pytest.approx(c, **close)
    for order, b in ((method.order, method.b), (method.order - 1, method.b - method.error)):
        sums = {1: [(b.sum(), 1.0)], 2: [(b @ c, 1 / 2)], 3: [(b @ c**2, 1 / 3)], 4: []}
        sums[3] += [(b @ M @ c, 1 / 6) for M in A]
        sums[4] += [(b @ c**3, 1 / 4)]
        sums[4] += [(b @ (c * (M @ c)), 1 / 8) for M in A] + [(b @ M @ c**2, 1 / 12) for M in A]
        sums[4] += [(b @ M @ N @ c, 1 / 24) for M, N in itertools.product(A, A)]
        for got, wanted in itertools.chain(*(sums[k] for k in range(1, order + 1))):
            assert got == pytest.approx(wanted, **close)


def test_a_stage_knows_no_more_than_the_stages_before_it():
    method = tableau.FOURTH
    for stage in range(1, method.stages):
        assert method.mixture(stage).size == 2 * stage - 1
        # without an implicit part the mixture is the explicit method
        assert method.mixture(stage)[1::2] == pytest.approx(method.explicit[stage, 1:stage])


def all_laws():
    return [rates.kinetics(outgas.resin(name)) for name in outgas.resins()]


@pytest.mark.parametrize("form", [cure.Kamal, cure.LeeLoosSpringer])
def test_the_hot_form_of_the_rates_is_the_plain_one(form):
    laws = [law for law in all_laws() if isinstance(law, form)]
    if form is cure.Kamal:
        laws += [
            dataclasses.replace(laws[0], induction=0.0, seed=1e-3, k1=0.0),
            dataclasses.replace(laws[0], induction_energy=8e4),
        ]
    X = np.array([0.0, 1e-12, 1e-4, 0.05, 0.3, 0.301, 0.46, 0.7, 0.95, 1.05])
    z, T = np.linspace(0.0, 3.0, X.size), np.linspace(260.0, 480.0, X.size)
    wide = [np.repeat(part[:, None], len(laws), axis=1) for part in (X, z, T)]
    dX, dz = np.zeros((2, X.size, len(laws)))
    speeds = speeds_of(laws)
    unused = np.array([getattr(law, "induction", 0.0) <= 0.0 for law in laws])
    speeds.into(wide[2], wide[0], np.where(unused, 10.0, wide[1]), dX, dz)
    for b, law in enumerate(laws):
        assert dX[:, b] == pytest.approx(cure.rate(law, X, z, T), rel=1e-11, abs=1e-25)
        assert dz[:, b] == pytest.approx(cure.inhibitor_rate(law, T), rel=1e-12)
    assert np.all(speeds.slowing(wide[0], dX) >= 0.0)


@pytest.mark.parametrize("runs", [2, 40])
def test_what_leaves_a_face_is_what_its_walls_temperature_says(runs):
    films = [warming.films()[1], warming.films(still=True)[0]]
    rng = np.random.default_rng(5)
    half, gain = rng.uniform(1e-4, 0.2, (2, runs)), rng.uniform(0.0, 300.0, (2, runs))
    radiating, rising = (
        np.array([[value] * runs for value in each])
        for each in (
            [f.emissivity * heat.STEFAN_BOLTZMANN for f in films],
            [f.rising for f in films],
        )
    )
    none = np.zeros((2, runs))
    faces = cells.Faces(
        half=half, constant=none, radiating=radiating, rising=rising, gain=gain, law=True,
        inner=none, wall=none, follows=none, steep=none,
    )  # fmt: skip
    air = np.full((2, runs), 298.15)
    inner = rng.uniform(290.0, 420.0, (2, runs))
    faces.settle(inner, air)
    for _ in range(6):  # as a run moves: by some kelvin at a time
        inner = inner + rng.uniform(-3.0, 3.0, (2, runs))
        got = faces.leaving(inner, air)
        for face, film in enumerate(films):
            wall = heat.wall_temperature(film, inner[face], air[face], half[face], gain[face])
            out = heat.coefficient(film, wall, air[face]) * (wall - air[face]) - gain[face]
            assert got[face] == pytest.approx(out, abs=0.02)


@pytest.mark.parametrize(("runs", "stiff"), [(3, 1.0), (3, 1e9), (9, 1.0)])
def test_the_implicit_part_solves_its_matrix(runs, stiff):
    names = itertools.islice(itertools.cycle(LAYUPS), runs)
    found, *_ = gather._batch([run_of(LAYUPS[name]) for name in names])
    found.faces.steep = np.array([[4.0] * runs, [9.0] * runs])
    n = found.capacity.shape[0]
    rng = np.random.default_rng(1)
    D, b = found.capacity * stiff * rng.uniform(0.01, 1.0, (n, runs)), rng.normal(size=(n, runs))
    b[np.arange(n)[:, None] > found.last] = 0.0  # nothing ever comes into what fills up
    solver = implicit.Implicit(found)
    solver.renew(D)
    assert solver.summed == (runs <= implicit.FEW and stiff == 1.0)
    x = solver.solve(b)
    for run in range(runs):
        links = np.append(found.inner[:, run], 0.0)
        full = np.diag(D[:, run] + links + np.append(0.0, links[:-1]))
        full -= np.diag(links[:-1], 1) + np.diag(links[:-1], -1)
        full[0, 0] += 4.0
        full[found.last[run], found.last[run]] += 9.0
        assert x[:, run] == pytest.approx(np.linalg.solve(full, D[:, run] * b[:, run]), abs=1e-9)


def run_of(layup, **more):
    case = layup_case(layup, **more)[0]
    return heat._run_of(case, heat._grid_of(case.slabs, 30, case.law.heat), 0.0)


def test_a_run_steps_alone_as_it_does_among_others():
    runs = [run_of(layup) for layup in LAYUPS.values()]
    runs += [run_of(LAYUPS["3 mm"], resin="epoxy-laminating", celsius=c) for c in (12.0, 31.0)]
    runs += [run_of(LAYUPS["metal"], resin="epoxy-infusion", celsius=20.0, tool=60.0)]
    oven = oven_case()
    runs += [heat._run_of(oven, heat._grid_of(oven.slabs, 30, oven.law.heat), 0.0)]
    together = dict(gather.trails_of(runs, LOOSE))
    assert sorted(together) == list(range(len(runs)))
    for i, run in enumerate(runs):
        ((_, alone),) = gather.trails_of([run], LOOSE)
        among = together[i]
        assert among.t == pytest.approx(alone.t, rel=1e-9)
        assert np.abs(among.Y - alone.Y).max() < 3e-7  # a thousand millionth of 300 K
        assert pytest.approx(alone.Y, rel=1e-9, abs=1e-9) == among.Y


def close_to_lsoda(case, rtol=warming.RTOL, kelvin=0.05, gel=1e-3):
    times = np.linspace(0.0, case.end, 1001)
    T, X, wet = lsoda(case, times, warming.CELLS)
    run = heat.solve(
        case.slabs, case.law, case.around, case.start, times,
        cells=warming.CELLS, rtol=rtol, atol=rtol / 10,
    )  # fmt: skip
    assert np.abs(run.T - T).max() < kelvin
    when = [gelling.first_time(times, x[wet], case.law.gel).min() for x in (X, run.X)]
    assert np.isfinite(when[0])
    assert when[1] == pytest.approx(when[0], rel=gel)


@pytest.mark.parametrize("name", LAYUPS)
def test_laminates_come_within_a_twentieth_of_a_kelvin_of_lsoda(name):
    for case in layup_case(LAYUPS[name]):  # the quick one among them runs away the hardest
        close_to_lsoda(case)


@pytest.mark.parametrize("resin", [n for n in outgas.resins() if "prepreg" not in n and n != UP])
def test_every_resin_comes_within_a_twentieth_of_a_kelvin_of_lsoda(resin):
    close_to_lsoda(layup_case(LAYUPS["3 mm"], resin=resin)[0])


def test_a_hot_tool_and_a_cold_slow_resin_come_as_close():
    rovings = outgas.Layup(plies=["20 x 600 g/m2 woven roving"], tool="10 mm aluminium")
    for case in (
        layup_case(rovings, resin="epoxy-laminating", celsius=15.0, tool=80.0)[0],
        layup_case(LAYUPS["sandwich"], resin="epoxy-laminating", celsius=10.0)[0],
    ):
        close_to_lsoda(case)


def test_a_prepreg_in_a_ramping_oven_comes_as_close_and_steps_onto_its_corners():
    case = oven_case()
    close_to_lsoda(case, rtol=warming.OVEN_RTOL)
    run = heat._run_of(case, heat._grid_of(case.slabs, 30, case.law.heat), 0.0)
    ((_, trail),) = gather.trails_of([run], LOOSE)
    for corner in case.around.times[1:-1]:
        assert corner in trail.t


def test_a_tighter_tolerance_comes_closer():
    case = layup_case(LAYUPS["10 mm"])[0]
    times = np.linspace(0.0, case.end, 501)
    T, _, _ = lsoda(case, times, 30)
    off = [
        np.abs(
            heat.solve(
                case.slabs, case.law, case.around, case.start, times,
                cells=30, rtol=rtol, atol=rtol / 10,
            ).T - T
        ).max()
        for rtol in (1e-5, 1e-7)
    ]  # fmt: skip
    assert off[1] < 0.1 * off[0]
    assert off[1] < 5e-3


def test_the_heat_that_comes_is_kept_or_leaves_by_the_faces():
    layup = LAYUPS["sandwich"]
    case = layup_case(layup)[0]
    h_tool, h_bag, air = 5.0, 9.0, 298.15
    run = heat.solve(
        case.slabs, case.law, heat.steady(air, h_tool, h_bag), air, np.linspace(0.0, 2e4, 20001)
    )
    grid = heat._grid_of(case.slabs, 60, case.law.heat)
    over = [1.0 / (1.0 / h + half) for h, half in ((h_tool, grid.half[0]), (h_bag, grid.half[-1]))]
    left = over[0] * (run.T[0] - air) + over[1] * (run.T[-1] - air)
    rise = run.T[:, -1] - cure.REFERENCE_K
    kept = grid.capacity @ rise + 0.5 * grid.steeper @ rise**2
    given = grid.source @ run.X[:, -1]
    assert kept + np.trapezoid(left, run.t) == pytest.approx(given, rel=2e-5)


def test_between_its_steps_a_run_is_a_cubic_with_their_values_and_slopes():
    t = np.array([0.0, 1.0, 3.0, 3.5])
    polynomial = np.polynomial.Polynomial([1.0, -2.0, 0.5, 0.3])
    Y, slope = (p(t).reshape(1, 1, -1) for p in (polynomial, polynomial.deriv()))
    trail = Trail(t, Y, slope, 3.2)
    times = np.linspace(0.0, 3.2, 17)
    assert output.at_times(trail, times)[0, 0] == pytest.approx(polynomial(times))
    cut, values = output.between(trail, 4)
    assert cut[[0, 1, 4, -1]] == pytest.approx([0.0, 0.25, 1.0, 3.2])
    assert np.all(np.diff(cut) > 0.0)
    assert values[0, 0] == pytest.approx(polynomial(cut))


@pytest.mark.parametrize("name", ["10 mm", "skin"])
def test_conversion_only_rises(name):
    for _, run in heat.solve_many(layup_case(LAYUPS[name]), cells=30, rtol=1e-5, atol=1e-6):
        assert np.all(np.diff(run.X, axis=1) >= 0.0)
        assert 0.0 <= run.X.min() < run.X.max() <= 1.0


@pytest.mark.parametrize("name", LAYUPS)
def test_a_run_that_has_settled_is_the_whole_run_cut_short(name):
    cases = layup_case(LAYUPS[name])
    whole = [dataclasses.replace(case, asked=(np.inf, 0.0)) for case in cases]
    runs = [dict(heat.solve_many(each, cells=30, rtol=1e-6, atol=1e-7)) for each in (cases, whole)]
    for i, case in enumerate(cases):
        short, full = runs[0][i], runs[1][i]
        wet, last = full.reacts, short.t.size
        assert full.t[-1] == pytest.approx(case.end)
        assert short.t[-1] < 0.75 * full.t[-1]
        assert short.t == pytest.approx(full.t[:last], rel=1e-9)
        assert pytest.approx(full.T[:, :last], rel=1e-9) == short.T
        assert pytest.approx(full.X[:, :last], rel=1e-9, abs=1e-9) == short.X
        asked, steep = case.asked
        assert np.all(short.X[wet, -1] >= asked + steep * (short.T[wet, -1] - cure.REFERENCE_K))
        # from there on it only cools, and no colder than it was at the start
        assert np.all(np.diff(full.T[:, last:], axis=1) <= 1e-9)
        assert (short.T.min(), short.T.max()) == pytest.approx((full.T.min(), full.T.max()))


def test_a_run_goes_to_its_end_where_something_may_still_change():
    case = layup_case(LAYUPS["3 mm"])[1]
    around, start = case.around, float(np.max(case.start))
    warmer = dataclasses.replace(around, over=np.array([start, start + 5.0]))
    colder = dataclasses.replace(around, over=np.full(2, start - 5.0))
    for changes in ({"around": warmer}, {"around": colder}, {"asked": (case.law.final, 0.0)}):
        case_of = dataclasses.replace(case, **changes)
        ((_, run),) = heat.solve_many([case_of], cells=30, rtol=1e-6, atol=1e-7)
        assert run.t[-1] == pytest.approx(case.end)


def test_a_run_that_cannot_go_on_is_refused_in_words():
    case = layup_case(LAYUPS["3 mm"])[0]
    broken = dataclasses.replace(case.law, energy=float("nan"))
    with pytest.raises(OutOfRangeError, match="could not be followed"):
        heat.solve(case.slabs, broken, case.around, case.start, np.array([0.0, 3600.0]))


def test_many_laminates_are_followed_as_each_is_alone():
    asked = [heated(layup, celsius=c) for layup in LAYUPS.values() for c in (19.0, 27.0)]
    asked.append(heated(LAYUPS["skin"], celsius=20.0, tool=45.0))  # a table: both ends are tried
    found = dict(warming.follow_many(asked))
    assert sorted(found) == list(range(len(asked)))
    for i in (0, 3, 5, 8, len(asked) - 1):
        alone = warming.follow(asked[i])
        for field in dataclasses.fields(warming.Warming):
            if field.name not in ("run", "rest"):
                got, wanted = (getattr(w, field.name) for w in (found[i], alone))
                assert got == pytest.approx(wanted, rel=1e-9), field.name
