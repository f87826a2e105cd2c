"""Reading a logger's file against a resin: `outgas.read_log`."""

import dataclasses
import itertools
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import units
from outgas.bag_log.charts import charts
from outgas.bag_log.columns import LOOKED_AT, day_seconds, is_clock, layout_of
from outgas.bag_log.gas_of import pieces_of, voids_of_log
from outgas.bag_log.judged import Judged, judge
from outgas.bag_log.log import BagLog, State
from outgas.bag_log.rows import Rows
from outgas.bag_log.samples import Samples, samples_of
from outgas.bag_log.stood import Stood
from outgas.bag_log.words import span, told
from outgas.errors import InputError
from outgas.job.saved import Job
from outgas.job.shop import Shop
from outgas.physics.chance import Band
from outgas.show import progress
from outgas.show.amounts import clock
from outgas.show.report import Line, lines
from outgas.tables import catalogue
from outgas.tables.materials import Resin
from outgas.window.advice import Advice
from outgas.window.advise import advise
from outgas.window.window import Window, window_of

if TYPE_CHECKING:
    from outgas.units import Measure

BATCH = 20000  # lines taken at a time
UNKNOWN_ALLOWED_s = 60.0  # without a reading, before it cannot be told: a bag boils in less
WEAK_SHARE = 0.5  # of the cure, before it is called too weak


def read_log(
    path: str | Path,
    resin: str | Path | Resin | Job,
    shop: Shop | None = None,
    *,
    pressure_column: str | None = None,
    time_column: str | None = None,
    temperature_column: str | None = None,
    mixed: "Measure | None" = None,
    sensor_error: "Measure | None" = None,
    **asked: Any,
) -> BagLog:
    r"""Return what a logged bag did to its resin: when it was too deep, and the gas that left.

    Parameters
    ----------
    path
        A logger's CSV: rows of time, pressure and, if there is one, temperature of the laminate.
    resin, shop, asked
        As in outgas.advise, a Job too; bag_pressure left out. Wet resin under a bag alone.
    pressure_column, time_column, temperature_column
        'Head', 'Head [unit]' or '3 [unit]', where the header does not say it: 'P1 [mbar absolute]',
        'Vac [inHg vacuum]', 'Probe [C]', '1 [min]'. What was guessed is echoed in .taken.
    mixed
        When the initiator or hardener went in, by the log: '14:05' on its own clock, or '12 min'
        after its first row ('-5 min': before it). With the first row if not given.
    sensor_error
        Of the logged pressure, 95 %: '5 mbar'; that of reads_with, else of an ordinary sensor.

    Returns
    -------
    A BagLog: pressures [Pa] absolute, times [s] from mixing, voids as shares.

    Raises
    ------
    InputError
        A file that cannot be read, or columns, units or a kind of pressure that could mean two
        things, each with what to write; a process that is not wet resin under a bag.

    Notes
    -----
    The bag is judged at the deep end of its sensor's error, p - e, against the limits of
    outgas.advise at the warmth that was logged, and a doubt of a probe more; before the resin
    thickens without the limit of its air. The voids are those of the gas balance of outgas.advise
    over at most 40 pieces of the log of one pressure each; where nothing was logged, at the deeper
    neighbour. Void fraction f = V (1 - V_f) / (1 + V (1 - V_f)).

    Examples
    --------
    >>> import outgas, pathlib, tempfile
    >>> rows = "".join(f"{t};{1013 if t < 12 else 90}\n" for t in range(50))
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder, "bag.csv")
    ...     _ = path.write_text("Zeit [min];Druck [mbar]\n" + rows)
    ...     log = read_log(path, "orthophthalic-polyester", shop)
    >>> log.state, log.safe
    ('too deep', False)
    """
    if "bag_pressure" in asked:
        raise InputError("bag_pressure is what the log holds; leave it out")
    advice = advice_for(resin, shop, **asked)
    rows = rows_of(path, time_column, temperature_column, pressure_column)
    found = samples_of(rows, advice.barometer_Pa)
    mixed_s = mixed_at(mixed, rows)
    error = error_of(sensor_error, advice)
    window = _as_warm(advice.behind.window, found, mixed_s)
    stood = Stood.of(window)
    progress.tell("judging the log", 0, 1)
    judged = judge(found, stood, mixed_s, error, window.shallowest)
    voids, boiled = _voids(found, stood, window, mixed_s, error)
    return BagLog(
        path=str(path),
        resin=advice.resin,
        resin_title=advice.resin_title,
        process=advice.process,
        barometer_Pa=advice.barometer_Pa,
        rows=int(found.time_s.size),
        error_Pa=error,
        taken=found.taken,
        faults=tuple(_faults(found)),
        thin_s=stood.thin_s,
        thick_s=stood.thick_s,
        holds_s=stood.holds_s,
        **{f.name: getattr(judged, f.name) for f in dataclasses.fields(judged)},
        shallowest_Pa=window.shallowest,
        voids=voids,
        void_target=advice.void_target,
        boiled=boiled,
        state=_state(judged, stood, voids, advice.void_target),
        assumed=(*_assumed(stood, mixed_s, mixed, error), *advice.assumed),
        cautioned=(*lines(_first_cautions(found)), *advice.cautioned),
        words=told,
        pictures=charts,
    )


