"""A pack's examples at work: each lifted, put into the least style that shows it, drawn, and moved elsewhere."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from migrate.concrete.items import Alias
from migrate.concrete.parse import parse
from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.ir.dump import rounding
from migrate.ir.facts import Blade
from migrate.ir.walk import opaque_parts
from migrate.lift import Lifter
from migrate.packs.model import Construct, Generation
from migrate.pipeline import CLOSE_ROUNDING, Moved, Options, meaning, move, read
from migrate.scope import scope_of
from migrate.source import SourceFile

BLADE = Blade(132, 144)  # 36 inches at 144 a metre: common practice, no source
SHOWN = ("style", "sleeve", "paint")
NAME = "example"


def own(generation: Generation) -> list[Construct]:
    """The constructs that are the generation's own, not taken from an older one."""
    return [c for group in generation.constructs.values() for c in group if c.origin == generation.name]


@dataclass(frozen=True)
class Lifted:
    """An example's value, and the byte spans of its arguments by parameter."""

    value: Any
    arguments: dict[str, tuple[tuple[int, int], ...]]


def declared(text: str, generation: Generation) -> SourceFile:
    """A config that holds one declaration."""
    typedef = generation.declares == "typedef"
    line = f"typedef {text} {NAME};" if typedef else f"{generation.declares} {NAME} = {text};"
    facts = f"{generation.facts} int {generation.pixels} = {BLADE.pixels};\n"
    facts += f"{generation.facts} int {generation.pitch} = {BLADE.per_metre};\n"
    space = f"using namespace {generation.namespace};\n" if generation.namespace else ""
    return SourceFile("example.h", f"{space}{facts}{line}\n".encode())


def lift_example(text: str, construct: Construct, generation: Generation) -> Lifted | Diagnostic:
    """The IR of an example, read as a thing of its construct's sort."""
    source = declared(text, generation)
    parsed = parse(source)
    item = next(i for i in parsed.items if isinstance(i, Alias))
    if parsed.diagnostics:
        return parsed.diagnostics[0]
    lifter = Lifter(scope_of(source, parsed.items), generation, BLADE)
    found = lifter.lift(item.value, (construct.sort,))
    if isinstance(found, Diagnostic):
        return found
    spans: dict[str, tuple[tuple[int, int], ...]] = {}
    start = item.value.start
    for applied in (a for many in lifter.applied.values() for a in many):
        if applied.node.start == start:
            spans = {n: tuple((x.start - start, x.end - start) for x in nodes) for n, nodes in applied.nodes.items()}
    return Lifted(found[0], spans)


class Stage:
    """Puts things of any sort into a style of one generation, by the examples of what may hold them."""

    def __init__(self, generation: Generation) -> None:
        self.generation = generation
        self.native = own(generation)

    def staged(self, text: str, construct: Construct, shown: tuple[str, ...] = ()) -> str | None:
        """The least text round `text` of one of the sorts that lifts, or None where there is none."""
        shown = shown or (*SHOWN, *(t.sort for t in self.generation.takes if t.sort))
        waiting: list[tuple[str, Construct]] = [(text, construct)]
        seen = {construct.sort}
        while waiting:
            inner, owner = waiting.pop(0)
            if owner.sort in shown:
                return inner
            for outer, holder in self._holders(inner, owner.sort):
                if holder.sort not in seen and not isinstance(lift_example(outer, holder, self.generation), Diagnostic):
                    seen.add(holder.sort)
                    waiting.append((outer, holder))
        return None

    def _holders(self, text: str, sort: str) -> Iterator[tuple[str, Construct]]:
        """Every example of a construct that takes the sort, with `text` in the place of such an argument."""
        for holder in self.native:
            for parameter in holder.parameters:
                if sort not in self.generation.spread(parameter.sorts):
                    continue
                for example in holder.examples:
                    lifted = lift_example(example, holder, self.generation)
                    spans = () if isinstance(lifted, Diagnostic) else lifted.arguments.get(parameter.name, ())
                    for last in (len(spans) - 1, len(spans)):
                        # In a run of layers, what stands last is kept if it may: what cuts everything else.
                        if spans[:last]:
                            start, end = spans[0][0], spans[last - 1][1]
                            yield f"{example[:start]}{text}{example[end:]}", holder


