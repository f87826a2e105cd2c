"""What any right arithmetic must give: closed forms, limits, conversions, one formula by two codes.

These pin the arithmetic and say nothing of nature, so they are no outside checks: those stand in
tests/published/. Names are of those whose law it is; where a paper is named it was not read.
"""

import math
import warnings

import bubble_references as reference
import numpy as np
import pytest
from checks import own_resin
from needles import fluids_needle, our_needle

import outgas
from outgas.laminate.gas.balance import SPHERE, Gas, Step, run, start
from outgas.physics import bubble, bubble_start, drying, flow, haze
from outgas.tables import catalogue

ATM = 101325.0
R_GAS = 8.314462618
T20 = 293.15

# Solutions and water ----------------------------------------------------------------------------


def activity(monomer: float, chi: float) -> float:
    """Of styrene in a made-up resin at 25 degC."""
    p = outgas.partial_pressures(own_resin("styrene", monomer, chi), "25 degC")["styrene"].m_as(
        "Pa"
    )
    return float(p / outgas.vapour_pressure("styrene", "25 degC").m_as("Pa"))


@pytest.mark.parametrize("x", [0.2, 0.6])
def test_equal_sizes_and_no_interaction_give_raoults_law(x):
    assert activity(x, 0.0) == pytest.approx(x, rel=1e-6)


def test_a_pure_liquid_keeps_its_pressure():
    assert activity(1.0, 0.45) == pytest.approx(1.0, rel=1e-6)


def test_waters_triple_point_is_where_the_scale_puts_it():
    got = outgas.vapour_pressure("water", "273.16 K").m_as("Pa")
    assert float(got) == pytest.approx(611.657, rel=1e-4)


def test_half_of_a_sheet_has_drained_at_its_half_time():
    assert float(drying.fourier(0.5)) / 4.0 == pytest.approx(0.04919, rel=1e-3)


def test_prepreg_dried_for_its_half_time_is_half_as_wet_above_its_channels_by_advise():
    table = catalogue.prepreg().drying
    D = table.prefactor.si * math.exp(-table.energy.si / 294.15)
    half_s = 0.04919 * table.channels.si**2 / D  # the thickness from channel to channel
    shop = outgas.Shop(temperature="21 degC", humidity=0.5, barometer="1013.25 hPa")
    prepreg = "out-of-autoclave-epoxy-prepreg"
    said = outgas.advise(prepreg, shop, process="prepreg", dried=f"{half_s!r} s")
    kept = table.at_channel.si
    assert (said.water_activity[0] - kept) / (0.5 - kept) == pytest.approx(0.5, rel=1e-3)


# The atmosphere, and gas in holes ---------------------------------------------------------------


@pytest.mark.parametrize("h", [0, 250, 500, 1000, 1500, 2000, 3000])
def test_the_standard_atmosphere_is_what_another_code_makes_of_its_formula(h):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from fluids import ATMOSPHERE_1976
    # altitude here against geopotential altitude there: half a metre at 3000 m
    got = float(outgas.barometer(f"{h} m").m_as("Pa"))
    assert got == pytest.approx(float(ATMOSPHERE_1976(float(h)).P), rel=5e-4)


def test_an_ideal_diatomic_gas_chokes_as_its_definition_says():
    from fluids.compressible import P_critical_flow

    assert flow.critical_flow_function() == pytest.approx(0.684731, rel=1e-5)
    assert pytest.approx(float(P_critical_flow(ATM, 1.4)) / ATM, rel=1e-9) == flow.CRITICAL_RATIO
    sonic = float(flow.orifice_mass_flow(1e5, 0.0, 1e-6, T20)) / 1.185 * 1e3
    assert sonic == pytest.approx(0.199, rel=0.01)  # dm3/(s bar) of an ideal square millimetre


@pytest.mark.parametrize(("p", "d", "L"), [(9.0e4, 2e-4, 0.05), (6.0e4, 1e-4, 0.03)])
def test_a_laminar_needle_is_the_same_by_another_code(p, d, L):
    assert our_needle(p, d, L) == pytest.approx(fluids_needle(p, d, L), rel=0.002)


def fluids_isothermal_choke(drag: float) -> float:
    """Pressure ratio at which an isothermal pipe chokes, by fluids."""
    from fluids.compressible import P_isothermal_critical_flow

    return float(P_isothermal_critical_flow(P=ATM, fd=drag, D=1.0, L=1.0)) / ATM


