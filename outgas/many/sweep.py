"""A map or a table of windows: one call, one labelled Dataset, here, in chunks or on a cluster."""

from collections.abc import Mapping
from os import PathLike
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import numpy as np

from outgas.errors import UnknownNameError
from outgas.job.saved import Job
from outgas.job.shop import Shop
from outgas.many.cases import asked_of, cases_of
from outgas.many.interpolated import knots_of
from outgas.many.stored import store
from outgas.many.worker import Worker, in_memory, lazy

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from xarray import Dataset

    from outgas.tables.materials import Resin

    Floats: TypeAlias = NDArray[np.float64]

HOWS = ("exact", "interpolated")


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
        Arguments of advise (also experience), of Shop and keys of a job, one value or several: a
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
        return store(worker, out, chunks=chunks, progress=progress)
    if chunks is not None:
        return lazy(worker, chunks)
    return in_memory(worker, progress=progress)


def _knotted(how: str) -> bool:
    return how == "interpolated"
