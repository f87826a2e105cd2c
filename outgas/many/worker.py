"""Works a map part by part: here and now, lazily in chunks, or wherever it is sent."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from outgas.errors import InputError, UnknownNameError
from outgas.many.cases import CASE, Cases, coordinate
from outgas.many.exact import answered
from outgas.many.fields import MIND, Field, fields_of, rows
from outgas.many.interpolated import Knots
from outgas.many.progress import shown
from outgas.many.wanted import needed
from outgas.show.answer import Answer

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from xarray import Dataset

    Floats: TypeAlias = NDArray[np.float64]

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
    held = [f"{key} = {_said(value)[:200]}" for key, value in worker.cases.held.items()]
    said = {"held": "; ".join(held), "mind": MIND}
    made: Dataset = xr.Dataset(variables, coordinates, said)
    return made


def _said(value: Any) -> str:
    """Return what is held in one line: of an answer what it is, not all that it says."""
    return repr(value) if isinstance(value, Answer) else str(value)
