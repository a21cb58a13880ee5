"""The demo: the main job on the shipped config, with a picture, and what to look at."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console

from migrate.pipeline import Options, frames_of, move, read, scene_named
from migrate.report import terminal
from migrate.report.diff import unified
from migrate.resources import grammar_path
from migrate.source import SourceFile


def run_demo(console: Console, out: Path) -> int:
    """Moves the demo config into `out`, prints the table, draws a picture; returns the exit status."""
    from migrate.report.pictures import timeline

    job = dict(line.split(" ", 1) for line in grammar_path("demo", "job.txt").read_text("utf-8").splitlines())
    path = grammar_path("demo", job["config"])
    source = SourceFile(path.name, path.read_bytes())
    options = Options(job["to"])
    moved = move(source, options)
    out.mkdir(parents=True, exist_ok=True)
    (out / path.name).write_bytes(moved.text)
    (out / f"{path.stem}.diff").write_bytes(unified(path.name, source.data, moved.text))
    terminal.print_diagnostics(console, moved)
    terminal.print_styles(console, moved)
    console.print(terminal.summary(moved.styles, moved.origin, moved.target))
    return moved.exit
