"""The resin as it lies in a shop: every field from where it was told, and what confidence does."""

import dataclasses
from statistics import NormalDist

import pytest

import outgas
from outgas.job.job import job_of
from outgas.laminate.liquid import at_stated_confidence, confidence_factor, liquid_of

SHOP = outgas.Shop(
    temperature="21 degC", tool_temperature="24 degC", humidity="55 %", barometer="990 hPa"
)


def job(**changes):
    asked = dict(
        process="wet layup", layup=outgas.Layup(core="15 mm PVC foam"), rig=None, vapour_share=None,
        confidence=0.95, hottest=None, air_pressure=None, degassed=None, entrained=None,
        water_activity=0.3, contaminants={"acetone": "1 %"}, void_target="2 %", reads_with="dial",
    )  # fmt: skip
    return job_of("orthophthalic-polyester", SHOP, **{**asked, **changes})


def test_every_field_is_the_jobs():
    liquid = liquid_of(job())
    assert liquid.resin.name == "orthophthalic-polyester"
    assert liquid.process.name == "wet layup"
    assert (liquid.shop_K, liquid.tool_K) == pytest.approx((294.15, 297.15))
    assert liquid.humidity == 0.55
    assert liquid.barometer_Pa == pytest.approx(99000.0)
    assert liquid.given_water == 0.3
    ((trace, share),) = liquid.contaminants
    assert (trace.name, share) == ("acetone", pytest.approx(0.01))
    assert "foam" in liquid.core.title.lower() or "foam" in liquid.core.name
    assert liquid.k == 1.0


def test_the_warmer_of_air_and_tool_is_what_the_resin_starts_from():
    liquid = liquid_of(job())
    assert liquid.base_K == liquid.tool_K
    cold = dataclasses.replace(liquid, tool_K=283.15)
    assert cold.base_K == cold.shop_K


@pytest.mark.parametrize(
    ("confidence", "half_widths"), [(0.95, 1.0), (0.99, 1.3142), (0.6827, 0.5102)]
)
def test_a_confidence_is_its_share_of_the_normal_law(confidence, half_widths):
    """Two-sided quantiles 1.95996, 2.57583, 1.00002 from a table of the normal law."""
    assert confidence_factor(confidence) == pytest.approx(half_widths, abs=2e-4)
    assert liquid_of(job(confidence=confidence)).k == confidence_factor(confidence)


def test_the_stated_confidence_is_met_without_a_jump():
    assert confidence_factor(0.95) == 1.0
    assert confidence_factor(0.95 + 1e-9) == pytest.approx(1.0, abs=1e-6)
    z = NormalDist().inv_cdf
    assert confidence_factor(0.5) == pytest.approx(z(0.75) / z(0.975))


def test_at_the_stated_confidence_only_that_changes():
    liquid = liquid_of(job(confidence=0.99))
    told = at_stated_confidence(liquid)
    assert told.k == 1.0
    assert dataclasses.replace(told, k=liquid.k) == liquid
