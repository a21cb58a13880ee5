"""Every construct of a generation as a whole style, made from its pack: its examples, and each of its equations.

A construct is put where its sort may stand, that where its own sort may stand, and so on up to a style; what else
those need is filled by turns with a few texts that fit. Nothing here knows a construct by name.
"""

from __future__ import annotations

import re
from collections import Counter, deque
from collections.abc import Mapping
from dataclasses import dataclass

from migrate.packs.equations import variables
from migrate.packs.model import Construct, Equation, Generation, Parameter, Unit
from migrate.packs.units import spelled

PLAIN_NUMBER = 90  # within every unit's range but the smallest, and large enough to be seen
PLAIN_COLOURS = (0xFF7828, 0x2040FF, 0x401804)
TURNS = 3  # how many texts of a sort, and how many arguments where any number may stand
HOLE = "\0"
_NAMES = re.compile(r'"[^"]*"|[A-Za-z_]\w*(?:::\w+)*')


@dataclass(frozen=True)
class Example:
    """A style that shows a construct: `what` it is made from, and its text."""

    what: str
    text: str


class Builder:
    """Writes constructs of one generation from their signatures alone."""

    def __init__(self, generation: Generation) -> None:
        self.generation = generation
        every = (c for group in generation.constructs.values() for c in group)
        self.all = sorted(every, key=lambda c: (c.compat, len(c.parameters)))
        self.fillers: dict[str, list[str]] = {}
        self._fill()
        self.holes = self._contexts()

    # ---- a few texts of each sort ---------------------------------------------------------------

    def _fill(self) -> None:
        """The first constructs of each sort that can be written from what is known, until no sort is added."""
        known = -1
        while known != len(self.fillers):
            known = len(self.fillers)
            for construct in self.all:
                text = None if construct.sort in self.fillers else self.built(construct)
                if text is not None:
                    self.fillers[construct.sort] = [text]
        for construct in self.all:
            texts = [renamed(text, construct, self.generation) for text in construct.examples]
            for text in texts:
                if len(self.fillers[construct.sort]) < TURNS and text not in self.fillers[construct.sort]:
                    self.fillers[construct.sort].append(text)

    def built(
        self, construct: Construct, equation: Equation | None = None, given: Mapping[str, str] | None = None
    ) -> str | None:
        """The construct with what it must have; with an equation, also the optional arguments that it mentions."""
        if not construct.brackets:
            return construct.name.replace("*", "tan")  # a CSS colour
        used = variables(equation.meaning) if equation is not None else frozenset()
        turns: Counter[str] = Counter()
        parts = dict(given or {})
        for parameter in construct.parameters:
            left_out = parameter.optional and parameter.name not in used
            if parameter.name in parts or left_out or parameter.default is not None:
                continue
            texts = [self._argument(parameter, turns, n) for n in range(self._times(parameter))]
            if None in texts:
                return None
            given_texts = [text for text in texts if text is not None]
            if len(self.generation.spread(parameter.sorts)) == 1:
                given_texts.sort(key=_first_number)  # stops and keys go up
            parts[parameter.name] = ", ".join(given_texts)
        return f"{construct.name}<{', '.join(_tagged(construct, parts))}>"

    def _argument(self, parameter: Parameter, turns: Counter[str], place: int) -> str | None:
        """The next text for a parameter; where several sorts may stand any number of times, they take turns."""
        sorts = [s for s in self.generation.spread(parameter.sorts) if s in self.generation.units or s in self.fillers]
        if not sorts:
            return None
        sort = sorts[place % len(sorts)]
        turns[sort] += 1
        if sort in self.generation.units:
            return number(self.generation.units[sort], parameter, turns[sort])
        return self.fillers[sort][(turns[sort] - 1) % len(self.fillers[sort])]

    def _times(self, parameter: Parameter) -> int:
        """How many arguments to give: one, or where any number may stand, each text of the sort, or three by turns."""
        sorts = self.generation.spread(parameter.sorts)
        several = len(sorts) > 1 or not self.fillers.get(sorts[0])
        return (TURNS if several else len(self.fillers[sorts[0]])) if parameter.variadic else 1

    # ---- where a sort may stand -----------------------------------------------------------------

    def _contexts(self) -> dict[str, str]:
        """For each sort the text of the smallest style that holds one, with a hole in its place."""
        found = {"style": HOLE}
        queue = deque(found)
        while queue:
            outer = queue.popleft()
            for construct in (c for c in self.all if c.sort == outer):
                for parameter in construct.parameters:
                    sorts = set(self.generation.spread(parameter.sorts)) - set(self.generation.units) - set(found)
                    text = self.built(construct, given={parameter.name: HOLE}) if sorts else None
                    for sort in sorted(sorts) if text is not None else ():
                        assert text is not None
                        hole = ", ".join(self._beside(parameter, sort))
                        found[sort] = found[outer].replace(HOLE, text.replace(HOLE, hole))
                        queue.append(sort)
        return found

    def _beside(self, parameter: Parameter, sort: str) -> list[str]:
        """The hole, and behind it what has to stand there where sorts take turns."""
        sorts = self.generation.spread(parameter.sorts)
        if not parameter.variadic or len(sorts) == 1:
            return [HOLE]
        return [HOLE if s == sort else self.fillers[s][0] for s in sorts] + [self.fillers[sorts[0]][0]]

    def style(self, sort: str, text: str) -> str:
        """The text of one sort inside the smallest style that holds it."""
        return self.holes[sort].replace(HOLE, text)