def our_isothermal_choke(drag: float) -> float:
    """The same from where our flux stops growing."""
    import numpy as np

    p = np.linspace(0.01, 0.99, 200001) * ATM
    flux = np.sqrt((ATM**2 - p**2) / (drag + 2.0 * np.log(ATM / p)))
    at = p[np.argmax(flux)] / ATM
    limited = flow._isothermal_flux(
        np.array([ATM]), np.array([1.0]), np.array([drag]), np.array([T20])
    )
    assert limited[0] * math.sqrt(flow.R_AIR * T20) <= flux.max() * (1 + 1e-6)
    return float(at)


@pytest.mark.parametrize("drag", [5.0, 50.0])
def test_an_isothermal_pipe_chokes_where_another_code_says(drag):
    assert our_isothermal_choke(drag) == pytest.approx(fluids_isothermal_choke(drag), rel=2e-4)


def leak(rise: str, time: str, volume: str) -> float:
    """Leak that a drop test finds [mbar l/s]."""
    rig = outgas.Rig(bag_volume=volume)
    return outgas.drop_test(rise, time, rig=rig).leak_Pa_m3_s * 10.0


def rate(rise: str, time: str) -> float:
    """Rise of a litre's pressure [mbar/min]."""
    return leak(rise, time, "1 l") * 60.0


def test_a_drop_test_in_inches_is_a_leak_in_millibars():
    assert rate("1 inHg", "5 min") == pytest.approx(6.77, rel=1e-3)
    assert rate("0.09 inHg", "5 min") == pytest.approx(0.61, rel=5e-3)


def test_a_pump_empties_a_volume_by_the_logarithm():
    seconds = float(flow.pump_down_time(6.0, flow.Pull(0.177), ATM, 500.0))
    assert seconds == pytest.approx(180.0, rel=0.003)  # 6 m3 to 5 mbar at 177 l/s


def test_a_weight_on_a_bore_clamps_by_force_over_area():
    valve = outgas.relief_valve("613.25 mbar", "20 mm", "1013.25 hPa")
    # rounded down to three figures, to be weighed
    assert valve.mass_kg == pytest.approx(4e4 * math.pi * 1e-4 / 9.80665, rel=0.01)


# Bubbles ----------------------------------------------------------------------------------------


def gone_after(seconds: float) -> bool:
    """Whether a bubble of 10 um in airless water has dissolved in the balance, with no tension."""
    gas = Gas(
        trapped=0.06, connected=0.8, boiling_extra=0.0, spacing_m=np.inf, exponent=5.0,
        entrained=1e-6, entrained_radius_m=1e-5, diffusivity_m2_s=2e-9, solubility=0.02,
        least_drive=catalogue.gas().laminate.least_drive.si, mixed_Pa=ATM, mixed_vapour_Pa=0.0,
        air_Pa=0.0,
    )  # fmt: skip
    return bool(run(gas, [Step(ATM, 0.0, seconds, False)]).dissolved)


def test_a_bubble_without_tension_dissolves_in_r_squared_over_2_d_l():
    assert not gone_after(1.25 * 0.999)
    assert gone_after(1.25 * 1.001)


def blake_margin(R0: float) -> float:
    """Pressure below the vapour's [Pa] at which a nucleus with fixed gas runs away."""
    sigma, p_v, T = 0.035, 60000.0, 300.0
    RT = R_GAS * T
    gas = np.array([[ATM + 2 * sigma / R0 - p_v], [p_v]])
    gas = gas * reference.SPHERE * R0**3 / RT
    start = bubble_start.Bubbles(
        np.array([R0]), np.array([reference.SPHERE * (3000 * R0) ** 3]), np.zeros(1), gas,
        np.array([0.0, 1e9 * p_v / RT]),
    )  # fmt: skip

    def grows(p: float) -> bool:
        conditions = reference.steady(
            p=[ATM, p, p], T=T, eta=1e-3, H=(1e-15, 1e9), D=(1e-9, 1e-6), sigma=sigma,
            at=[0.0, 10.0, 300.0],
        )  # fmt: skip
        R = bubble.grow(conditions, start, np.array([0.0, 300.0])).radius[-1, 0]
        return bool(R > 100.0 * R0)

    low, high = 0.0, ATM
    while high - low > 30.0:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if grows(middle) else (low, middle)
    return p_v - 0.5 * (low + high)


@pytest.mark.parametrize("R0", [0.8e-6, 1.5e-6, 3e-6])
def test_a_nucleus_runs_away_where_blakes_formula_says(R0):
    sigma, p_v = 0.035, 60000.0
    critical = R0 * math.sqrt(3.0 * R0 * (ATM - p_v + 2 * sigma / R0) / (2.0 * sigma))
    assert blake_margin(R0) == pytest.approx(4.0 * sigma / (3.0 * critical), rel=0.02)