def advice_for(resin: Any, shop: Shop | None, **asked: Any) -> Advice:
    """Return the advice that a log is held against; refuses what has no wet resin under a bag."""
    advice: Advice = advise(resin, shop, **asked) if shop is not None else advise(resin, **asked)
    if not advice.facts.wet_bag:
        raise InputError(
            f"process is {advice.process}; a log is read for wet resin under a bag, which alone is "
            "at the bag's pressure"
        )
    return advice


def rows_of(
    path: str | Path, time: str | None, temperature: str | None, pressure: str | None
) -> Rows:
    """Return the rows of a file; InputError where it cannot be read."""
    try:
        found = Path(path).stat()
        if not stat.S_ISREG(found.st_mode) and not stat.S_ISDIR(found.st_mode):
            raise InputError(f"{path} is not a regular file")  # a pipe would wait forever
        whole = max(1, found.st_size)
        with Path(path).open(encoding="utf-8-sig", errors="replace", newline=None) as source:
            head = list(itertools.islice(source, LOOKED_AT))
            rows = Rows(layout_of(head, time, temperature, pressure))
            rows.feed(head[rows.layout.skipped :])
            done = sum(map(len, head))
            while batch := list(itertools.islice(source, BATCH)):
                rows.feed(batch)
                done += sum(map(len, batch))
                progress.tell("reading the log", min(done, whole), whole)
    except OSError as error:
        raise InputError(f"{path} cannot be read: {error.strerror or error}") from None
    return rows


def mixed_at(mixed: "Measure | None", rows: Rows) -> float:
    """Return when it was mixed, from the first row [s]."""
    if mixed is None:
        return 0.0
    if not (isinstance(mixed, str) and is_clock(mixed)):
        return units.one(mixed, "s", "mixed")
    if rows.kind == "number":
        raise InputError(f"mixed is {mixed!r}, but the log has no clock; write it as '12 min'")
    if rows.kind == "stamp" and rows.first is not None:
        first = rows.first
        start = 3600.0 * first.hour + 60.0 * first.minute + first.second
    else:
        start = rows.times[0]
    return day_seconds(mixed) - start


def error_of(said: "Measure | None", advice: Advice) -> float:
    """Return the 95 % error of the logged pressure [Pa]."""
    if said is not None:
        return units.positive(said, "Pa", "sensor error", zero=True)
    job = advice.behind.job
    own = job.sensor_Pa if job.reads_with == "sensor" else job.rig.sensor_error
    return catalogue.practice().reading.sensor.high_si if own is None else own


