"""A map or a table of windows: one call, one labelled Dataset, here, in chunks or on a cluster."""

from collections.abc import Mapping
from dataclasses import dataclass
from os import PathLike
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import numpy as np

from outgas.errors import InputError, UnknownNameError
from outgas.job.saved import Job
from outgas.job.shop import Shop
from outgas.many.cases import CASE, Cases, cases_of, coordinate
from outgas.many.exact import answered
from outgas.many.fields import Field, fields_of, rows
from outgas.many.interpolated import Knots, knots_of
from outgas.many.progress import shown
from outgas.many.wanted import needed

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from xarray import Dataset

    from outgas.tables.materials import Resin

    Floats: TypeAlias = NDArray[np.float64]

HOWS = ("exact", "interpolated")
AT_ONCE = 1024  # cases between two looks at the clock


@dataclass(frozen=True, slots=True)
class Worker:
    """Works parts of a map; handed to other processes as it is."""

    cases: Cases
    voids: bool
    knots: Knots | None

    @property
    def fields(self) -> tuple[Field, ...]:
        """What is told of each case."""
        return fields_of(voids=self.voids)

    def block(self, part: tuple[slice, ...]) -> "Floats":
        """Return what is told of each case of a part of the map, fields first."""
        if self.knots is not None:
            return self.knots.block(part)
        along = [np.arange(n)[s] for n, s in zip(self.cases.shape, part, strict=True)]
        shape = tuple(each.size for each in along)
        numbers = np.ravel_multi_index(np.ix_(*along), self.cases.shape) if along else np.zeros(1)
        found = answered(self.cases, np.ravel(numbers).astype(int).tolist())
        return np.moveaxis(rows(found, voids=self.voids).reshape(*shape, -1), -1, 0)

    def __dask_tokenize__(self) -> str:
        """Return what tells one map from another, for dask."""
        import hashlib
        import pickle

        asked = (self.cases, self.voids, self.knots is None)
        return hashlib.sha256(pickle.dumps(asked)).hexdigest()


def sweep(
    resin: "str | Resin | Job | list[str] | None" = None,
    shop: Shop | None = None,
    *,
    cases: "Mapping[str, Any] | None" = None,
    voids: bool = True,
    how: Literal["exact", "interpolated"] = "exact",
    chunks: "int | Mapping[str, int] | None" = None,
    out: "str | PathLike[str] | None" = None,
    progress: bool | None = None,
    **told: Any,
) -> "Dataset":
    """Return the window, limits and expected voids of many cases, as a labelled Dataset.

    Parameters
    ----------
    resin, shop
        As of advise: a name (or a list of names), and where; or a Job that says both.
    cases
        A table: columns of one length, as a dict or a data frame; they run along 'case'.
    voids
        Whether the voids expected at each setpoint are worked too; they take most of the time.
    how
        'exact': each case as advise finds it. 'interpolated': over temperature, humidity and
        altitude or barometer, between knots that are exact, never deeper than exact; without voids.
    chunks
        Cases along each axis of one dask chunk, or of all axes; the Dataset is then lazy.
    out
        A file to write: .zarr (chunk by chunk; a run that was broken off goes on), .nc or .csv.
    progress
        True: on the error stream as well; the command line shows it by itself.
    **told
        Arguments of advise, of Shop and keys of a job, each one value or a sequence of values: a
        list, an array with its unit, a labelled array. Each sequence is an axis, in this order.

    Returns
    -------
    A Dataset: pressures in mbar absolute, temperatures in degC, voids in per cent; units and
    meanings of codes stand in each variable's attributes. Cases that are refused or not possible
    are NaN, with a code in 'outcome'.

    Raises
    ------
    InputError
        An unknown argument or column (with the nearest), a table of uneven columns, or that the
        extra 'many' is missing.

    Notes
    -----
    One case of a sweep is that of advise: the same functions find both, by the same sources. At a
    share t of a cell of width h between knots a limit is

        p = (1 - t) p_0 + t p_1 + 2 h min(t j_0, (1 - t) j_1) + 3 mbar

    with j the fall of the slope at each end: no kink inside the cell lies higher (estimate).

    Examples
    --------
    >>> import outgas
    >>> found = outgas.sweep(
    ...     "orthophthalic-polyester", temperature=["18 degC", "26 degC"], humidity="50 %",
    ...     altitude=["0 m", "1500 m"],
    ... )
    >>> dict(found.sizes), found.deepest.attrs["units"]
    ({'temperature': 2, 'altitude': 2}, 'mbar')
    >>> bool((found.deepest < found.setpoint).all())
    True
    """
    if how not in HOWS:
        raise UnknownNameError("way to work a sweep", str(how), HOWS)
    asked = asked_of(resin, shop, told)
    found = cases_of(asked, cases)
    worker = Worker(found, voids and how == "exact", knots_of(found) if _knotted(how) else None)
    if out is not None:
        from outgas.many.stored import store

        return store(worker, out, chunks=chunks, progress=progress)
    if chunks is not None:
        return lazy(worker, chunks)
    return in_memory(worker, progress=progress)


