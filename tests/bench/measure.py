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
from migrate.ir import nodes as ir
from migrate.ir.facts import Blade
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.pipeline import Options, frames_of, move, scene_named
from migrate.reading import Reading
from migrate.reading import read as read_file
from migrate.source import SourceFile
from tests.bench.generate import Shape, config, distinct

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


_TIMED_MAIN = """{prelude}
#include "config.h"
#include <time.h>
static double seconds_now() {{
  timespec now;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return double(now.tv_sec) + double(now.tv_nsec) * 1e-9;
}}
int main(int, char** args) {{
  stage::Scene scene;
  if (!scene.read(args[1])) return 2;
  const size_t row = size_t(scene.pixels()) * 3;
  std::vector<unsigned char> frames(row * size_t(scene.frames()));
  double taken = 0;
  for (int turn = 0; turn < 2; ++turn) {{  // the first warms the caches
    const double start = seconds_now();
    wick_performer< ::bench> performer(scene);
    for (long f = 0; f < scene.frames(); ++f) performer.draw(scene.time_of(f), &frames[row * size_t(f)]);
    taken = seconds_now() - start;
  }}
  printf("%.9f\\n", taken);
  FILE* out = fopen(args[2], "wb");
  return out && fwrite(&frames[0], 1, frames.size(), out) == frames.size() && !fclose(out) ? 0 : 3;
}}
"""


def render_ratio(runs: int, name: str = "wick3", layers: int = 12) -> tuple[float, float] | None:
    """Median seconds of numpy and of compiled C++ at -O2 for a style of many layers, 10 s of 132 pixels at 60 Hz.

    Both sides do the same work: the style's state made anew, every frame drawn into memory as 8-bit duties, nothing
    read or written while the clock runs, each warmed up once; the frames are compared. At least seven runs, in
    alternation, of the processor's time (neither side uses a second thread), so that what else runs meets both alike.
    """
    from migrate.native import Toolchain

    if (chain := Toolchain.find()) is None:
        return None
    generation = library()[name]
    style = next(s for s in distinct(name, 12, Shape(3, 16)) if _layers(generation, s) == layers)
    text = config(generation, [("bench", style)]).encode()
    return beside_compiled(text, name, chain, max(runs, 7))


def beside_compiled(text: bytes, name: str, chain: Any, runs: int) -> tuple[float, float]:
    """Median seconds of numpy and of compiled C++ for the style `bench` of a config, by turns."""
    from migrate.native import _written

    scene = replace(scene_named("probe"), duration=10_000_000, rate=60)
    reading = read_file(SourceFile("bench.h", text), Options(name, name, BLADE))
    assert isinstance(reading, Reading)
    with tempfile.TemporaryDirectory() as place:
        _compiled(Path(place), text, name, chain)
        Path(place, "scene").write_text(_written(scene, scene.frames, 132, 144.0))
        mine, theirs = [], []
        for _ in range(runs):
            gc.collect()
            frames_of(reading.lifted["bench"], reading, scene)
            start = time.process_time()
            frames = frames_of(reading.lifted["bench"], reading, scene)
            mine.append(time.process_time() - start)
            told = subprocess.run(["./program", "scene", "frames"], cwd=place, check=True, capture_output=True)
            theirs.append(float(told.stdout))
        drawn = Path(place, "frames").read_bytes()
        worst = max(abs(a - b) for a, b in zip(frames.tobytes(), drawn, strict=True))
        assert worst <= 1, f"the two sides draw {worst} duty steps apart"
    return statistics.median(mine), statistics.median(theirs)


def _compiled(folder: Path, text: bytes, name: str, chain: Any) -> None:
    """Builds the timed program of a config at -O2."""
    from migrate.native import GenerationBuild, Limits, _flags
    from migrate.packs.library import pack_folder

    build = GenerationBuild((pack_folder(name) / "include",), library()[name].standard)
    (folder / "config.h").write_bytes(text)
    (folder / "main.cpp").write_text(_TIMED_MAIN.format(prelude=build.prelude))
    flags = ["-O2", "-ffp-contract=off", "-w", *_flags(chain, build, Limits())]
    subprocess.run([chain.compiler, *flags, "main.cpp", "-o", "program"], cwd=folder, check=True, capture_output=True)


def _layers(generation: Generation, style: str) -> int:
    text = config(generation, [("bench", style)]).encode()
    found = read_file(SourceFile("a.h", text), Options(generation.name, generation.name, BLADE))
    normal = found.lifted["bench"].normal if isinstance(found, Reading) else None
    return len(normal.sheets) + 1 if isinstance(normal, ir.Style) else 0


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
