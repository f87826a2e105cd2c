"""The window against what moves it: warmth, damp, height above the sea, thickness."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import OutgasError
from outgas.job.job import Job
from outgas.job.shop import SHOP_RANGE_K
from outgas.physics import air
from outgas.show import progress
from outgas.show.chart import Chart
from outgas.show.shapes import Area, Curve, Mark, Scale
from outgas.window.charts.zones import MBAR_Pa, Zones, bag_scale
from outgas.window.refusals import reasons
from outgas.window.window import Window, windows_for

AROUND_K, STEP_K = 12.0, 2.0  # how far to either side of the shop's own warmth
HUMIDITIES = tuple(0.1 * i for i in range(1, 11))
HEIGHTS_m = tuple(400.0 * i for i in range(11))
TIMES = (1, 2, 3, 4, 6, 8)  # as many of each layer as there are
THICKEST_m = 0.02  # beyond that no one lays up in one go
CAPTION = (
    "All else as it was asked, a gel time that was named too. Bounds are the safe side (95 %); "
    "where the chart is blank there is no answer, or it is refused."
)


@dataclass(frozen=True, slots=True)
class Against:
    """What is moved: its scale, the job at each of its values, and the value as it was asked."""

    name: str
    title: str
    unit: str
    values: tuple[float, ...]
    jobs: tuple[Job, ...]
    asked: float


TOLD_EVERY = 4  # windows that are worked together, between two words of how far it has come


def windows(jobs: Sequence[Job], doing: str) -> list[Window | None]:
    """Return the window of each job; None where there is no answer or it is refused."""
    found: list[Window | None] = []
    for i in range(0, len(jobs), TOLD_EVERY):
        progress.tell(doing, i, len(jobs))
        some = jobs[i : i + TOLD_EVERY]
        tried = windows_for(some)
        found += [
            None if reasons(job) or isinstance(each, OutgasError) else each
            for job, each in zip(some, tried, strict=True)
        ]
    return found


def against(moved: Against, dial: str) -> Chart:
    """Return the window over what is moved, with where it was asked marked."""
    doing = f"the window against {moved.name}"
    found = [None if w is None else Zones.of(w) for w in windows(moved.jobs, doing)]
    here = max(z.here for z in found if z is not None)
    x = moved.values
    asked = Mark("guide", "as asked", x=moved.asked)
    return Chart(
        name=moved.name,
        title=f"The window against {moved.name}",
        x=Scale(moved.title, moved.unit, x[0], x[-1]),
        y=bag_scale(here, dial),
        areas=tuple(_areas(found, x)),
        curves=(Curve("set", "hold", x, tuple(_hold(z) for z in found), dots=True),),
        marks=(asked,),
        caption=CAPTION,
    )


def _hold(zones: Zones | None) -> float:
    return math.nan if zones is None or zones.hold is None else zones.hold / MBAR_Pa


def _areas(found: Sequence[Zones | None], x: tuple[float, ...]) -> list[Area]:
    """Return the zones as areas over what is moved; one that is nowhere is left out."""
    columns = [None if z is None else z.edges() for z in found]
    first = next(c for c in columns if c is not None)
    areas = []
    for i, (role, words, _, _) in enumerate(first):
        low = tuple(math.nan if c is None else c[i][2] for c in columns)
        high = tuple(math.nan if c is None else c[i][3] for c in columns)
        if any(b > a for a, b in zip(low, high, strict=True)):
            areas.append(Area(role, words, x, low, high))
    return areas


def temperature(job: Job) -> Against:
    """Return the job in shops around its own warmth, the tool's with it."""
    own = job.shop.temperature_K
    moved = (own + float(x) for x in np.arange(-AROUND_K, AROUND_K + STEP_K / 2.0, STEP_K))
    kelvins = [k for k in moved if SHOP_RANGE_K[0] <= k <= SHOP_RANGE_K[1]]
    jobs = tuple(job.but(shop=job.shop._moved(temperature_K=k)) for k in kelvins)
    celsius = tuple(k - ZERO_CELSIUS_K for k in kelvins)
    return Against("temperature", "shop", "°C", celsius, jobs, own - ZERO_CELSIUS_K)


def humidity(job: Job) -> Against:
    """Return the job in drier and damper shops."""
    jobs = tuple(job.but(shop=job.shop._moved(humidity=h)) for h in HUMIDITIES)
    shown = tuple(100.0 * h for h in HUMIDITIES)
    return Against("humidity", "relative humidity", "%", shown, jobs, 100.0 * job.shop.humidity)


def altitude(job: Job) -> Against:
    """Return the job in shops at other heights, by the standard atmosphere."""
    heres = [float(air.station_pressure(h)) for h in HEIGHTS_m]
    jobs = tuple(job.but(shop=job.shop._moved(barometer_Pa=p)) for p in heres)
    share = (job.shop.barometer_Pa / air.SEA_LEVEL_PA) ** (1.0 / air.EXPONENT)
    own = max(0.0, (1.0 - share) * air.SEA_LEVEL_K / air.LAPSE_K_PER_M)
    return Against("altitude", "above the sea", "m", HEIGHTS_m, jobs, own)


def thickness(job: Job) -> Against:
    """Return the job with more of the same layers; thicker laminates warm themselves."""
    own = job.layup.laminate_thickness_m
    times = [n for n in TIMES if n == 1 or n * own <= THICKEST_m]
    jobs = tuple(job.but(layup=job.layup.times(n)) for n in times)
    shown = tuple(n * own * 1e3 for n in times)
    return Against("thickness", "laminate", "mm", shown, jobs, own * 1e3)


def movable(job: Job) -> dict[str, Callable[[Job], Against]]:
    """Return what can be moved of a job: not its warmth where its hottest moment was named."""
    found: dict[str, Callable[[Job], Against]] = {}
    if not job.process.wet_bag:
        return found
    if job.hottest_K is None and job.resin.cure_temperature is None:
        found["temperature"] = temperature
    if job.water is None:
        found["humidity"] = humidity
    if job.air_Pa is None and job.pot is None:
        found["altitude"] = altitude
    thick = job.layup.laminate_thickness_m
    if 0.0 < thick <= THICKEST_m / TIMES[1] and job.hottest_K is None:
        found["thickness"] = thickness
    return found
