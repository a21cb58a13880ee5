"""Prints the bench table, in Markdown: `python -m tests.bench [--size MB] [--styles N] [--runs N] [--only a,c,g]`."""

from __future__ import annotations

import argparse
import datetime
import os
import platform
import shutil
import tempfile
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

from migrate.packs.library import library, pack_folders
from tests.bench import generate, measure
from tests.bench.generate import Shape, config, distinct, write_distinct, write_realistic


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--size", type=float, default=6.0, help="MB of distinct styles")
    parser.add_argument("--styles", type=int, default=10_000, help="styles of the realistic archive that is hauled")
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--only", default="abcdefgh", help="letters of the rows")
    given = parser.parse_args()
    place = Path(tempfile.gettempdir(), f"rehilt-bench-{os.getuid()}-{_recipe()}")
    corpus = made(place / f"distinct-{given.size:g}", lambda to: write_distinct(to, int(given.size * 1e6)))
    load = os.getloadavg()[0]
    print(f"{_machine()}; load before {load:.1f}; {datetime.date.today()}\n")
    print("| | what | seconds | beside it | ratio |\n| --- | --- | ---: | --- | ---: |")
    for row in rows(corpus, place, given):
        print("| " + " | ".join(row) + " |", flush=True)
    print(f"\nload after {os.getloadavg()[0]:.1f}; corpus {corpus}, {_megabytes(corpus):.2f} MB")


def _recipe() -> str:
    """Names what the corpora are made by, so that those of another generator or of other packs are made anew."""
    whole = sha256(Path(generate.__file__).read_bytes())
    for folder in pack_folders():
        for path in sorted(folder.glob("*.pack")):
            whole.update(path.read_bytes())
    return whole.hexdigest()[:8]


def made(place: Path, make: object) -> Path:
    """A generated folder, made whole or not at all, and kept for the next run."""
    if not place.exists():
        half = place.with_name(place.name + ".part")
        shutil.rmtree(half, ignore_errors=True)
        make(half)  # type: ignore[operator]
        half.rename(place)
    return place


def rows(corpus: Path, place: Path, given: argparse.Namespace) -> Iterator[tuple[str, str, str, str, str]]:
    """The rows of the table, each as soon as it is measured."""
    want = set(given.only.replace(",", ""))
    sources = measure.sources_in(corpus)
    raw = measure.median_seconds(lambda: measure.raw_parse(sources), given.runs)
    grep = measure.ast_grep(corpus, min(given.runs, 3)) if want & set("abc") else None
    size = f"{_megabytes(corpus):.1f} MB"
    for letter, what, work in (
        ("a", "parse", lambda: measure.whole_parse(sources)),
        ("b", "spot, not measured", lambda: measure.spot_all(sources)),
        ("c", "move, not rendered", lambda: measure.move_all(sources, prove=False)),
    ):
        if letter in want:
            yield from _beside(letter, f"{what}, {size}", measure.median_seconds(work, given.runs), raw, grep)
    if "d" in want:
        few = {name: group[: max(1, len(group) // 20)] for name, group in sources.items()}
        bare = measure.median_seconds(lambda: measure.move_all(few, prove=False), 1)
        proven = measure.median_seconds(lambda: measure.move_all(few, prove=True), 1)
        yield (
            "d",
            "move with proof, a twentieth of it",
            f"{proven:.2f}",
            "the same, not rendered",
            f"{proven / bare:.2f}",
        )
    if "e" in want:
        archive = made(place / f"realistic-{given.styles}", lambda to: write_realistic(to, given.styles))
        seconds, _ = measure.haul_seconds(archive)
        yield "e", f"haul of {given.styles} styles, two cores", f"{seconds:.1f}", "60 s", f"{seconds / 60:.2f}"
    if "f" in want and (found := measure.render_ratio(given.runs)) is not None:
        yield (
            "f",
            "render twelve layers",
            f"{found[0]:.4f}",
            f"C++ at -O2, {found[1]:.4f} s",
            f"{found[0] / found[1]:.2f}",
        )
    if "g" in want:
        mine, click = measure.start_up(9)
        yield (
            "g",
            "`rehilt --version`",
            f"{mine:.3f}",
            f'`python -c "import click"`, {click:.3f} s',
            f"{mine / click:.2f}",
        )
    if "h" in want:
        yield from _growth(place)


def _beside(
    letter: str, what: str, seconds: float, raw: float, grep: float | None
) -> Iterator[tuple[str, str, str, str, str]]:
    yield letter, what, f"{seconds:.2f}", f"raw tree-sitter parse, {raw:.2f} s", f"{seconds / raw:.2f}"
    if grep is not None:
        yield letter, what, f"{seconds:.2f}", f"ast-grep renames one construct, {grep:.2f} s", f"{seconds / grep:.2f}"


def _growth(place: Path) -> Iterator[tuple[str, str, str, str, str]]:
    """Exponents of the time in size and depth, and the memory of a haul of one and of four parts."""
    styles = distinct("wick3", 9, Shape(3, 3))
    pool = [next(styles) for _ in range(160)]
    generation = library()["wick3"]
    grown = measure.growth_in_size(
        lambda n: config(generation, [(f"s{i}", s) for i, s in enumerate(pool[:n])]).encode(), (20, 40, 80, 160)
    )
    yield "h", "time over size, 20 to 160 styles a file", "", "exponent, 1 is linear", f"{grown:.2f}"
    deep = measure.growth_in_depth((25, 50, 100, 180))
    yield "h", "time over depth, 25 to 180 levels", "", "exponent, 1 is linear", f"{deep:.2f}"
    few = made(place / "realistic-100", lambda to: write_realistic(to, 100))
    many = made(place / "realistic-400", lambda to: write_realistic(to, 400))
    (_, small), (_, large) = measure.haul_seconds(few), measure.haul_seconds(many)
    yield (
        "h",
        "peak memory of a haul of 400 styles",
        f"{large / 1024:.0f} MB",
        f"of 100 styles, {small / 1024:.0f} MB",
        f"{large / small:.2f}",
    )


def _megabytes(folder: Path) -> float:
    return sum(path.stat().st_size for path in folder.rglob("*.h")) / 1e6


def _machine() -> str:
    cpu = platform.processor() or platform.machine()
    try:
        for line in Path("/proc/cpuinfo").read_text().splitlines():
            if line.startswith("model name"):
                cpu = line.partition(":")[2].strip()
                break
    except OSError:
        pass
    return f"{cpu}, {os.cpu_count()} cores, Python {platform.python_version()}"


if __name__ == "__main__":
    main()