def closing(sigma: float, p: float, seconds: float) -> float:
    """Radius [um] of an empty hole of 100 um in a liquid of 50 Pa s."""
    conditions = reference.steady(p=p, eta=50.0, H=(1e-15,), D=(1e-10,), sigma=sigma, span=seconds)
    start = bubble_start.Bubbles(
        np.array([1e-4]), np.array([1e-3]), np.zeros(1), np.zeros((1, 1)), np.zeros(1)
    )
    grown = bubble.grow(conditions, start, np.array([0.0, seconds]), tolerance=1e-5)
    return float(grown.radius[-1, 0] * 1e6)


@pytest.mark.parametrize(("p", "seconds"), [(1000.0, 0.3), (20000.0, 0.02)])
def test_an_empty_hole_under_pressure_closes_as_an_exponential(p, seconds):
    assert closing(0.0, p, seconds) == pytest.approx(
        100.0 * math.exp(-p * seconds / 200.0), rel=1e-3
    )


@pytest.mark.parametrize("seconds", [0.05, 0.2])
def test_an_empty_hole_is_closed_by_its_tension_at_an_even_rate(seconds):
    # the batch times a hole by the volume it has left
    wanted = 100.0 - 0.035 * seconds / 100.0 * 1e6
    assert closing(0.035, 0.0, seconds) == pytest.approx(wanted, rel=5e-3)


def cavity(G: float, push: float) -> float:
    """Stretch of a cavity in a soft solid under a constant pressure inside, none outside."""
    conditions = reference.steady(
        p=[push, push, 0.0, 0.0], eta=10.0, G=[0.0, G, G, G], H=(1e7,), D=(1e-8,),
        at=[0.0, 1e-3, 10.0, 300.0],
    )  # fmt: skip
    start = reference.bubbles(2e-5, p=push, H=(1e7,), full=(1.0,), cell=1000.0)
    grown = bubble.grow(conditions, start, np.array([0.0, 300.0]))
    return float(grown.radius[-1, 0] / 2e-5)


def cavitation_threshold(G: float) -> float:
    low, high = 2.0 * G, 3.0 * G
    while high - low > 0.01 * G:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if cavity(G, middle) > 100.0 else (middle, high)
    return 0.5 * (low + high)


@pytest.mark.parametrize("G", [1e4, 1e6])
def test_a_cavity_in_a_soft_solid_runs_away_past_five_halves_of_its_modulus(G):
    assert cavitation_threshold(G) == pytest.approx(2.5 * G, rel=0.01)


# Light ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paths", [10.0, 100.0])
def test_a_thick_plate_passes_light_as_diffusion_says(paths):
    through = 1.0 - float(haze.plate(paths / 0.24, 0.76)[0])
    assert through == pytest.approx((5.0 / 3.0) / (paths + 4.0 / 3.0), rel=1e-3)


def test_a_face_sends_diffuse_light_back_as_judd_worked_it_out():
    assert haze.face(1.5)[1] == pytest.approx(0.596, rel=1e-3)


# A cell of resin around its bubble ----------------------------------------------------------------


def grown_share(fourier: float) -> float:
    """Share of the way to equilibrium that bubbles have grown at D t / s^2."""
    D = 1e-10
    gas = Gas(
        trapped=0.06, connected=0.8, boiling_extra=0.0, spacing_m=np.inf, exponent=5.0,
        entrained=1e-3, entrained_radius_m=1e-4, diffusivity_m2_s=D, solubility=0.1,
        least_drive=0.02, mixed_Pa=ATM, mixed_vapour_Pa=0.0, air_Pa=ATM,
    )  # fmt: skip
    spacing = (gas.entrained / (SPHERE * 1e-12)) ** (-1.0 / 3.0) / SPHERE ** (1.0 / 3.0)
    p = 0.5 * ATM
    V = float(run(gas, [Step(p, 0.0, fourier * spacing**2 / D, False)]).gas_per_resin)
    swollen, settled = gas.entrained * ATM / p, float(start(gas).total_Pa) / p - 0.1
    return (V - swollen) / (settled - swollen)


@pytest.mark.parametrize(("fourier", "within"), [(0.1, 0.2), (0.2, 0.07), (0.4, 0.01)])
def test_a_cell_drains_like_a_sphere_held_at_its_face_slower_early_and_alike_late(fourier, within):
    m = np.arange(1, 400)
    left = np.sum(np.exp(-((m * math.pi) ** 2) * fourier) / m**2)
    drained = float(1.0 - 6.0 / math.pi**2 * left)
    assert grown_share(fourier) == pytest.approx(drained, rel=within)
