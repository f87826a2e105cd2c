"""Maps of windows: each case is what advise says of it; what is interpolated is never deeper.

No outside source: two ways to one answer.
"""

import math
import pickle
import sys

import numpy as np
import pytest

import outgas
from outgas.errors import InputError, SeveralMistakesError
from outgas.many.cases import cases_of
from outgas.many.fields import LIMITS, OUTCOMES, VERDICTS
from outgas.many.worker import Worker, parts_of
from outgas.units import quantity

UP = "orthophthalic-polyester"
PLY = ["2 x 450 g/m2 chopped strand mat"]


def told(name, words):
    """The words of a coded variable."""
    return np.array(words, dtype=object)[name.values.astype(int)]


@pytest.mark.parametrize(
    "held",
    [
        {"resin": UP},
        {"resin": UP, "bag_pressure": "24 inHg vacuum"},
        {"resin": UP, "layup": outgas.Layup(plies=PLY)},
        {"resin": "epoxy-infusion", "process": "infusion"},
        {"resin": "out-of-autoclave-epoxy-prepreg", "process": "prepreg"},
        {"resin": UP, "degassed": "40 mbar for 20 min, stirred", "finish": "clear"},
        {"resin": UP, "exact": True},
    ],
)
@pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")
def test_each_case_of_a_map_is_what_advise_says_of_it(held):
    axes = {"temperature": ["18 degC", "27 degC"], "altitude": ["0 m", "1500 m"]}
    found = outgas.sweep(humidity=0.55, **held, **axes)
    for i, temperature in enumerate(axes["temperature"]):
        for j, altitude in enumerate(axes["altitude"]):
            shop = outgas.Shop(temperature=temperature, humidity=0.55, altitude=altitude)
            advice = outgas.advise(
                held["resin"], shop, **{k: held[k] for k in held if k != "resin"}
            )
            here = found.isel(temperature=i, altitude=j)
            close = pytest.approx
            assert float(here.deepest) == close(advice.deepest_Pa / 100.0, rel=1e-9)
            assert float(here.shallowest) == close(advice.shallowest_Pa / 100.0, rel=1e-9)
            assert float(here.hottest) == close(advice.hottest_K - 273.15, rel=1e-9)
            for name in LIMITS:
                limit = float(here[f"{name}_limit"])
                assert limit == close(advice.limits_Pa[name] / 100.0, rel=1e-9)
            assert told(here.limiting, LIMITS) == advice.limiting
            assert told(here.verdict, VERDICTS) == (advice.verdict.state if advice.verdict else "")
            if advice.setpoint_Pa is None:
                assert math.isnan(here.setpoint)
            else:
                assert float(here.setpoint) == close(advice.setpoint_Pa / 100.0, rel=1e-9)
                voids = advice.expected_voids
                if voids is None:
                    assert math.isnan(here.voids)
                    continue
                for end in ("", "_low", "_high"):
                    value = getattr(voids, end[1:] or "nominal")
                    assert float(here[f"voids{end}"]) == close(100.0 * value, rel=1e-9, abs=1e-12)


def test_a_case_does_not_depend_on_the_others():
    warm = quantity(np.linspace(16.0, 34.0, 37), "degC")
    many = outgas.sweep(UP, temperature=warm, humidity=[0.3, 0.8], voids=False)
    alone = outgas.sweep(UP, temperature=warm[11], humidity=0.8, voids=False)
    for name in many.data_vars:
        here = float(many[name].isel(temperature=11, humidity=1))
        assert here == pytest.approx(float(alone[name]), rel=1e-9, nan_ok=True)


def test_axes_are_labelled_in_the_trades_units_whatever_they_were_told_in():
    found = outgas.sweep(
        UP, temperature=quantity(np.array([68.0, 77.0]), "degF"), humidity=["40 %", "60 %"],
        barometer=["1003 hPa"], voids=False,
    )  # fmt: skip
    assert found.temperature.values.tolist() == pytest.approx([20.0, 25.0])
    assert found.temperature.attrs["units"] == "degC"
    assert found.humidity.values.tolist() == [40.0, 60.0]
    assert found.barometer.values.tolist() == pytest.approx([1003.0])
    assert found.deepest.dims == ("temperature", "humidity", "barometer")
    assert all("units" in found[v].attrs or "flag_meanings" in found[v].attrs for v in found)


def test_a_labelled_array_is_read_by_its_own_unit():
    xr = pytest.importorskip("xarray")
    T = xr.DataArray([293.15, 298.15], dims="T", attrs={"units": "K"})
    found = outgas.sweep(UP, temperature=T, humidity=0.5, voids=False)
    assert found.temperature.values.tolist() == pytest.approx([20.0, 25.0])


