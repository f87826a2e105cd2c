"""The heat equations by scipy's LSODA, written apart from the stepper, and cases to compare on."""

import numpy as np
from scipy.integrate import solve_ivp

import outgas
from outgas.job.job import job_of
from outgas.laminate import warming
from outgas.laminate.batch import batch_of
from outgas.laminate.liquid import liquid_of
from outgas.physics import cure, heat
from outgas.tables import catalogue, rates

UP = "orthophthalic-polyester"
SOLID = ["450 g/m2 chopped strand mat", "600 g/m2 woven roving"]
ASIDE = dict(
    rig=None, vapour_share=None, confidence=0.95, hottest=None, air_pressure=None, degassed=None,
    entrained=None, water_activity=None, contaminants=None, void_target="2 %", reads_with="dial",
)  # fmt: skip


def heated(layup, resin=UP, celsius=25.0, tool=None):
    """All that the heat of a layup depends on."""
    given = dict(temperature=f"{celsius} degC", humidity="60 %", altitude="20 m")
    if tool is not None:
        given["tool_temperature"] = f"{tool} degC"
    record = outgas.resin(resin)
    process = next(p for p in ("wet layup", "infusion", "prepreg") if p in record.processes)
    job = job_of(resin, outgas.Shop(**given), process=process, layup=layup, **ASIDE)
    return warming.Heated(job.shop, job.layup, job.process, batch_of(job), liquid_of(job))


def layup_case(*args, **more):
    """The three heat cases of a layup: nominal, quick, and rich in still air."""
    return warming._cases(heated(*args, **more), None)


def oven_case():
    """A prepreg in an oven that ramps, holds, ramps and holds."""
    record = outgas.resin("autoclave-epoxy-prepreg")
    minutes = np.array([0.0, 36.4, 96.4, 120.8, 240.8])
    air = np.array([25.0, 116.0, 116.0, 177.0, 177.0]) + 273.15
    layup = outgas.Layup(plies=["16 x 300 g/m2 carbon twill"], tool="6 mm aluminium")
    side = [catalogue.consumable(name) for name in ("peel-ply", "perforated-film", "breather")]
    around = heat.Surroundings(
        film_tool=25.0, film_bag=25.0, times=minutes * 60.0, under=air, over=air
    )
    return heat.HeatCase(
        slabs=layup.slabs(record, side), law=rates.kinetics(record), around=around,
        start=air[0], end=240.0 * 60.0,
    )  # fmt: skip


def leaving(film, half, gain, inner, air):
    """What leaves a face, by the wall's temperature where it is a law."""
    if isinstance(film, heat.Film):
        return (inner - float(heat.wall_temperature(film, inner, air, half, gain))) / half
    g = 0.0 if film <= 0.0 else 1.0 / (1.0 / film + half)
    return g * (inner - air) - (gain * g / film if film > 0.0 else gain)


def lsoda(case, times, cells, rtol=1e-9):
    """Temperatures and conversions by scipy; some quick cases stall it at a tenth of this rtol."""
    n = heat.cells_for(case.slabs, cells)
    layer = np.repeat(np.arange(n.size), n)
    dx = (case.slabs.thickness / n)[layer]
    half = 0.5 * dx / case.slabs.conductivity[layer]
    capacity = case.slabs.capacity[layer] * dx
    steeper = np.broadcast_to(case.slabs.capacity_slope, n.shape)[layer] * dx
    source, law, around = case.slabs.resin[layer] * dx * case.law.heat, case.law, case.around
    wet = source > 0.0

    def slope(t, y):
        T, X, z = y[0::3], y[1::3], y[2::3]
        under, over = (np.interp(t, around.times, air) for air in (around.under, around.over))
        flux = np.empty(layer.size + 1)
        flux[1:-1] = (T[:-1] - T[1:]) / (half[:-1] + half[1:])
        flux[0] = -leaving(around.film_tool, half[0], 0.0, T[0], under)
        flux[-1] = leaving(around.film_bag, half[-1], around.sun, T[-1], over)
        out = np.zeros_like(y)
        out[1::3][wet] = cure.rate(law, X[wet], z[wet], T[wet])
        out[2::3][wet] = cure.inhibitor_rate(law, T[wet])
        heating = flux[:-1] - flux[1:] + source * out[1::3]
        out[0::3] = heating / (capacity + steeper * (T - cure.REFERENCE_K))
        return out

    y = np.zeros(3 * layer.size)
    y[0::3] = np.broadcast_to(case.start, n.shape)[layer]
    y[1::3] = np.where(wet, law.seed, 0.0)
    run = solve_ivp(
        slope, (0.0, times[-1]), y, method="LSODA", t_eval=times, rtol=rtol, atol=rtol / 10.0,
        lband=3, uband=3,
    )  # fmt: skip
    assert run.success
    return run.y[0::3], run.y[1::3], wet
