"""A whole haul: finds, hands out, notes, sums up. Interrupted anywhere, it goes on where it was with `resume`."""

from __future__ import annotations

import json
import os
import re
import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from migrate.archive import pool
from migrate.archive.ledger import Ledger
from migrate.archive.model import Done, Found, Job, Refusal, Task, refusal_of
from migrate.archive.sources import find
from migrate.archive.store import is_url, local, occupied, remove, within_one_another, write_bytes
from migrate.archive.summary import duplicates, summarise
from migrate.archive.work import REPORT
from migrate.packs.library import pack_folders

STATE = ".haul"
OWN = ("haul.json", "haul.txt", "duplicates.jsonl", STATE)
_DISK = (sqlite3.Error, OSError)
_LEFT_OVER = re.compile(r"\..+\.\w{8}\.part")


class HaulError(Exception):
    """A haul that cannot begin or go on: a code and a sentence."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


@dataclass(frozen=True)
class Plan:
    """What to haul. `scheduler` is a Dask address; `state` holds the ledger where `job.out` is not on this machine."""

    sources: tuple[str, ...]
    job: Job
    workers: int
    resume: bool = False
    scheduler: str | None = None
    state: Path | None = None


Progress = Callable[[Found, Done], None]


def haul(plan: Plan, progress: Progress = lambda found, done: None) -> dict[str, Any]:
    """Hauls everything and returns the summary (grammars/schemas/haul.json), which also stands in DIR.

    Raises HaulError before anything is written, or where the ledger itself cannot be kept.
    """
    start = time.monotonic()
    folder = _checked(plan)
    try:
        ledger = Ledger(folder / "ledger.sqlite")
    except _DISK as error:
        raise HaulError("no-ledger", f"the ledger in {folder} cannot be opened: {error}") from None
    try:
        _begin(plan, ledger)
        for found, done in _results(plan, ledger):
            ledger.enter(found, done)
            progress(found, done)
        _drop_forgotten(plan, ledger)
        summary = summarise(ledger, plan.job.options.target)
        _publish(plan, ledger, summary)
        _note_time(folder, plan, time.monotonic() - start)
    except _DISK as error:
        raise HaulError("no-ledger", f"the haul stops, for its ledger cannot be kept: {error}") from None
    finally:
        _close(ledger)
    return summary


def _close(ledger: Ledger) -> None:
    with suppress(*_DISK):  # what was committed stands, the rest is done again by --resume
        ledger.close()


# ---- before -------------------------------------------------------------------------------------


def _checked(plan: Plan) -> Path:
    """The folder of the ledger, after all that can be checked without touching anything."""
    out = local(plan.job.out)
    if out is None:
        if plan.state is None:
            raise HaulError("no-state", "a target that is a URL needs --state DIR for the ledger")
        folder = plan.state
    else:
        _apart(Path(out), plan.sources)
        folder = plan.state or Path(out, STATE)
    begun = (folder / "ledger.sqlite").exists()
    if begun and not plan.resume:
        raise HaulError("begun", f"{plan.job.out} holds a haul already: go on with --resume, or give another --out")
    if not begun and out is not None and os.path.isdir(out) and any(n != STATE for n in os.listdir(out)):
        raise HaulError("not-empty", f"{out} is not empty, and holds no haul to go on with")
    if out is None:
        _check_url(plan.job.out, plan.sources, None if begun else folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        refusal = refusal_of(error, "write")
        raise HaulError(refusal.code, f"{plan.job.out}: {refusal.reason}") from None
    if out is not None and begun:
        _sweep(Path(out))
    return folder


def _check_url(out: str, sources: Sequence[str], empty_for: Path | None) -> None:
    """The same of a target behind a URL: its bucket is there, no source is near, and nothing is in it yet."""
    if any(is_url(source) and within_one_another(out, source) for source in sources):
        raise HaulError("target-in-source", f"{out} and a source lie in one another; give another --out")
    try:
        taken = occupied(out)
    except OSError as error:
        refusal = refusal_of(error, "write")
        raise HaulError(refusal.code, f"{out}: {refusal.reason}") from None
    if taken and empty_for is not None:
        raise HaulError("not-empty", f"{out} is not empty, and {empty_for} holds no haul to go on with")


def _apart(out: Path, sources: Sequence[str]) -> None:
    """Originals are never touched: neither may lie in the other."""
    target = out.resolve()
    for source in sources:
        path = local(source)
        if path is None:
            continue
        fixed = Path(path.split("*")[0].split("?")[0].split("[")[0] or ".") if not os.path.lexists(path) else Path(path)
        place = fixed.resolve()
        if target == place or place in target.parents or target in place.parents:
            raise HaulError("target-in-source", f"{out} and {source} lie in one another; give another --out")


def _sweep(out: Path) -> None:
    """Removes what a killed write left: temporary files of our own making, by their names."""
    for folder, folders, files in os.walk(out):
        if STATE in folders:
            folders.remove(STATE)
        for name in files:
            if _LEFT_OVER.fullmatch(name):
                with suppress(OSError):  # it may be another's; it is in nobody's way
                    os.unlink(os.path.join(folder, name))


def _begin(plan: Plan, ledger: Ledger) -> None:
    """A ledger belongs to one set of options: with others, its results would not be this haul's."""
    options = plan.job.options
    facts = asdict(options) | {"limits": asdict(plan.job.limits), "packs": _packs(options.packs)}
    fingerprint = json.dumps(facts, default=str, sort_keys=True)
    before = ledger.meta("options")
    if before is not None and before != fingerprint:
        raise HaulError("other-options", "this haul was begun with other options or packs; give another --out")
    ledger.set_meta("options", fingerprint)