def test_layups_processes_and_resins_run_along_axes_too():
    layups = [outgas.Layup(plies=PLY), outgas.Layup(plies=["8 x 600 g/m2 woven glass"])]
    found = outgas.sweep(
        ["orthophthalic-polyester", "epoxy-laminating"], temperature="22 degC", humidity=0.5,
        layup=layups, voids=False,
    )  # fmt: skip
    assert found.deepest.shape == (2, 2)
    assert np.isfinite(found.gel_time).all()
    assert (found.hottest.isel(layup=1) > found.hottest.isel(layup=0)).all()


def test_a_table_is_one_axis_with_all_its_columns_beside_it():
    table = {"temperature": ["20 degC", "30 degC", "12 degC"], "humidity": [0.5, 0.6, 0.7]}
    found = outgas.sweep(UP, cases=table)
    assert dict(found.sizes) == {"case": 3}
    assert found.humidity.values.tolist() == [50.0, 60.0, 70.0]
    assert told(found.outcome, OUTCOMES).tolist() == ["answered", "answered", "refused"]
    assert np.isnan(found.deepest.values[2])


def test_what_is_not_possible_in_one_case_leaves_the_others():
    found = outgas.sweep(UP, temperature=["20 degC", "95 degC"], humidity=0.5, voids=False)
    assert told(found.outcome, OUTCOMES).tolist() == ["answered", "not possible"]


def test_unknown_arguments_and_columns_are_all_told_with_the_nearest():
    with pytest.raises(SeveralMistakesError, match="humidity"):
        outgas.sweep(UP, temprature=["20 degC"], humidty=0.5)
    with pytest.raises(SeveralMistakesError, match="temperature"):
        outgas.sweep(UP, cases={"temperatur": ["20 degC"]})
    with pytest.raises(InputError, match="values"):
        outgas.sweep(UP, cases={"temperature": ["20 degC"], "humidity": [0.5, 0.6]})
    with pytest.raises(InputError, match="way to work"):
        outgas.sweep(UP, temperature=["20 degC"], humidity=0.5, how="guessed")


def test_a_job_or_a_shop_says_what_is_held():
    job = outgas.Job(resin=UP, temperature="22 degC", humidity="50%", ply=PLY)
    by_job = outgas.sweep(job, humidity=["40 %", "60 %"], voids=False)
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    by_shop = outgas.sweep(
        UP, shop, humidity=["40 %", "60 %"], layup=outgas.Layup(plies=PLY), voids=False
    )
    assert np.allclose(by_job.deepest, by_shop.deepest, rtol=1e-9)


def test_lazy_chunks_give_what_memory_gives():
    asked = {"temperature": quantity(np.linspace(17, 31, 7), "degC"), "humidity": [0.4, 0.7]}
    here = outgas.sweep(UP, **asked)
    lazy = outgas.sweep(UP, chunks={"temperature": 3}, **asked)
    assert lazy.deepest.chunks == ((3, 3, 1), (2,))
    for name in here.data_vars:
        assert np.allclose(lazy[name].compute(), here[name], rtol=1e-9, equal_nan=True)
    with pytest.raises(InputError, match="temperature"):
        outgas.sweep(UP, chunks={"temperatur": 3}, **asked)
    with pytest.raises(InputError, match="whole number"):
        outgas.sweep(UP, chunks=0, **asked)


def test_parts_of_a_map_make_it_up_once_each():
    seen = np.zeros((7, 5, 3), dtype=int)
    for part in parts_of(seen.shape, 10):
        assert seen[part].size <= 10
        seen[part] += 1
    assert (seen == 1).all()


def test_a_worker_survives_pickle_and_tells_maps_apart():
    one, other = (
        Worker(cases_of({"resin": UP, "temperature": [t], "humidity": 0.5}), False, None)
        for t in ("20 degC", "21 degC")
    )
    again = pickle.loads(pickle.dumps(one))
    assert again.__dask_tokenize__() == one.__dask_tokenize__() != other.__dask_tokenize__()
    assert np.array_equal(again.block((slice(0, 1),)), one.block((slice(0, 1),)), equal_nan=True)


def test_without_the_extra_one_line_names_what_to_run(monkeypatch):
    monkeypatch.setitem(sys.modules, "xarray", None)
    with pytest.raises(InputError, match=r"pip install 'outgas\[many\]'"):
        outgas.sweep(UP, temperature=["20 degC"], humidity=0.5)
