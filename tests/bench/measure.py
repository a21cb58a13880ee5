"""What `python -m tests.bench` measures: each figure a median of runs, all from one machine and one run."""

from __future__ import annotations

import gc
import math
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from migrate.concrete.language import mask, read
from migrate.concrete.parse import parse
from migrate.ir.facts import Blade
from migrate.packs.library import library
from migrate.pipeline import Options, move
from migrate.source import SourceFile

ROOT = Path(__file__).resolve().parents[2]
BLADE = Blade(132, Fraction(144))


def median_seconds(work: Callable[[], Any], runs: int = 3) -> float:
    """The median wall time of `runs` calls, each after a full collection."""
    taken = []
    for _ in range(runs):
        gc.collect()
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def neighbour(name: str) -> str:
    """The generation to move to: the next one up, and from the newest the one before it."""
    names = list(library())
    at = names.index(name)
    return names[at + 1] if at + 1 < len(names) else names[at - 1]


def sources_in(folder: Path) -> dict[str, list[SourceFile]]:
    """The bench corpus by generation."""
    return {
        name: [SourceFile(str(path), path.read_bytes()) for path in sorted((folder / name).glob("*.h"))]
        for name in library()
    }


# ---- (a) to (d) ---------------------------------------------------------------------------------


def raw_parse(sources: dict[str, list[SourceFile]]) -> None:
    for group in sources.values():
        for source in group:
            read(mask(source))


def whole_parse(sources: dict[str, list[SourceFile]]) -> None:
    for group in sources.values():
        for source in group:
            parse(source)


def spot_all(sources: dict[str, list[SourceFile]]) -> None:
    from migrate.spotting import SpotOptions, spot

    for group in sources.values():
        for source in group:
            spot(source, SpotOptions(measure=False))


def move_all(sources: dict[str, list[SourceFile]], prove: bool) -> None:
    for name, group in sources.items():
        for source in group:
            move(source, Options(neighbour(name), name, BLADE, prove=prove))


def ast_grep(folder: Path, runs: int) -> float | None:
    """ast-grep renames one construct, the most frequent, over the same files on one core; None where it is missing."""
    tool = shutil.which("ast-grep") or shutil.which("ast-grep", path=str(Path(sys.executable).parent))
    if tool is None:
        return None
    rule = "{id: r, language: cpp, rule: {kind: type_identifier, regex: '^hearth$'}, fix: bonfire}"
    taken = []
    for _ in range(runs):
        with tempfile.TemporaryDirectory() as place:
            copied = shutil.copytree(folder, Path(place, "c"))
            for path in list(copied.rglob("*.h")):
                path.rename(path.with_suffix(".hpp"))  # it takes .h for C, which has no templates
            start = time.perf_counter()
            command = [tool, "scan", "--inline-rules", rule, "--update-all", "--threads", "1", str(copied)]
            done = subprocess.run(command, capture_output=True, check=True)
            taken.append(time.perf_counter() - start)
            assert b"Applied" in done.stdout + done.stderr, "ast-grep changed nothing"
    return statistics.median(taken)


# ---- (e) haul -----------------------------------------------------------------------------------


def haul_seconds(folder: Path, workers: int = 2) -> tuple[float, int]:
    """Wall seconds of the haul command over a folder, to the newest generation, and its peak memory in kB."""
    with tempfile.TemporaryDirectory() as place:
        command = [
            sys.executable, "-m", "migrate.cli", "haul", str(folder), "--to", list(library())[-1], "--out",
            f"{place}/out", "--workers", str(workers),
        ]  # fmt: skip
        before = time.perf_counter()
        child = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL)
        _, status, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        assert child.returncode in (0, 1, 2)
        return time.perf_counter() - before, usage.ru_maxrss


# ---- (f) render ---------------------------------------------------------------------------------


