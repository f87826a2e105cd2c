"""What the bag may be at over time, up to where the gel holds a bubble, with the warmth."""

from outgas.constants import ZERO_CELSIUS_K
from outgas.show.chart import Chart
from outgas.show.shapes import Area, Curve, Mark, Scale
from outgas.window.advice import Advice
from outgas.window.behind import Cure
from outgas.window.charts.zones import MBAR_Pa, bag_scale

MINUTE_s = 60.0
ROOM_K = 3.0  # over and under the temperatures
CAPTION = (
    "The vapour's limit is on the safe side (95 %); the limit of the cure has the air in it as "
    "well, and the gas that came out earlier."
)


def temperature_scale(kelvins: tuple[float, ...]) -> Scale:
    """Return the scale of the laminate's warmth, beside that of the pressures."""
    celsius = [k - ZERO_CELSIUS_K for k in kelvins]
    return Scale("hottest layer", "°C", min(celsius) - ROOM_K, max(celsius) + ROOM_K)


def gel_area(interval_s: tuple[float, float], top: float) -> Area:
    """Return the time in which it gels, up to the top of a chart."""
    low, high = (t / MINUTE_s for t in interval_s)
    return Area("doubt", "it gels (95 %)", (low, high), (0.0, 0.0), (top, top))


def over_time(advice: Advice, cure: Cure, dial: str) -> Chart:
    """Return what the vapour allows over time, the cure's limit and setpoint, and the warmth."""
    t, kelvins, least = (tuple(column) for column in zip(*cure.over_time, strict=True))
    minutes = tuple(x / MINUTE_s for x in t)
    scale = bag_scale(advice.barometer_Pa, dial)
    across = [Mark("limit", "never deeper, cure", y=advice.deepest_Pa / MBAR_Pa)]
    if advice.setpoint_Pa is not None:
        across.append(Mark("set", "hold", y=advice.setpoint_Pa / MBAR_Pa))
    return Chart(
        name="time",
        title="What the vapour allows, until the gel holds a bubble",
        x=Scale("from mixing", "min", 0.0, minutes[-1]),
        y=scale,
        areas=(gel_area(cure.gel_interval_s, scale.high),),
        curves=(
            Curve("main", "vapour alone: never deeper", minutes, tuple(p / MBAR_Pa for p in least)),
            Curve(
                "third",
                "temperature (right)",
                minutes,
                tuple(k - ZERO_CELSIUS_K for k in kelvins),
                right=True,
            ),
        ),
        marks=(
            Mark("guide", "gel", x=cure.gel_s / MINUTE_s),
            *(m for m in across if m.y is not None and m.y <= scale.high),
        ),
        right=temperature_scale(kelvins),
        caption=CAPTION,
    )
