"""Windows of many jobs, each as advise finds it: heat and gas of all of them worked as arrays."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from outgas.errors import OutgasError
from outgas.job.job import Job
from outgas.laminate.batch import batch_of
from outgas.many.cases import Cases, Reader
from outgas.readings import Reading
from outgas.window.case.defaults import cases_of
from outgas.window.refusals import refuse
from outgas.window.verdict import Verdict, verdict_of
from outgas.window.window import Window, windows_of

TOGETHER = 128  # cases that are worked together


@dataclass(frozen=True, slots=True)
class Answered:
    """What became of one case: its window and verdict, or why there is none."""

    window: Window | None
    verdict: Verdict | None = None
    refused: OutgasError | None = None


def answered(cases: Cases, numbers: Sequence[int], *, refusing: bool = True) -> list[Answered]:
    """Return what becomes of each case of these numbers, in their order.

    Without refusing, what must not be done is worked all the same: for knots between which others
    lie that may.
    """
    reader = Reader(cases)
    found: list[Answered] = []
    for i in range(0, len(numbers), TOGETHER):
        read = [_read(reader, number, refusing=refusing) for number in numbers[i : i + TOGETHER]]
        found += _together(read)
    return found


Read: TypeAlias = "tuple[Job, Reading | None] | OutgasError"


def _together(read: Sequence[Read]) -> list[Answered]:
    asked = [each for each in read if not isinstance(each, OutgasError)]
    made = cases_of([job for job, _ in asked])
    good = [
        (job, case, bag)
        for (job, bag), case in zip(asked, made, strict=True)
        if not isinstance(case, OutgasError)
    ]
    windows = iter(windows_of([(job, case) for job, case, _ in good]))
    kept, worked = iter(made), iter(good)
    found = []
    for each in read:
        if isinstance(each, OutgasError):
            found.append(Answered(None, refused=each))
            continue
        case = next(kept)
        if isinstance(case, OutgasError):
            found.append(Answered(None, refused=case))
            continue
        window, (job, _, bag) = next(windows), next(worked)
        found.append(Answered(window, verdict_of(job, window, bag)))
    return found


def _read(reader: Reader, number: int, *, refusing: bool) -> Read:
    try:
        job = reader.job(number)
        if refusing:
            refuse(job)
        if job.gel_s is not None:
            batch_of(job)
        return job, reader.bag(number)
    except OutgasError as error:
        return error
