"""Makes style code from a pack's signatures alone: seeded, every construct, no two styles alike.

Nothing here knows a construct by its name. What a signature cannot say (a run of stops climbs, a chain takes its
links by turns, power comes last and once) is read from the sorts and from the equations.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from random import Random

from migrate.ir.css_colours import CSS_COLOURS
from migrate.packs.equations import variables
from migrate.packs.library import library
from migrate.packs.model import Call, Construct, Equation, Generation, Parameter, Unit

ROOT = ("style", "sleeve")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@dataclass(frozen=True)
class Shape:
    """How big a style grows: nesting, and the longest run of a variadic parameter."""

    depth: int = 4
    run: int = 4


class Generator:
    """Style expressions of one generation. Equal seeds give equal text, on every machine."""

    def __init__(self, generation: Generation, seed: int, shape: Shape = Shape()) -> None:
        self.generation, self.random, self.shape = generation, Random(f"{generation.name} {seed}"), shape
        self.used: Counter[tuple[str, str]] = Counter()

    @cached_property
    def _by_sort(self) -> dict[str, list[Construct]]:
        found: dict[str, list[Construct]] = {}
        for group in self.generation.constructs.values():
            for construct in group:
                found.setdefault(construct.sort, []).append(construct)
        return found

    @cached_property
    def _floor(self) -> dict[str, int]:
        """The least nesting that an expression of each sort needs."""
        least = dict.fromkeys(self._by_sort, 99)
        for _ in range(8):
            for sort, constructs in self._by_sort.items():
                least[sort] = min(self._needs(c, least) for c in constructs)
        return least

    def _needs(self, construct: Construct, least: dict[str, int]) -> int:
        deep = [0]
        for parameter in construct.parameters:
            if parameter.optional or parameter.default is not None or self._unit(parameter) is not None:
                continue
            deep.append(min(least.get(s, 99) for s in self.generation.spread(parameter.sorts)))
        return 1 + max(deep)

    def _unit(self, parameter: Parameter) -> Unit | None:
        return next((self.generation.units[s] for s in parameter.sorts if s in self.generation.units), None)

    # ---- expressions --------------------------------------------------------------------------

    def style(self) -> str:
        """One whole style, of a sort that stands at the top."""
        return self.expression(tuple(s for s in ROOT if s in self._by_sort), self.shape.depth)

    def expression(self, sorts: tuple[str, ...], depth: int, closing: bool = True) -> str:
        """An expression of one of the sorts, at most about `depth` levels deep."""
        wanted = self.generation.spread(sorts)
        able = [c for s in wanted for c in self._by_sort.get(s, ()) if closing or not _closes(c)]
        fitting = [c for c in able if self._needs(c, self._floor) <= depth]
        if self.random.random() < 0.03:
            fitting = able  # or some could never stand where the nesting ends
        if not fitting:
            least = min(self._needs(c, self._floor) for c in able)
            fitting = [c for c in able if self._needs(c, self._floor) == least]
        # What was never used comes first, even where it grows deeper than asked; then the rarer, the likelier.
        unused = [c for c in able if not self.used[c.sort, c.name] or (depth > -2 and self._new_words(c))]
        weights = [1 / (1 + self.used[c.sort, c.name]) for c in unused or fitting]
        construct = self.random.choices(unused or fitting, weights)[0]
        return self._apply(construct, depth - 1)

    def _new_words(self, construct: Construct) -> bool:
        """Whether it takes a bare word (a wave, a jump) of which some were never used."""
        groups = [self._by_sort.get(s, []) for p in construct.parameters for s in p.sorts]
        words = [group for group in groups if not any(c.brackets for c in group)]
        return any(not self.used[c.sort, c.name] for group in words for c in group)

    def _apply(self, construct: Construct, depth: int) -> str:
        self.used[construct.sort, construct.name] += 1
        if construct.name.endswith("*"):
            return construct.name[:-1] + self.random.choice(sorted(CSS_COLOURS))
        if not construct.brackets:
            return construct.name
        given = self._given(construct)
        out: list[str] = []
        for parameter in construct.parameters:
            if parameter in given:
                out += self._argument(parameter, depth)
        return f"{construct.name}<{', '.join(self._joined(construct, given, out))}>"

    def _joined(self, construct: Construct, given: list[Parameter], out: list[str]) -> list[str]:
        """Two arguments under one wrapper (`scatter<count<…>, reach<…>>`) stand in it together."""
        merged: list[str] = []
        for text in out:
            head, _, rest = text.partition("<")
            nested = [p for p in given if len(p.tag) == 2 and p.tag[0] == head]
            at = next((n for n, m in enumerate(merged) if nested and m.startswith(f"{head}<")), None)
            if at is None:
                merged.append(text)
            else:
                merged[at] = f"{merged[at][:-1]}, {rest}"
        return merged

    def _given(self, construct: Construct) -> list[Parameter]:
        """The parameters to write: those an equation mentions, and defaults by chance, from the last backwards."""
        equation: Equation = self.random.choice(construct.equations)
        mentioned = variables(equation.meaning)
        given = []
        leave = True
        for parameter in reversed(construct.parameters):
            positional = not parameter.tag and not parameter.floating
            if parameter.optional and not parameter.variadic:
                if parameter.name in mentioned:
                    given.append(parameter)
            elif parameter.default is not None and (leave or not positional) and self._left_out(construct, parameter):
                continue
            else:
                given.append(parameter)
                leave = leave and not positional
        return given[::-1]

    def _left_out(self, construct: Construct, parameter: Parameter) -> bool:
        """By chance; always where every equation demands the default's value."""
        demanded = all(e.guard is not None and e.guard[0] == parameter.name for e in construct.equations)
        return demanded or self.random.random() < 0.5

    def _argument(self, parameter: Parameter, depth: int) -> list[str]:
        if not parameter.variadic:
            texts = [self._one(parameter, parameter.sorts, depth)]
        else:
            texts = self._run(parameter, depth)
        for tag in reversed(parameter.tag):
            texts = [f"{tag}<{', '.join(texts)}>"]
        return texts

    def _run(self, parameter: Parameter, depth: int) -> list[str]:
        """A variadic run: by turns where a union names the sorts, climbing where its sort has one construct only."""
        sorts = self.generation.spread(parameter.sorts)
        layers = any(_closes(c) for s in sorts for c in self._by_sort.get(s, ()))
        count = self.random.randint(2, self.shape.run if layers else min(self.shape.run, 4))
        if len(sorts) > 1:
            return [self._one(parameter, (sorts[n % len(sorts)],), depth) for n in range(count * 2 - 1)]
        made = self._by_sort.get(sorts[0], [])
        if layers:
            texts = [self.expression(sorts, depth, closing=False) for _ in range(count)]
            last = [c for c in made if _closes(c)]
            return [*texts, self._apply(self.random.choice(last), depth)] if self.random.random() < 0.7 else texts
        texts = [self._one(parameter, sorts, depth) for _ in range(count)]
        if len(made) == 1:
            texts = list({_first(text): text for text in texts}.values())
            texts.sort(key=_first)
        return texts

    def _one(self, parameter: Parameter, sorts: tuple[str, ...], depth: int) -> str:
        unit = self._unit(parameter)
        others = tuple(s for s in sorts if s not in self.generation.units)
        if unit is None or (others and self.random.random() < 0.5):
            return self.expression(others, depth)
        if unit.kind == "css_name":
            return f'"{self.random.choice(sorted(CSS_COLOURS))}"'
        text = self._number(parameter, unit)
        return f"{unit.spelled}<{text}>" if unit.spelled else text

    def _number(self, parameter: Parameter, unit: Unit) -> str:
        low = Fraction(_either(parameter.low, unit.low, 0))
        high = Fraction(_either(parameter.high, unit.high, 1000))
        if unit.kind == "packed_duty":
            return f"0x{self.random.randrange(1 << 24):06X}"
        if unit.kind in ("time", "length", "speed", "grain") and high > 2000:
            low, high = max(low, Fraction(-2000)), Fraction(2000)
        if not unit.whole and (high <= 1 or self.random.random() < 0.2):
            whole = self.random.randint(int(low * 1000), int(high * 1000))
            return f"{whole / 1000:.3f}".rstrip("0").rstrip(".")
        return str(self.random.randint(-(-low.numerator // low.denominator), int(high)))


def _either(*values: object) -> object:
    return next(v for v in values if v is not None)


def _first(text: str) -> float:
    found = _NUMBER.search(text)
    return float(found.group()) if found else 0.0


def _closes(construct: Construct) -> bool:
    """Whether it may stand only once, last: its meaning is power by itself."""
    return any(isinstance(e.meaning, Call) and e.meaning.form == "power" for e in construct.equations)


# ---- files --------------------------------------------------------------------------------------


def config(generation: Generation, styles: list[tuple[str, str]], newline: str = "\n") -> str:
    """A whole config: marker, headers, facts, the declarations, the slot table; all words from the pack."""
    out = []
    if generation.marker:
        out.append(f"#define {generation.marker[0]} {generation.marker[1]}")
    text = " ".join(style for _, style in styles)
    through = {
        c.through for g in generation.constructs.values() for c in g if c.compat and f"{c.name.rstrip('*')}" in text
    }
    out += [f"#include {header}" for header in (generation.header, *sorted(through - {""}))]
    if generation.namespace:
        out.append(f"using namespace {generation.namespace};")
    out += [
        f"{generation.facts} int {generation.pixels} = 132;",
        f"{generation.facts} int {generation.pitch} = 144;",
        "",
    ]
    for name, style in styles:
        if generation.declares == "typedef":
            out.append(f"typedef {re.sub('>(?=>)', '> ', style)} {name};")
        else:
            out.append(f"using {name} = {style};")
    out += ["", table(generation, [name for name, _ in styles]), ""]
    return newline.join(out)


def table(generation: Generation, names: list[str]) -> str:
    """The slot table that names every style."""
    entries = [
        generation.entry.replace("{style}", n)
        .replace("{sounds}", n)
        .replace("{label}", n.replace("_", " ").capitalize())
        for n in names
    ]
    return generation.table.replace("{name}", "prop_table").replace("{entries}", ",\n  ".join(entries))


def distinct(name: str, seed: int, shape: Shape = Shape()) -> Iterator[str]:
    """Styles of one generation without end, no two alike in text, each one readable."""
    from migrate.diagnostics import Diagnostic
    from migrate.pipeline import Options, read
    from migrate.source import SourceFile

    generation = library()[name]
    generator = Generator(generation, seed, shape)
    seen: set[str] = set()
    while True:
        style = generator.style()
        if style in seen:
            continue
        seen.add(style)
        found = read(SourceFile("one.h", config(generation, [("one", style)]).encode()), Options(name, name))
        if not isinstance(found, Diagnostic) and "one" in found.lifted:
            yield style


def write_distinct(folder: Path, size: int, seed: int = 5, per_file: int = 40) -> list[Path]:
    """A corpus of at least `size` bytes, in equal parts of every generation, no two styles alike."""
    out: list[Path] = []
    for name, generation in library().items():
        styles = distinct(name, seed)
        written, number = 0, 0
        while written < size / len(library()):
            chosen = [(f"style_{number}_{n}", next(styles)) for n in range(per_file)]
            data = config(generation, chosen).encode()
            path = folder / name / f"{number:05d}.h"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
            out.append(path)
            written += len(data)
            number += 1
    return out


def write_realistic(folder: Path, styles: int, seed: int = 5) -> list[Path]:
    """Small configs as people keep them: of `styles` styles one in five is new, the rest are copies and near copies."""
    random = Random(seed)
    sources = {name: distinct(name, seed + 1, Shape(depth=3, run=3)) for name in library()}
    pools: dict[str, list[str]] = {name: [next(sources[name])] for name in library()}
    out: list[Path] = []
    made = 0
    while made < styles:
        name = random.choice(sorted(pools))
        count = min(random.randint(1, 12), styles - made)
        chosen = []
        for n in range(count):
            if random.random() < 0.2:
                pools[name].append(next(sources[name]))
            text = random.choice(pools[name])
            chosen.append((f"{random.choice(('quay', 'lamp', 'tide', 'bell'))}_{n}", _near_copy(text, random)))
        path = folder / f"{len(out) % 50:02d}" / f"{len(out):05d}.h"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(config(library()[name], chosen, random.choice(("\n", "\n", "\r\n"))).encode())
        out.append(path)
        made += count
    return out


def _near_copy(style: str, random: Random) -> str:
    """The style as somebody else laid it out: equal meaning, other blanks and comments."""
    turn = random.randrange(4)
    if turn == 1:
        return style.replace(", ", ",")
    if turn == 2:
        return style.replace(", ", ",\n    ")
    return style.replace("<", "< /* as in the spring run */ ", 1) if turn == 3 else style
