"""Which charts an advice has, each made when it is asked for."""

from collections.abc import Callable, Mapping
from functools import partial

from outgas.job.job import Job
from outgas.show.chart import Chart, Maker
from outgas.window.advice import Advice
from outgas.window.charts.against import Against, against, movable
from outgas.window.charts.over_pressure import voids
from outgas.window.charts.over_time import over_time
from outgas.window.charts.upright import upright


def charts(advice: Advice) -> Mapping[str, Maker]:
    """Return the charts of an advice by name, the window first; a press has no dial to show."""
    found: dict[str, Maker] = {}
    if not advice.facts.pressed:
        found["window"] = partial(upright, advice)
    job = advice.behind.job
    for name, move in movable(job).items():
        found[name] = partial(_moved, job, move)
    if advice.facts.wet_bag:
        found["voids"] = partial(voids, advice)
    if advice.cure is not None and not advice.facts.preimpregnated:
        found["time"] = partial(over_time, advice, advice.cure)
    return found


def _moved(job: Job, move: Callable[[Job], Against], dial: str) -> Chart:
    return against(move(job), dial)
