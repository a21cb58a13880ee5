"""A haul's summary in words, and the progress bar of a running one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event, Thread
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console
    from rich.progress import Progress as Bar
    from rich.progress import TaskID

    from migrate.archive.haul import Plan, Progress
    from migrate.archive.model import Done, Found

_GRADES = ("same", "close", "changed", "kept", "refused", "unmeasured")


def in_words(summary: dict[str, Any]) -> str:
    """The text of haul.txt."""
    files, repeats = summary["files"], summary["duplicates"]
    total = sum(summary["styles"].values())
    out = [
        f"{_number(total, 'style')} to {summary['to']}: {_grades(summary['styles'])}",
        f"{_number(sum(files.values()), 'file')}: {files['moved']} moved, {files['passed']} passed over, "
        f"{files['refused']} refused",
        f"{_number(repeats['distinct'], 'meaning')}; {repeats['styles']} styles share {repeats['groups']} of them "
        "(duplicates.jsonl)",
    ]
    if summary["pairs"]:
        out += ["", "by generation"]
        out += [
            f"  {p['from']} to {p['to']}: {_number(p['styles'], 'style')}: {_grades(p['grades'])}"
            for p in summary["pairs"]
        ]
    if summary["worst"]:
        out += ["", "furthest from their look before"]
        out += [
            f"  ΔE 95 % {w['p95']:.2f}, largest {w['largest']:.2f}: {w['style']} in {w['file']}:{w['line']} "
            f"({w['from']}, {w['grade']}, scene {w['scene']})"
            for w in summary["worst"]
        ]
    if summary["reasons"]:
        out += ["", "reasons"]
        out += [_reason(r) for r in summary["reasons"]]
    return "\n".join(out) + "\n"


def _number(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _grades(counts: dict[str, int]) -> str:
    return ", ".join(f"{counts[g]} {g}" for g in _GRADES if counts.get(g)) or "none"


def _reason(reason: dict[str, Any]) -> str:
    code = f" [{reason['code']}]" if reason["code"] else ""
    head = f"  {_number(reason['count'], reason['of'])} {reason['state']}{code}"
    return f"{head}: {reason['reason']}; first {reason['first']}"


@contextmanager
def progress_on(console: Console, plan: Plan) -> Iterator[Progress]:
    """A bar with files done, rate, time left and the grades so far; nothing where no terminal shows it."""
    if not console.is_terminal:
        yield lambda found, done: None
        return
    from rich.progress import BarColumn, TextColumn, TimeRemainingColumn
    from rich.progress import Progress as Bar

    grades: Counter[str] = Counter()
    columns = (
        BarColumn(20), TextColumn("{task.completed} of {task.fields[whole]} files"), TextColumn("{task.fields[rate]}"),
        TimeRemainingColumn(), TextColumn("{task.fields[grades]}"),
    )  # fmt: skip
    stop = Event()
    with Bar(*columns, console=console, transient=True) as bar:
        line = bar.add_task("haul", total=None, whole="…", rate="", grades="")
        counting = Thread(target=_count, args=(plan, bar, line, stop), daemon=True)
        counting.start()

        def advance(found: Found, done: Done) -> None:
            grades.update(style.grade for style in done.styles)
            speed = bar.tasks[0].finished_speed or bar.tasks[0].speed
            told = ", ".join(f"{grades[g]} {g}" for g in _GRADES if grades[g])
            bar.update(line, advance=1, rate=f"{speed:.1f} a second" if speed else "", grades=told)

        try:
            yield advance
        finally:
            stop.set()
            counting.join()


def _count(plan: Plan, bar: Bar, line: TaskID, stop: Event) -> None:
    """Counts ahead of the work, archives too, so that a time left can be told; finding is quick beside moving."""
    from migrate.archive.sources import find

    count = 0
    for _ in find(plan.sources, plan.job.limits):
        count += 1
        if stop.is_set():
            return
    bar.update(line, total=count, whole=str(count))
