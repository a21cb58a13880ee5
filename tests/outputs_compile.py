"""Every output of every move compiles with the target's own headers: `-pedantic-errors -Wall`, nothing deprecated said.

`python -m tests.outputs_compile [FROM:TO…]` moves every corpus file to every other generation, compiles what comes out
once for each way its `#if` lines can go, and prints what fails by cause.
"""

from __future__ import annotations

import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from migrate.diagnostics import Diagnostic
from migrate.native import GenerationBuild, NativeError, check_syntax
from migrate.packs.library import library
from migrate.pipeline import Options, move
from migrate.proof import build_of
from migrate.source import SourceFile
from tests.corpus import FOLDERS, ROOT, decided, macros_of, own_generation

# What is kept in an old form through a compat header is meant to be: its deprecation says nothing new.
QUIET = "#define WICK_QUIET_COMPAT 1\n"


@dataclass(frozen=True)
class Output:
    """What a move made of a corpus file, with its conditions decided by the macro taken as defined."""

    path: str
    target: str
    defined: str
    data: bytes

    def __str__(self) -> str:
        return f"{self.path} to {self.target}" + (f" with {self.defined}" if self.defined else "")


def moves(wanted: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    """Every corpus file with every generation that it is not of; `wanted` narrows by FROM:TO."""
    for folder in FOLDERS:
        for path in sorted((ROOT / "corpora" / folder).glob("*.h")):
            name = path.relative_to(ROOT).as_posix()
            own = own_generation(name)
            yield from ((name, to) for to in library() if to != own and (not wanted or f"{own}:{to}" in wanted))


def outputs(path: str, target: str) -> list[Output]:
    """The texts that a move makes of a file: one, or one for each way its conditions can go."""
    moved = move(SourceFile(path, (ROOT / path).read_bytes()), Options(target, prove=False))
    return [Output(path, target, m, decided(moved.text, m.encode())) for m in ("", *macros_of(moved.text))]


def complaints(output: Output) -> list[Diagnostic]:
    """What the compiler says of an output, with the headers of its generation."""
    build = build_of(library()[output.target])
    return check_syntax(output.data, GenerationBuild(build.include_dirs, build.standard, QUIET))


def main(wanted: list[str]) -> int:
    """Prints failures by what the compiler says; 1 where there is any."""
    begun = time.monotonic()
    made = [output for path, target in moves(tuple(wanted)) for output in outputs(path, target)]
    print(f"{len(made)} outputs moved in {time.monotonic() - begun:.0f} s", flush=True)
    causes: dict[str, list[str]] = defaultdict(list)
    failed = set()
    with ThreadPoolExecutor(2) as pool:
        for output, found in zip(made, pool.map(said, made), strict=True):
            failed |= {output} if found else set()
            for line, message in found:
                causes[message].append(f"{output}, line {line}")
    print(f"{len(failed)} of {len(made)} outputs do not compile cleanly; {time.monotonic() - begun:.0f} s")
    for message, places in sorted(causes.items(), key=lambda c: -len(c[1])):
        print(f"  {len(places)} x {message}: {'; '.join(places[:3])}{' …' if len(places) > 3 else ''}")
    return 1 if failed else 0


def said(output: Output) -> list[tuple[int, str]]:
    """What the compiler says of an output, by line."""
    try:
        found = complaints(output)
    except NativeError as error:
        found = list(error.diagnostics)
    source = SourceFile(output.path, output.data)
    return [(source.place(d.span.start)[0], d.message) for d in found]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
