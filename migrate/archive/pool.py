"""A pool of processes that outlives its workers: one task each at a time, a dead or stuck worker costs one file.

With each task go the proofs that the other workers have made meanwhile, since an archive is full of copies. The order
in which results come back differs from run to run; the numbers on them do not.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import time
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from multiprocessing.connection import Connection, wait

from migrate.archive.model import Done, Job, Refusal, Task
from migrate.measuring import MOST, Told, learn, news

# One process a core is the parallelism; threads of a numerical library inside each would only fight over the cores.
_ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
_TRIES = 2


def cores() -> int:
    """The cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def run(tasks: Iterable[Task | Done], job: Job, workers: int) -> Iterator[Done]:
    """What became of each task, as they finish; no more tasks in memory than workers. What is done passes through."""
    pool = [_Worker(job) for _ in range(workers)]
    waiting = iter(tasks)
    try:
        more = True
        while more or any(w.task for w in pool):
            while more and (idle := next((w for w in pool if w.task is None), None)):
                task = next(waiting, None)
                more = task is not None
                if isinstance(task, Done):
                    yield task
                elif task is not None:
                    idle.give(task)
            yield from _finished(pool, job)
    finally:
        for worker in pool:
            worker.end()


def _finished(pool: list[_Worker], job: Job) -> Iterator[Done]:
    """Waits a moment for answers; replaces in the pool what is dead or stuck."""
    for n, worker in enumerate(pool):
        if worker.task is not None and worker.overdue():
            pool[n], done = worker.replaced(Refusal("time-limit", f"stopped after {job.limits.seconds:g} s"))
            yield done
    for ready in wait([w.connection for w in pool if w.task is not None], 0.5):
        n = next(i for i, w in enumerate(pool) if w.connection is ready)
        pool[n], found, told = pool[n].answer()
        for other in pool[:n] + pool[n + 1 :]:
            other.untold.extend(told)
        if found is not None:
            yield found


class _Worker:
    """One process and the task that it has."""

    def __init__(self, job: Job) -> None:
        context = multiprocessing.get_context("spawn")
        self.job = job
        self.connection, theirs = context.Pipe()
        self.process = context.Process(target=_serve, args=(theirs, job), daemon=True)
        self.process.start()
        theirs.close()
        self.task: Task | None = None
        self.since = 0.0
        self.tries = 0
        self.untold: deque[Told] = deque(maxlen=MOST)

    def give(self, task: Task, tries: int = 1) -> None:
        """Hands it a task; a worker that died meanwhile is found out at the next answer."""
        self.task, self.since, self.tries = task, time.monotonic(), tries
        with suppress(OSError):  # the other end is closed: `wait` reports it at once
            self.connection.send((task, tuple(self.untold)))
        self.untold.clear()

    def overdue(self) -> bool:
        return time.monotonic() - self.since > self.job.limits.seconds

    def answer(self) -> tuple[_Worker, Done | None, Sequence[Told]]:
        """The result that is ready, and its new proofs; a dead worker is replaced and its task tried once more."""
        answered: tuple[Done, Sequence[Told]]
        try:
            answered = self.connection.recv()
        except (EOFError, OSError):
            assert self.task is not None
            if self.tries >= _TRIES:
                return *self.replaced(Refusal("worker-died", f"the process that moved it died {_TRIES} times")), ()
            fresh = self._fresh()
            fresh.give(self.task, self.tries + 1)
            return fresh, None, ()
        self.task = None
        return self, *answered

    def replaced(self, refusal: Refusal) -> tuple[_Worker, Done]:
        """A fresh worker, and the refusal of the task that this one had."""
        assert self.task is not None
        return self._fresh(), Done(self.task.number, "refused", refusal, exit=2, seconds=time.monotonic() - self.since)

    def _fresh(self) -> _Worker:
        self.end()
        return _Worker(self.job)

    def end(self) -> None:
        self.connection.close()
        if self.task is not None:
            self.process.kill()
        self.process.join(5)
        if self.process.is_alive():
            self.process.kill()
            self.process.join()


def _serve(connection: Connection, job: Job) -> None:
    """The worker's loop; ends when the other end closes, as it does when the parent dies."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in _ONE_THREAD:
        os.environ.setdefault(name, "1")
    from migrate.archive.work import handle, prepare

    prepare(job)
    while True:
        try:
            task, told = connection.recv()
            learn(told)
            connection.send((handle(task, job), news()))
        except (EOFError, OSError):
            return
