"""Many photographs read side by side, answers in the order given; one bad file does not stop the rest."""

from __future__ import annotations

import multiprocessing
import os
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice
from pathlib import Path

from gambrel.files.plant import plant_at
from gambrel.files.ribface_reading import ByHand, FaceReading, read_photograph
from gambrel.measures import CannotDo, Finding

_AHEAD = 64
"""Photographs handed out beyond the one waited for, so that a long archive does not fill the memory."""


@dataclass(frozen=True)
class Job:
    """One photograph to read, and the file to draw it into."""

    photo: Path
    picture: Path | None = None


def read_one(job: Job, by_hand: ByHand) -> FaceReading:
    """One photograph in this process, whose libraries then keep to one thread.

    A picture that cannot be written is a warning here: the reading itself is good.
    """
    import cv2

    cv2.setNumThreads(1)
    try:
        return read_photograph(job.photo, by_hand=by_hand, picture=job.picture)
    except CannotDo as unwritten:
        answer = read_photograph(job.photo, by_hand=by_hand)
        said = tuple(finding.sentence() for finding in unwritten.findings)
        return replace(answer, warnings=(*answer.warnings, *said))


def read_here(jobs: Sequence[Job], by_hand: ByHand, *, processes: int) -> Iterator[FaceReading]:
    """Answers in order, from `processes` processes of this machine; with one, from this very process."""
    if processes <= 1 or len(jobs) <= 1:
        for job in jobs:
            yield read_one(job, by_hand)
        return
    done = 0
    while done < len(jobs):
        rest = jobs[done:]
        with _pool(min(processes, len(rest))) as pool:
            try:
                for answer in _in_order(rest, partial(_hand_to, pool, by_hand)):
                    yield answer
                    done += 1
                return
            except BrokenProcessPool:
                pass
        yield _alone(
            jobs[done], by_hand
        )  # a process was stopped from outside: this one by itself, then the rest
        done += 1


def _pool(processes: int) -> ProcessPoolExecutor:
    """Fresh processes, not copies of this one: a copy of a process with threads may stand still for ever."""
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    return ProcessPoolExecutor(processes, mp_context=multiprocessing.get_context("spawn"))


def _hand_to(pool: ProcessPoolExecutor, by_hand: ByHand, job: Job) -> Future[FaceReading]:
    return pool.submit(read_one, job, by_hand)


def _in_order(
    jobs: Sequence[Job],
    hand_out: Callable[[Job], Future[FaceReading]],
    answered: Callable[[Job, Future[FaceReading]], FaceReading] = lambda _, future: future.result(),
) -> Iterator[FaceReading]:
    waiting: deque[tuple[Job, Future[FaceReading]]] = deque()
    todo = iter(jobs)
    while True:
        for job in islice(todo, _AHEAD - len(waiting)):
            waiting.append((job, hand_out(job)))
        if not waiting:
            return
        yield answered(*waiting.popleft())


def _alone(job: Job, by_hand: ByHand) -> FaceReading:
    with _pool(1) as pool:
        try:
            return pool.submit(read_one, job, by_hand).result()
        except BrokenProcessPool:
            return _stopped(job)


def _stopped(job: Job) -> FaceReading:
    """The answer for a photograph whose reader was stopped from outside each time, mostly for want of memory."""
    finding = Finding(str(job.photo), "a file that stops the reader", "an ordinary photograph",
                      "Save it anew as JPEG, smaller.")  # fmt: skip
    reason = f"{finding.given}; wanted {finding.wanted}. {finding.do}"
    return FaceReading(str(job.photo), 0.0, finding, reason)


def read_on_plant(jobs: Sequence[Job], by_hand: ByHand, *, address: str) -> Iterator[FaceReading]:
    """Answers in order, from the machines behind the Dask scheduler at `address`.

    The machines must have gambrel and see the photographs under the same names. `CannotDo` when Dask is not
    installed, nobody answers at the address, or the scheduler goes away.
    """
    with plant_at(address) as client:
        from dask.distributed import KilledWorker

        def answered(job: Job, future: Future[FaceReading]) -> FaceReading:
            try:
                return future.result()
            except KilledWorker:
                return _stopped(job)
            except CancelledError:
                gone = Finding("--scheduler", f"{address} went away at {job.photo}", "a Dask scheduler that stays",
                               "Start it again and read the rest.")  # fmt: skip
                raise CannotDo([gone]) from None

        handed = partial(client.submit, read_one, by_hand=by_hand, pure=False)
        yield from _in_order(jobs, handed, answered)


def cores() -> int:
    """Processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