def render_ratio(runs: int) -> tuple[float, float] | None:
    """Seconds of numpy and of compiled C++ at -O2 for a twelve-layer style, 10 s of 132 pixels at 60 Hz."""
    from migrate.native import GenerationBuild, Limits, Toolchain, _flags, _write_sources, _written
    from migrate.packs.library import pack_folder
    from migrate.pipeline import frames_of, scene_named
    from migrate.pipeline import read as read_file
    from tests.bench.generate import Shape, config, distinct

    chain = Toolchain.find()
    if chain is None:
        return None
    generation = library()["wick3"]
    style = next(s for s in distinct("wick3", 12, Shape(3, 16)) if _layers(generation, s) == 12)
    text = config(generation, [("bench", style)]).encode()
    scene = replace(scene_named("probe"), duration=10_000_000, rate=60)
    reading = read_file(SourceFile("bench.h", text), Options("wick3", "wick3", BLADE))
    mine = median_seconds(lambda: frames_of(reading.lifted["bench"], reading, scene), runs)  # type: ignore[union-attr]
    build = GenerationBuild((pack_folder("wick3") / "include",), generation.standard)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        _write_sources(folder, text, ("bench",), build)
        flags = ["-O2", "-ffp-contract=off", "-w", *_flags(chain, build, Limits())]
        subprocess.run(
            [chain.compiler, *flags, "main.cpp", "-o", "program"], cwd=folder, check=True, capture_output=True
        )
        theirs = []
        for frames in (1, 600):
            (folder / "scene").write_text(_written(scene, frames, 132, 144.0))
            run = lambda: subprocess.run(["./program", "scene", "."], cwd=folder, check=True)  # noqa: E731
            theirs.append(median_seconds(run, runs * 3))
        return mine, theirs[1] - theirs[0]  # less the start of a process


def _layers(generation: Any, style: str) -> int:
    from migrate.diagnostics import Diagnostic
    from migrate.pipeline import read as read_file
    from tests.bench.generate import config

    found = read_file(
        SourceFile("a.h", config(generation, [("bench", style)]).encode()), Options("wick3", "wick3", BLADE)
    )
    if isinstance(found, Diagnostic) or not hasattr(found.lifted["bench"].normal, "sheets"):
        return 0
    return len(found.lifted["bench"].normal.sheets) + 1


# ---- (g) start-up, and growth -------------------------------------------------------------------


def start_up(runs: int) -> tuple[float, float]:
    """Seconds of `rehilt --version` and of `python -c "import click"`."""
    commands = ([sys.executable, "-m", "migrate.cli", "--version"], [sys.executable, "-c", "import click"])
    first, second = (
        median_seconds(lambda c=c: subprocess.run(c, cwd=ROOT, capture_output=True, check=True), runs) for c in commands
    )  # type: ignore[misc]
    return first, second


def exponent(points: Sequence[tuple[float, float]]) -> float:
    """The least-squares slope of log time over log size."""
    xs, ys = [math.log(x) for x, _ in points], [math.log(y) for _, y in points]
    mean_x, mean_y = statistics.fmean(xs), statistics.fmean(ys)
    over = sum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True))
    return over / sum((x - mean_x) ** 2 for x in xs)


def growth_in_size(source: Callable[[int], bytes], sizes: Sequence[int]) -> float:
    """The exponent of the time of a move over the number of styles in one file."""
    points = []
    for size in sizes:
        file = SourceFile("grown.h", source(size))
        points.append(
            (
                float(len(file.data)),
                median_seconds(lambda f=file: move(f, Options("wick4", "wick3", BLADE, prove=False))),
            )
        )
    return exponent(points)


def growth_in_depth(depths: Sequence[int]) -> float:
    """The exponent of the time of a move over the depth of one nested expression."""
    points = []
    for depth in depths:
        nested = "shade<" * depth + "rgb<255, 120, 40>" + ", k<999>>" * depth
        text = f"#define WICK_GENERATION 3\n#include <wick/pile.h>\nusing deep = pile<{nested}>;\n"
        file = SourceFile("deep.h", text.encode())
        moved = move(file, Options("wick4", "wick3", BLADE, prove=False))
        assert moved.styles and moved.styles[0].grade != "refused"
        points.append(
            (float(depth), median_seconds(lambda f=file: move(f, Options("wick4", "wick3", BLADE, prove=False))))
        )
    return exponent(points)