def _knotted(how: str) -> bool:
    return how == "interpolated"


def asked_of(resin: Any, shop: Shop | None, told: Mapping[str, Any]) -> dict[str, Any]:
    """Return all that is asked: what a job or a shop says, and what is told beside it before it."""
    asked: dict[str, Any] = {}
    if isinstance(resin, Job):
        known = dict(resin.told)
        asked = {key: list(v) if isinstance(v, tuple) else v for key, v in known.items()}
        asked.pop("dial", None)
    elif resin is not None:
        asked["resin"] = resin
    if shop is not None:
        if not isinstance(shop, Shop):
            raise InputError(f"shop is {str(shop)[:40]!r}; give outgas.Shop(temperature=..., ...)")
        asked |= {key: getattr(shop, key) for key in ("temperature", "humidity", "barometer")}
        if shop.tool_temperature_K != shop.temperature_K:
            asked["tool_temperature"] = shop.tool_temperature
        if shop.sun_W_m2:
            from outgas.units import quantity

            asked["sun"] = quantity(shop.sun_W_m2, "W/m**2")
    if told.get("altitude") is not None and shop is not None:
        asked.pop("barometer", None)
    return {**asked, **told}


def in_memory(worker: Worker, *, progress: bool | None = None) -> "Dataset":
    """Return the whole map, worked here and now."""
    xr = needed("xarray")
    shape = worker.cases.shape
    values = np.empty((len(worker.fields), *shape))
    for part in shown(list(parts_of(shape, AT_ONCE)), worker.cases.size, progress):
        values[(slice(None), *part)] = worker.block(part)
    return labelled(worker, values, xr)


def lazy(worker: Worker, chunks: "int | Mapping[str, int]") -> "Dataset":
    """Return the map as dask arrays: nothing is worked until it is asked for."""
    xr = needed("xarray")
    da = needed("dask.array")
    sizes = chunks_of(worker.cases, chunks)
    split = tuple(
        tuple(min(step, n - i) for i in range(0, n, step))
        for n, step in zip(worker.cases.shape, sizes, strict=True)
    )
    count = len(worker.fields)
    values = da.map_blocks(
        _block,
        worker=worker,
        chunks=((count,), *split),
        dtype=float,
        meta=np.empty((0,) * (1 + len(split))),
    )
    return labelled(worker, values, xr)


def _block(*, worker: Worker, block_info: Any = None) -> "Floats":
    """Return one chunk of a map: dask says which."""
    where = block_info[None]["array-location"]
    return worker.block(tuple(slice(low, high) for low, high in where[1:]))


def chunks_of(cases: Cases, chunks: "int | Mapping[str, int] | None") -> tuple[int, ...]:
    """Return how many cases of each axis a chunk has; an axis that is not named is whole."""
    names = [axis.name for axis in cases.axes]
    if isinstance(chunks, Mapping):
        for key in chunks:
            if key not in names:
                raise UnknownNameError("axis", str(key), names)
    each = dict.fromkeys(names, chunks) if not isinstance(chunks, Mapping) else chunks
    sizes = []
    for name, n in zip(names, cases.shape, strict=True):
        step = each.get(name)
        if step is not None and (not isinstance(step, int) or isinstance(step, bool) or step < 1):
            raise InputError(f"chunks of {name} is {step!r}; it is a whole number of cases")
        sizes.append(n if step is None else min(step, n))
    return tuple(sizes)


def parts_of(shape: tuple[int, ...], most: int) -> "list[tuple[slice, ...]]":
    """Return parts of at most so many cases that make up a map, each a box of it."""
    if int(np.prod(shape, dtype=np.int64)) <= most:
        return [tuple(slice(0, n) for n in shape)]
    axis = int(np.argmax(shape))
    half = shape[axis] // 2
    found = []
    for start, n in ((0, half), (half, shape[axis] - half)):
        inner = (*shape[:axis], n, *shape[axis + 1 :])
        for part in parts_of(inner, most):
            moved = slice(part[axis].start + start, part[axis].stop + start)
            found.append((*part[:axis], moved, *part[axis + 1 :]))
    return found


def labelled(worker: Worker, values: Any, xr: Any) -> "Dataset":
    """Return the values of all fields as a Dataset with what they are, and along what."""
    names = [axis.name for axis in worker.cases.axes]
    coordinates: dict[str, tuple[str, Any, dict[str, str]]] = {}
    for axis in worker.cases.axes:
        for key, column in axis.columns.items():
            along, attrs = coordinate(key, column)
            coordinates[key] = (axis.name, along, attrs)
        if axis.name == CASE:
            coordinates.setdefault(CASE, (CASE, np.arange(len(axis)), {}))
    variables = {
        field.name: (names, values[i], field.attrs) for i, field in enumerate(worker.fields)
    }
    held = [f"{key} = {str(value)[:200]}" for key, value in worker.cases.held.items()]
    made: Dataset = xr.Dataset(variables, coordinates, {"held": "; ".join(held)})
    return made