def thumbnail(text: str, sort: str, generation: Generation) -> str | None:
    """A data URL of the staged text over the probe scene as a PNG: time down, hilt left, 50 rows a second.

    None where no pack says what a part of it means.
    """
    from migrate.pipeline import scene_named
    from migrate.render.draw import render
    from migrate.report.gallery import seen
    from migrate.report.pictures import light_image

    like = next(c for group in generation.constructs.values() for c in group if c.sort == sort and not c.compat)
    lifted = lift_example(text, like, generation)
    assert not isinstance(lifted, Diagnostic)
    if any(opaque_parts(lifted.value)):
        return None
    style = lifted.value if isinstance(lifted.value, ir.Style) else ir.Style(lifted.value)
    scene = scene_named("probe")
    frames = seen(render(style, generation.arithmetic, scene, BLADE), scene.rate)
    buffer = io.BytesIO()
    light_image(frames).quantize(128).save(buffer, "PNG", optimize=True)
    return "data:image/png;base64," + base64.b64encode(buffer.getvalue()).decode()


@dataclass(frozen=True)
class Counterpart:
    """What an example becomes in another generation: its text, its grade by meaning, and what is lost."""

    generation: str
    text: str
    grade: str
    losses: tuple[str, ...]
    whole: bool


def counterpart(text: str, staged: str, generation: Generation, target: Generation) -> Counterpart:
    """Moves the example; where it does not come out alone with its meaning, the style that holds it."""
    alone = _moved(text, generation, target, style=False)
    shown = _text(alone, target)
    off = None if shown is None else _rounding(text, shown, generation, target)
    if shown is not None and off is not None and off <= CLOSE_ROUNDING:
        return Counterpart(target.name, shown, "close" if off else "same", _rounded(off), False)
    moved = _moved(staged, generation, target, style=True)
    style = next(iter(moved.styles), None)
    if style is None or style.grade == "refused":
        return Counterpart(target.name, "", "refused", tuple(d.message for d in moved.diagnostics), True)
    whole = _text(moved, target) if shown is None else shown
    return Counterpart(
        target.name,
        whole or "",
        style.grade,
        (*style.notes, *_rounded(style.rounding)),
        shown is None and text != staged,
    )


def _rounded(off: Fraction) -> tuple[str, ...]:
    return (f"numbers rounded by up to {max(0.1, float(off) * 100):.1f} %",) if off else ()


def _rounding(before: str, after: str, generation: Generation, target: Generation) -> Fraction | None:
    """How far two texts' meanings are apart where they are alike but for rounded numbers, else None."""
    dumps = []
    stepless = "tick" in (generation.arithmetic.clock, target.arithmetic.clock)
    for text, one in ((before, generation), (after, target)):
        found = read(declared(text, one), Options(one.name, reading=one.name, packs=one.packs))
        if isinstance(found, Diagnostic) or NAME not in found.lifted:
            return None
        dumps.append(meaning(found.lifted[NAME].raw, BLADE, stepless))
    return rounding(*dumps)


def _moved(text: str, generation: Generation, target: Generation, style: bool) -> Moved:
    """The move of one declaration; a slot table makes a style of what could be a part of one."""
    source = declared(text, generation)
    if style:
        entry = generation.entry.replace("{style}", NAME).replace("{sounds}", "example").replace("{label}", "Example")
        table = generation.table.replace("{name}", "shown").replace("{entries}", entry)
        source = replace(source, data=source.data + table.encode() + b"\n")
    return move(source, Options(target.name, reading=generation.name, prove=False, packs=target.packs))


def _text(moved: Moved, target: Generation) -> str | None:
    """The declaration's new text, or None where it did not come out in the target."""
    if any(d.severity == "error" for d in moved.diagnostics) or any(
        s.grade in ("kept", "refused") for s in moved.styles
    ):
        return None
    source = SourceFile("example.h", moved.text)
    item = next((i for i in parse(source).items if isinstance(i, Alias) and i.name == NAME), None)
    if item is None:
        return None
    text = source.data[item.value.start : item.value.end].decode()
    group = target.constructs.get(text.split("<", 1)[0].rpartition("::")[2]) or target.constructs.get(
        text.split("<", 1)[0]
    )
    return text if group else None