def _as_warm(window: Window, found: Samples, mixed_s: float) -> Window:
    """Return the window of a laminate that got as warm as the log says, if that is warmer."""
    t = found.time_s - mixed_s
    inside = (t >= 0.0) & (t <= Stood.of(window).holds_s) & np.isfinite(found.temperature_K)
    if not inside.any():
        return window
    hot, case = float(found.temperature_K[inside].max()), window.case
    if hot <= case.hottest_K:
        return window
    doubt = catalogue.practice().margins.named_doubt.si
    hottest = dataclasses.replace(
        case.hottest, kelvin=hot, high=max(hot + doubt, case.hottest_high_K)
    )
    return window_of(window.job, case.but(hottest=hottest))


def _voids(
    found: Samples, stood: Stood, window: Window, mixed_s: float, error: float
) -> tuple[Band | None, bool]:
    """Return the voids that the log leaves; None where no row lies before the resin thickens."""
    t = found.time_s - mixed_s
    part = slice(int(np.searchsorted(t, 0.0)), int(np.searchsorted(t, stood.thick_s, "right")))
    p = _filled(found.pressure_Pa[part])
    if p.size < 2:
        return None, False
    T = stood.warmth(t[part], found.temperature_K[part])
    pieces = pieces_of(t[part], p, T, stood.thin_s, stood.thick_s)
    return voids_of_log(stood, window.course, pieces, error)


def _filled(p: "np.ndarray[Any, np.dtype[np.float64]]") -> "np.ndarray[Any, np.dtype[np.float64]]":
    """Return pressures without a hole: where one was not read, the deeper of its neighbours."""
    known = np.flatnonzero(np.isfinite(p))
    if known.size == p.size or not known.size:
        return p if known.size else p[:0]
    i = np.arange(p.size)
    after = np.clip(np.searchsorted(known, i), 0, known.size - 1)
    before = np.clip(np.searchsorted(known, i, "right") - 1, 0, known.size - 1)
    return np.asarray(np.minimum(p[known[before]], p[known[after]]))


def _state(judged: Judged, stood: Stood, voids: Band | None, target: float) -> State:
    if judged.below:
        return "too deep"
    if judged.unknown_s > UNKNOWN_ALLOWED_s or voids is None:
        return "cannot tell"
    if voids.high > target:
        return "gas"
    if judged.ends_s < stood.holds_s:
        return "not over"
    cure = max(0.0, judged.ends_s - stood.thin_s)
    return "too weak" if cure > 0.0 and judged.weak_s > WEAK_SHARE * cure else "safe"


def _faults(found: Samples) -> list[str]:
    """Return what was wrong with a log, each in a line."""
    said = []
    if found.gaps:
        long = max(end - start for start, end in found.gaps)
        said.append(
            f"{len(found.gaps)} gaps without a reading, {span(found.missing_s)} in all, the "
            f"longest {span(long)}: the bag may have been anywhere"
        )
    if found.jumps:
        said.append(
            f"the clock went back {found.jumps} times; the rows after it are taken to follow on"
        )
    if found.unreadable:
        said.append(f"{found.unreadable} rows without a reading that can be read, left out")
    if found.dropped:
        said.append(f"{found.dropped} readings that no bag can have, left out")
    return said


def _first_cautions(found: Samples) -> list[str]:
    if "unless it is said" in found.kind.how:
        return [
            "the pressure was taken to be absolute, for its unit says nothing else and the bag is "
            "never at rest in the log: if it counts vacuum, all of this is turned round"
        ]
    return []


def _assumed(stood: Stood, mixed_s: float, mixed: Any, error: float) -> tuple[Line, ...]:
    said = [
        f"the sensor is right to {error / 100.0:.3g} mbar, and the bag was at the deep end of that",
        "mixed with the first row" if mixed is None else f"mixed {clock(mixed_s)} after the first",
        f"thin until {clock(stood.thin_s)}, thickens at {clock(stood.thick_s)}, the gel holds a "
        f"bubble at {clock(stood.holds_s)} after mixing",
        "no gas comes or goes by a leak of the bag itself",
    ]
    return lines(said)