def _first_number(text: str) -> int:
    found = re.search(r"\d+", text)
    return int(found[0]) if found else 0


def _tagged(construct: Construct, parts: Mapping[str, str]) -> list[str]:
    """The arguments with their tags; inner tags of one outer tag stand together."""
    out: dict[str, list[str]] = {}
    for parameter in (p for p in construct.parameters if p.name in parts):
        inner = parts[parameter.name]
        for tag in reversed(parameter.tag[1:]):
            inner = f"{tag}<{inner}>"
        out.setdefault(parameter.tag[0] if parameter.tag else f" {parameter.name}", []).append(inner)
    return [", ".join(args) if tag.startswith(" ") else f"{tag}<{', '.join(args)}>" for tag, args in out.items()]


def number(unit: Unit, parameter: Parameter, turn: int = 0) -> str:
    """A number that the parameter takes, in its unit's spelling; colours differ by turns."""
    if unit.kind == "css_name":
        return '"tan"'
    if unit.kind == "packed_duty":
        return hex(PLAIN_COLOURS[turn % len(PLAIN_COLOURS)])
    low = parameter.low if parameter.low is not None else unit.low
    high = parameter.high if parameter.high is not None else unit.high
    value = max(PLAIN_NUMBER if low is None else low, PLAIN_NUMBER if high is None else min(high, PLAIN_NUMBER))
    text = spelled(value)
    return f"{unit.spelled}<{text}>" if unit.spelled else text


def examples(generation: Generation) -> list[Example]:
    """Every example of the packs and every equation of every construct, each as a style of this generation."""
    builder = Builder(generation)
    out: dict[str, Example] = {}
    for construct in builder.all:
        texts = [(f"{construct.name}, example", renamed(text, construct, generation)) for text in construct.examples]
        for number_of, equation in enumerate(construct.equations):
            text = builder.built(construct, equation)
            assert text is not None, f"nothing fits the parameters of {construct.name}"
            texts.append((f"{construct.name}, equation {number_of}", text))
        for what, text in texts:
            style = builder.style(construct.sort, text)
            out.setdefault(style, Example(what, style))
    return list(out.values())


def renamed(text: str, construct: Construct, generation: Generation) -> str:
    """An older generation's example with the names that its constructs have here."""
    if construct.origin == generation.name:
        return text
    names: dict[str, str] = {}
    for takes in generation.takes:
        for name, _ in takes.entries if takes.generation == construct.origin else ():
            names.setdefault(name, takes.prefix + name)
    return _NAMES.sub(lambda found: names.get(found[0], found[0]), text)
