"""What a worker does with one file: read, move, write the text and its report, tell the ledger."""

from __future__ import annotations

import gc
import json
import re
import time
from hashlib import sha256
from typing import TYPE_CHECKING

from migrate.archive.model import Done, Found, Job, Known, Refusal, State, StyleRow, Task, refusal_of
from migrate.archive.store import read_bytes, write_bytes, written
from migrate.source import SourceFile

if TYPE_CHECKING:
    from migrate.pipeline import Moved

REPORT = ".move.json"
_APPLIED = re.compile(rb"\w\s*<")  # without one there is no style, whatever else the text may be


def prepare(job: Job) -> None:
    """Loads once, before the first file, what every file needs; the collector then leaves it alone."""
    from migrate.packs.library import library

    library(job.options.packs)
    gc.collect()
    gc.freeze()


def handle(task: Task, job: Job) -> Done:
    """Moves one file. Never raises: whatever happens is a value."""
    start = time.perf_counter()
    try:
        done = _handled(task, job)
    except MemoryError:
        done = _refused(task, Refusal("out-of-memory", "there is not enough memory to move it"))
    except Exception as error:  # one bad file must not end the haul, and a traceback is no report
        done = _refused(task, Refusal("internal-error", f"a fault of the tool: {type(error).__name__}: {error}"))
    return Done(
        done.number, done.state, done.refusal, done.hashes, done.styles, done.exit,
        time.perf_counter() - start, done.reused,
    )  # fmt: skip


def _refused(task: Task, refusal: Refusal) -> Done:
    return Done(task.number, "refused", refusal, exit=2)


def _handled(task: Task, job: Job) -> Done:
    found = task.found
    if found.refusal is not None:
        return _refused(task, found.refusal)
    if found.passed:
        return Done(task.number, "passed", Refusal("no-style-file", "its name is none of a text that holds styles"))
    data = _bytes(found, job)
    if isinstance(data, Refusal):
        return _refused(task, data)
    if b"\0" in data[:8192] and data.count(b"\0") * 10 > len(data):
        return _refused(task, Refusal("not-text", "it is no text"))
    source_hash = sha256(data).hexdigest()
    if task.known is not None and task.known.source == source_hash and _stands(task.known, found, job):
        return Done(task.number, "moved", None, task.known, reused=True)  # the ledger knows the rest
    return _moved(task, job, data, source_hash)


def _bytes(found: Found, job: Job) -> bytes | Refusal:
    if found.data is not None:
        return found.data
    assert found.path is not None
    try:
        data = read_bytes(found.path, job.limits.largest)
    except OSError as error:
        return refusal_of(error, "read")
    if data is None:
        return Refusal("too-large", f"it is larger than {job.limits.largest >> 20} MB")
    return data


def _stands(known: Known, found: Found, job: Job) -> bool:
    """Whether an earlier run's text and report are still there, byte for byte."""
    for name, hashed in ((found.out, known.text), (found.out + REPORT, known.report)):
        data = written(job.out, name)
        if data is None or sha256(data).hexdigest() != hashed:
            return False
    return True


def _moved(task: Task, job: Job, data: bytes, source_hash: str) -> Done:
    from migrate.pipeline import move
    from migrate.report.data import move_report

    source = SourceFile(task.found.out, data)
    moved = move(source, job.options)
    sound = not any(d.severity == "error" for d in moved.diagnostics)
    if not moved.styles and (sound or (moved.origin is None and not _APPLIED.search(data))):
        return Done(task.number, "passed", Refusal("no-styles", "it holds no style"))
    report = json.dumps(move_report(moved), ensure_ascii=False, indent=2).encode("utf-8", "backslashreplace") + b"\n"
    try:
        write_bytes(job.out, task.found.out, moved.text)
        write_bytes(job.out, task.found.out + REPORT, report)
    except OSError as error:
        return _refused(task, refusal_of(error, "write"))
    hashes = Known(source_hash, sha256(moved.text).hexdigest(), sha256(report).hexdigest())
    first = next((d for d in moved.diagnostics if d.severity == "error"), None)
    said = Refusal(first.code, first.message) if first is not None else None
    state: State = "moved" if moved.origin is not None else "refused"
    return Done(task.number, state, said, hashes, _rows(moved), moved.exit)


def _rows(moved: Moved) -> tuple[StyleRow, ...]:
    return tuple(
        StyleRow(
            s.name, s.line, s.origin, s.grade, float(s.rounding),
            s.figures.p95 if s.figures is not None else None,
            s.figures.largest if s.figures is not None else None,
            s.scene, s.digest, s.notes[0] if s.notes else "",
        )
        for s in moved.styles
    )  # fmt: skip