def _packs(extra: tuple[Path, ...]) -> str:
    """One hash over the text of every pack."""
    whole = sha256()
    for folder in pack_folders(extra):
        for path in sorted(folder.glob("*.pack")):
            whole.update(path.read_bytes())
    return whole.hexdigest()


# ---- the work -----------------------------------------------------------------------------------


def _results(plan: Plan, ledger: Ledger) -> Iterator[tuple[Found, Done]]:
    """Everything found, with what became of it, as it gets ready."""
    given: dict[int, Found] = {}

    def tasks() -> Iterator[Task | Done]:
        ledger.take(*OWN)
        for number, found in enumerate(find(plan.sources, plan.job.limits)):
            given[number] = Found(found.out, found.origin)  # the bytes go to a worker and are not kept here
            yield _first_look(found, number, ledger) or Task(number, found, ledger.known(found))

    for done in _run(plan, tasks()):
        yield given.pop(done.number), done


def _first_look(found: Found, number: int, ledger: Ledger) -> Done | None:
    """What needs no worker: refusals, what is passed over, and a name that is taken."""
    if found.refusal is not None:
        return Done(number, "refused", found.refusal, exit=2)
    if found.passed:
        return Done(number, "passed", Refusal("no-style-file", "its name is none of a text that holds styles"))
    if not ledger.take(found.out, found.out + REPORT):
        return Done(number, "refused", Refusal("doubled-name", f"{found.out} is taken by an earlier file"), exit=2)
    return None


def _run(plan: Plan, tasks: Iterator[Task | Done]) -> Iterator[Done]:
    if plan.scheduler is not None:
        from migrate.archive.cluster import run

        return _told_apart(run(tasks, plan.job, plan.scheduler), plan.scheduler)
    return pool.run(tasks, plan.job, plan.workers)


def _told_apart(answers: Iterator[Done], address: str) -> Iterator[Done]:
    """The answers of a cluster, whose failing is not the ledger's."""
    while True:
        try:
            done = next(answers, None)
        except OSError as error:
            raise HaulError("no-cluster", f"the cluster at {address} does not answer: {error}") from None
        if done is None:
            return
        yield done


# ---- after --------------------------------------------------------------------------------------


def _drop_forgotten(plan: Plan, ledger: Ledger) -> None:
    """Removes the results of files that the sources no longer hold, so that a resumed haul equals a fresh one."""
    for name in ledger.forgotten():
        for one in (name, name + REPORT):
            with suppress(OSError):  # gone already, or no longer a file of ours
                remove(plan.job.out, one)
    ledger.forget()


def _publish(plan: Plan, ledger: Ledger, summary: dict[str, Any]) -> None:
    """Writes the summary into DIR; where that cannot be, the summary itself says so."""
    from migrate.report.haul import in_words

    try:
        text = json.dumps(summary, ensure_ascii=False, indent=2) + "\n"
        for name, whole in (
            ("haul.json", text), ("haul.txt", in_words(summary)), ("duplicates.jsonl", "".join(duplicates(ledger)))
        ):  # fmt: skip
            write_bytes(plan.job.out, name, whole.encode("utf-8", "backslashreplace"))
    except OSError as error:
        refusal = refusal_of(error, "write")
        entry = {"of": "file", "state": "refused", "code": refusal.code, "count": 1, "first": "the summary"}
        summary["reasons"].append(entry | {"reason": refusal.reason})
        summary["exit"] = 2


def _note_time(folder: Path, plan: Plan, seconds: float) -> None:
    """Times differ from run to run, so they stand beside the ledger and not in the result."""
    (folder / "time.json").write_text(
        json.dumps({"seconds": round(seconds, 3), "workers": plan.workers}) + "\n", "utf-8"
    )
