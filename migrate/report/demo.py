"""The demo: the main job on the shipped config, with a picture, and what to look at."""

from __future__ import annotations

import shlex
import tomllib
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console

from migrate.atomic import write_atomically
from migrate.native import NativeError, Toolchain
from migrate.pipeline import Moved, Options, move, scene_named
from migrate.proof import check_compiled
from migrate.report import terminal
from migrate.report.diff import unified
from migrate.report.gallery import Pair, gallery_of
from migrate.resources import demo_path
from migrate.source import SourceFile


@dataclass(frozen=True)
class Job:
    """What the demo does (job.toml beside its config): the config, the generation to move to, the style to draw."""

    config: str
    to: str
    style: str
    scene: str


def demo_job() -> Job:
    """The shipped job."""
    return Job(**tomllib.loads(demo_path("job.toml").read_text("utf-8")))


def run_demo(console: Console, out: Path) -> int:
    """Moves the demo config, prints its table, leaves both texts, the diff and a picture in `out`; the exit status.

    Raises OSError where `out` cannot be written.
    """
    job = demo_job()
    source = SourceFile(job.config, demo_path(job.config).read_bytes())
    options = Options(job.to, scenes=(job.scene,))
    moved, compiled = _compiled(move(source, options), options)
    before, after = out / "before" / job.config, out / "after" / job.config
    diff, picture = out / f"{after.stem}.diff", out / f"{job.style}.png"
    for path, data in (
        (before, source.data),
        (after, moved.text),
        (diff, unified(job.config, source.data, moved.text)),
    ):
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(path, data)
    pair = _pair(moved, options, job)
    pair.picture((moved.origin or "before", moved.target)).save(picture)
    terminal.print_diagnostics(console, moved)
    terminal.print_styles(console, moved)
    console.print(terminal.summary(moved.styles, moved.origin, moved.target))
    console.print(compiled, soft_wrap=True)
    console.print()
    for line in _what_to_look_at(moved, pair, job, (before, after, diff, picture)):
        console.print(line, soft_wrap=True)
    return moved.exit


def _compiled(moved: Moved, options: Options) -> tuple[Moved, str]:
    """The move held against the compiled styles where there is a C++ compiler, and what to say of that."""
    if Toolchain.find() is None:
        return moved, "No C++ compiler here, so the styles were not compared as compiled; the grades rest on the packs."
    try:
        checked = check_compiled(moved, options)
    except NativeError as error:
        return moved, f"The styles could not be compared as compiled: {error.diagnostics[0].message}"
    if checked == moved:
        return checked, "Compiled with their own generation's headers and played, both texts look alike too."
    return checked, "Compiled with their own generation's headers and played, some styles differ: see above."


def _pair(moved: Moved, options: Options, job: Job) -> Pair:
    gallery = gallery_of(moved, options)
    found = None if gallery is None else gallery.pair(job.style, scene_named(job.scene))
    assert found is not None, f"the shipped config has no style {job.style}"
    return found


def _what_to_look_at(moved: Moved, pair: Pair, job: Job, files: tuple[Path, Path, Path, Path]) -> list[str]:
    before, after, diff, picture = files
    assert pair.figures is not None
    figures = pair.figures
    return [
        f"Look at {picture}: {job.style} as {moved.origin} draws it, then as {moved.target} does, then what an eye "
        f"might tell apart; time runs down. Black is nothing: ΔE {figures.largest:.2f} in the worst cell, "
        f"{figures.p95:.2f} in 95 of 100; an eye starts to see at about 1.",
        f"Read {diff}: {before} became {after}, comments and all.",
        f"Try your own config: rehilt move FILE --to {moved.target}   (it only shows; --write replaces the file)",
        f"See one blade move: rehilt show {shlex.quote(str(before))} {job.style} --to {moved.target} -o blade.webp",
        "Caution: flashing light can trigger seizures, and LEDs at full current overheat wiring and lithium cells. "
        "A look that is the same is not thereby safe: local codes, the venue's rules and licensed practice decide.",
    ]
