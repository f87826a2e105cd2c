"""A map written to a file: part by part, so that one that was broken off goes on where it stood."""

import contextlib
import shutil
from collections.abc import Iterator, Mapping
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas.errors import InputError
from outgas.files import write_atomic
from outgas.many.progress import shown
from outgas.many.wanted import needed
from outgas.many.worker import AT_ONCE, Worker, chunks_of, in_memory, labelled, parts_of

if TYPE_CHECKING:
    from xarray import Dataset

SUFFIXES = (".zarr", ".nc", ".csv")
ASKED = "asked"  # attribute of a store: which map it is of
LAST = "outcome"  # written last of a part: where it stands, the part is whole


def store(
    worker: Worker,
    path: "str | PathLike[str]",
    *,
    chunks: "int | Mapping[str, int] | None" = None,
    progress: bool | None = None,
) -> "Dataset":
    """Work a map and write it; return it, of a .zarr opened lazily.

    What stands in a .zarr of the same map is not worked again; another map's, or what is no map,
    is refused. A .nc or .csv is written whole or not at all; a .nc is worked in a .zarr beside it.
    """
    target = Path(path)
    if target.suffix not in SUFFIXES:
        raise InputError(f"{target.name}: a map is written to {', '.join(SUFFIXES)}")
    if not target.parent.is_dir():
        raise InputError(f"{target.parent} is no folder; make it first")
    if target.suffix == ".csv":
        found = in_memory(worker, progress=progress)
        write_atomic(target, csv_of(found).encode(), shown=True)
        return found
    if target.suffix == ".zarr":
        return _in_parts(worker, target, chunks, progress)
    needed("h5netcdf")
    beside = target.with_name(f".{target.name}.part.zarr")
    found = _in_parts(worker, beside, chunks, progress)
    scratch = target.with_name(f".{target.name}.new")
    try:
        found.to_netcdf(scratch, engine="h5netcdf")
        scratch.replace(target)
    finally:
        with contextlib.suppress(OSError):
            scratch.unlink()
    found.close()
    shutil.rmtree(beside)
    made: Dataset = needed("xarray").open_dataset(target, engine="h5netcdf")
    return made


def csv_of(found: "Dataset") -> str:
    """Return a map as a table: a line a case, words for codes, empty where there is no answer."""
    from outgas.many.fields import words_of

    frame = words_of(found).to_dataframe().reset_index()
    text: str = frame.to_csv(index=False, lineterminator="\n", float_format="%.6g")
    return text


def _in_parts(
    worker: Worker, target: Path, chunks: "int | Mapping[str, int] | None", progress: bool | None
) -> "Dataset":
    xr, zarr = needed("xarray"), needed("zarr")
    sizes = even(worker.cases.shape) if chunks is None else chunks_of(worker.cases, chunks)
    asked = worker.__dask_tokenize__()
    if target.exists():
        _same_map(target, asked)
    else:
        _begin(worker, target, sizes, asked, xr)
    group = zarr.open_group(target, mode="r+")
    left = [part for part in boxes(worker.cases.shape, sizes) if np.isnan(group[LAST][part]).any()]
    for part, values in worked(worker, left, progress):
        for field, value in zip(worker.fields, values, strict=True):
            if field.name != LAST:
                group[field.name][part] = value
        group[LAST][part] = values[[f.name for f in worker.fields].index(LAST)]
    made: Dataset = xr.open_zarr(target)
    return made


def _begin(worker: Worker, target: Path, sizes: tuple[int, ...], asked: str, xr: Any) -> None:
    """Write a store with its axes and nothing in it, whole or not at all."""
    da = needed("dask.array")
    blank = da.full(
        (len(worker.fields), *worker.cases.shape), np.nan, chunks=(len(worker.fields), *sizes)
    )
    empty = labelled(worker, blank, xr).assign_attrs({ASKED: asked})
    scratch = target.with_name(f".{target.name}.new")
    with contextlib.suppress(FileNotFoundError):
        shutil.rmtree(scratch)
    fill = {field.name: {"_FillValue": np.nan} for field in worker.fields}
    empty.to_zarr(scratch, compute=False, zarr_format=2, consolidated=True, encoding=fill)
    scratch.rename(target)


def _same_map(target: Path, asked: str) -> None:
    """Refuse to go on with what is no map, or a map of other cases."""
    zarr = needed("zarr")
    try:
        found = dict(zarr.open_group(target, mode="r").attrs)
    except Exception:
        raise InputError(f"{target} stands there and is no map; give another name") from None
    if found.get(ASKED) != asked:
        raise InputError(f"{target} is a map of other cases; give another name or delete it")


def even(shape: tuple[int, ...]) -> tuple[int, ...]:
    """Return the size of parts of a map of which each is soon worked."""
    first = parts_of(shape, AT_ONCE)[0]
    return tuple(max(s.stop - s.start, 1) for s in first)


def boxes(shape: tuple[int, ...], sizes: tuple[int, ...]) -> "list[tuple[slice, ...]]":
    """Return the parts of a map that are so many cases long along each axis."""
    counts = [range(0, n, step) for n, step in zip(shape, sizes, strict=True)]
    return [
        tuple(
            slice(c[i], min(c[i] + step, n))
            for c, i, step, n in zip(counts, at, sizes, shape, strict=True)
        )
        for at in np.ndindex(*(len(c) for c in counts))
    ]


def worked(
    worker: Worker, parts: "list[tuple[slice, ...]]", progress: bool | None
) -> "Iterator[tuple[tuple[slice, ...], Any]]":
    """Work parts one by one, or on the cluster that a dask client is connected to, as they come."""
    client = _client()
    if client is None:
        for part in shown(parts, _cases(parts), progress):
            yield part, worker.block(part)
        return
    from distributed import as_completed

    (held,) = client.scatter([worker], broadcast=True)
    futures = {client.submit(_block, held, part, pure=False): part for part in parts}
    steps = shown(parts, _cases(parts), progress)
    for future in as_completed(list(futures)):  # type: ignore[no-untyped-call]
        next(steps)
        yield futures.pop(future), future.result()
    next(steps, None)


def _block(worker: Worker, part: "tuple[slice, ...]") -> Any:
    return worker.block(part)


def _cases(parts: "list[tuple[slice, ...]]") -> int:
    return sum(int(np.prod([s.stop - s.start for s in part])) for part in parts)


def _client() -> Any:
    """Return the cluster's client, where there is one."""
    import sys

    if "distributed" not in sys.modules:
        return None
    from distributed import get_client

    try:
        return get_client()
    except ValueError:
        return None
