"""Every construct of a generation as a whole style, made from its pack: its examples, and each of its equations.

A construct is put where its sort may stand, that where its own sort may stand, and so on up to a style; what else
those need is filled with the first that fits. Nothing here knows a construct by name.
"""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass

from migrate.packs.equations import variables
from migrate.packs.model import Construct, Equation, Generation, Parameter, Unit
from migrate.packs.units import spelled

PLAIN_NUMBER = 90  # within every unit's range but the smallest, and large enough to be seen
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
        self.all = [c for group in generation.constructs.values() for c in group]
        self.smallest: dict[str, str] = {}
        self._fill()
        self.holes = self._contexts()

    # ---- the smallest text of each sort ------------------------------------------------------

    def _fill(self) -> None:
        """The first construct of each sort that can be written from what is known, until no sort is added."""
        known = -1
        while known != len(self.smallest):
            known = len(self.smallest)
            for construct in sorted(self.all, key=lambda c: (c.compat, len(c.parameters))):
                if construct.sort not in self.smallest and (text := self.built(construct)) is not None:
                    self.smallest[construct.sort] = text

    def built(
        self, construct: Construct, equation: Equation | None = None, given: Mapping[str, str] | None = None
    ) -> str | None:
        """The construct with the smallest arguments; with an equation, also the optional ones that it mentions."""
        if not construct.brackets:
            return construct.name.replace("*", "tan")  # a CSS colour
        used = variables(equation.meaning) if equation is not None else frozenset()
        parts = {}
        for parameter in construct.parameters:
            if given is not None and parameter.name in given:
                parts[parameter.name] = given[parameter.name]
                continue
            asked = parameter.optional and parameter.name in used
            if (parameter.optional or parameter.default is not None) and not asked:
                continue
            text = self._argument(parameter)
            if text is None:
                return None
            parts[parameter.name] = text
        return f"{construct.name}<{', '.join(self._tagged(construct, parts))}>"

    @staticmethod
    def _tagged(construct: Construct, parts: Mapping[str, str]) -> list[str]:
        """The arguments with their tags; inner tags of one outer tag stand together."""
        out: dict[str, list[str]] = {}
        for parameter in construct.parameters:
            if parameter.name in parts:
                inner = f"{parameter.tag[1]}<{parts[parameter.name]}>" if len(parameter.tag) > 1 else parts[parameter.name]
                out.setdefault(parameter.tag[0] if parameter.tag else f" {parameter.name}", []).append(inner)
        return [", ".join(args) if tag.startswith(" ") else f"{tag}<{', '.join(args)}>" for tag, args in out.items()]

    def _argument(self, parameter: Parameter) -> str | None:
        for sort in self.generation.spread(parameter.sorts):
            if sort in self.generation.units:
                return number(self.generation.units[sort], parameter)
            if sort in self.smallest:
                return self.smallest[sort]
        return None

    # ---- where a sort may stand -----------------------------------------------------------------

    def _contexts(self) -> dict[str, tuple[str, str]]:
        """For each sort the text before and after it in the smallest style that holds one."""
        found: dict[str, tuple[str, str]] = {"style": ("", "")}
        if not any(c.sort == "style" and not c.compat for c in self.all):
            raise AssertionError(f"{self.generation.name} has no style")
        queue = deque(["style"])
        while queue:
            outer = queue.popleft()
            for construct in sorted((c for c in self.all if c.sort == outer), key=lambda c: (c.compat, len(c.parameters))):
                for parameter in construct.parameters:
                    for sort in self.generation.spread(parameter.sorts):
                        if sort in self.generation.units or sort in found:
                            continue
                        text = self.built(construct, given={parameter.name: "\0"})
                        if text is not None:
                            before, after = text.split("\0")
                            found[sort] = (found[outer][0] + before, after + found[outer][1])
                            queue.append(sort)
        return found

    def style(self, sort: str, text: str) -> str:
        """The text of one sort inside the smallest style that holds it."""
        before, after = self.holes[sort]
        return before + text + after


def number(unit: Unit, parameter: Parameter) -> str:
    """A number that the parameter takes, in its unit's spelling."""
    if unit.kind == "css_name":
        return '"tan"'
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
        texts = [(f"{construct.name}, example", _renamed(text, construct, generation)) for text in construct.examples]
        for number_of, equation in enumerate(construct.equations):
            text = builder.built(construct, equation)
            if text is not None:
                texts.append((f"{construct.name}, equation {number_of}", text))
        for what, text in texts:
            style = builder.style(construct.sort, text)
            out.setdefault(style, Example(what, style))
    return list(out.values())


def _renamed(text: str, construct: Construct, generation: Generation) -> str:
    """An older generation's example with the names that its constructs have here."""
    if construct.origin == generation.name:
        return text
    names: dict[str, str] = {}
    for takes in generation.takes:
        if takes.generation == construct.origin and (takes.prefix + construct.name).endswith(construct.name):
            for name, _ in takes.entries:
                if construct.name.startswith(takes.prefix) or name not in names:
                    names[name] = takes.prefix + name
    return _NAMES.sub(lambda found: names.get(found[0], found[0]), text)
