"""The same work on a Dask cluster. A task names its file or brings its bytes, and writes below the shared target,
so a worker that is lost costs only time: Dask gives its tasks to another, and each write replaces the file whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from migrate.archive.model import Done, Job, Refusal, Task
from migrate.archive.store import MissingExtraError

_AHEAD = 2  # tasks in flight for each thread of the cluster


def run(tasks: Iterable[Task | Done], job: Job, address: str) -> Iterator[Done]:
    """What became of each task, as they finish; what is done passes through. Raises OSError, MissingExtraError."""
    try:
        import distributed
    except ModuleNotFoundError:
        raise MissingExtraError("--scheduler needs the extra: pip install 'rehilt[cluster]'") from None
    library: Any = distributed  # untyped, and absent where the extra is
    with library.Client(address, timeout=20, set_as_default=False) as client:
        yield from _flow(client, library.as_completed([], loop=client.loop), tasks, job)


def _flow(client: Any, finished: Any, tasks: Iterable[Task | Done], job: Job) -> Iterator[Done]:
    waiting = iter(tasks)
    running: dict[Any, int] = {}
    more = True
    while more or running:
        # Asked anew each round: workers come and go.
        room = _AHEAD * max(1, sum(client.nthreads().values()))
        while more and len(running) < room:
            task = next(waiting, None)
            more = task is not None
            if isinstance(task, Done):
                yield task
            elif task is not None:
                future = client.submit(_handle, task, job, pure=False, retries=2)
                running[future.key] = task.number
                finished.add(future)
        if running:
            future = next(finished)
            number = running.pop(future.key)
            yield _answer(future, number, job)
            future.release()


def _answer(future: Any, number: int, job: Job) -> Done:
    if future.status == "finished":
        done: Done = future.result()
        return done
    reason = f"the cluster gave it up: {type(future.exception()).__name__}"
    return Done(number, "refused", Refusal("worker-died", reason), exit=2)


def _handle(task: Task, job: Job) -> Done:
    from migrate.archive.work import handle

    return handle(task, job)
