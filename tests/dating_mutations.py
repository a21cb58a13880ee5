"""`python -m tests.dating_mutations [N]`: how near to a random damage its diagnostic is, on N damages (default 300)."""

from __future__ import annotations

import random
import sys
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from migrate.concrete.items import Alias
from migrate.concrete.parse import parse
from migrate.source import SourceFile
from migrate.spotting import SpotOptions, spot
from tests.dating.damage import Damaged, choices, tokens

CORPORA = Path(__file__).resolve().parents[1] / "corpora"
NEAR = 5
# A diagnostic that spans more than this says only "somewhere in here": then its two ends count alone.
WIDEST = 10
# What an undamaged text is told too, whenever a construct in it changes: it does not point at damage.
OF_THE_MIXTURE = frozenset({"mixed-generations", "other-reading", "ambiguous-generation", "generations-conflict"})


@dataclass(frozen=True)
class Style:
    """One style of the corpora: its file's text, the bytes of its declaration and those of its value."""

    name: str
    text: bytes
    start: int
    end: int
    area: tuple[int, int]


def _styles() -> list[Style]:
    found = []
    for path in sorted(CORPORA.glob("wick?/*.h")):
        text = path.read_bytes()
        for item in parse(SourceFile(path.name, text)).items:
            if isinstance(item, Alias) and item.value.kind == "application":
                area = (item.value.start, item.value.end)
                name = f"{path.parent.name}/{path.name} {item.name}"
                found.append(Style(name, text, item.span.start, item.span.end, area))
    return found


STYLES = _styles()


@cache
def _told_anyway(text: bytes) -> Counter[tuple[str, str]]:
    spotted = spot(SourceFile("config.h", text), SpotOptions(measure=False))
    return Counter((d.code, d.message) for d in spotted.diagnostics)


def distance(style: Style, damaged: Damaged) -> int | None:
    """Tokens between the damage and the nearer end of the first diagnostic that it causes; None where there is none."""
    spotted = spot(SourceFile("config.h", damaged.text), SpotOptions(measure=False))
    anyway = Counter(_told_anyway(style.text))
    for found in spotted.diagnostics:
        if anyway[(found.code, found.message)] > 0:
            anyway[(found.code, found.message)] -= 1
        elif found.code not in OF_THE_MIXTURE:
            ends = [end for _, end in tokens(damaged.text)]
            start, stop, at = (sum(e <= o for e in ends) for o in (found.span.start, found.span.end, damaged.at))
            inside = start <= at <= stop and stop - start <= WIDEST
            return 0 if inside else min(abs(start - at), abs(stop - at))
    return None


def measure(count: int, rng: random.Random) -> tuple[int, int, list[str]]:
    """How many of `count` random damages are told within five tokens, how many there were, and the others."""
    near, far = 0, []
    for _ in range(count):
        style = rng.choice(STYLES)
        by_kind: dict[str, list[Damaged]] = {}
        for make in choices(style.text, style.area):
            damaged = make()
            by_kind.setdefault(damaged.how, []).append(damaged)
        damaged = rng.choice(by_kind[rng.choice(sorted(by_kind))])
        found = distance(style, damaged)
        if found is not None and found <= NEAR:
            near += 1
        else:
            far.append(f"{style.name}: {damaged.how}: {'silent' if found is None else f'{found} tokens off'}")
    return near, count, far


def main() -> int:
    """Prints the share; exit status 1 below 95 %."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    near, total, far = measure(count, random.Random(2026))
    print(f"{near} of {total} diagnostics within {NEAR} tokens of the damage: {near / total:.1%}")
    for line in far:
        print(f"  {line}")
    return int(near < 0.95 * total)


if __name__ == "__main__":
    sys.exit(main())
