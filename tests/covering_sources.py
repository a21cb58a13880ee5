"""Short styles for the search: each example of a pack in the least style that shows it, and how they are read."""

from __future__ import annotations

from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.packs.library import library
from migrate.packs.model import Call, Construct, Generation, Var
from migrate.pipeline import Options, read
from migrate.report.reference_examples import Stage, own
from migrate.source import SourceFile
from tests.covering_terms import add, is_colour, written


def sources(name: str) -> list[str]:
    """Short styles of a generation: each example of its pack in the least style that shows it."""
    generation = library()[name]
    stage, out = Stage(generation), []
    layer_of = [c for c in own(generation) if c.sort == "layer" and _is_plain_layer(c)]
    for construct in own(generation):
        for example in construct.examples:
            staged = stage.staged(example, construct)
            if staged is None:
                continue
            if not layer_of or construct.sort in ("style", "transition"):
                add(out, stage.staged(example, construct, ("style",)))
            elif construct.sort == "layer":
                add(out, _least_style(generation, _red(generation), [example]))
            elif "power" not in staged:
                add(out, _least_style(generation, staged, []))
            for layer in layer_of if construct.sort == "signal" else ():
                add(out, _least_style(generation, _red(generation), [_with_signal(layer, example, generation)]))
    return [text for text in out if text is not None]


def _red(generation: Generation) -> str:
    paint = next(c for c in own(generation) if c.sort == "paint" and len(c.parameters) == 3 and is_colour(c))
    return f"{paint.name}<255, 0, 0>"


def _least_style(generation: Generation, ground: str, sheets: list[str]) -> str:
    """A style of a ground and layers, and the example of power as its last."""
    style = next(c for c in own(generation) if c.sort == "style")
    power = next(c for c in own(generation) if c.sort == "layer" and "power" in _forms(c)).examples[0]
    base, rest = style.parameters
    layered = sheets if any(power.split("<", 1)[0] == s.split("<", 1)[0] for s in sheets) else [*sheets, power]
    return written(style.name, [(base, [ground], None), (rest, layered, None)])


def _forms(construct: Construct) -> list[str]:
    return [e.meaning.form for e in construct.equations if isinstance(e.meaning, Call)]


def _is_plain_layer(construct: Construct) -> bool:
    """Whether a layer takes a paint and any signal, and beyond these only what may be left out."""
    meaning = construct.equations[0].meaning
    plain = isinstance(meaning, Call) and all(isinstance(a, Var) for a in meaning.arguments)
    two, rest = construct.parameters[:2], construct.parameters[2:]
    sorts = [p.sorts for p in two]
    return plain and sorts == [("paint",), ("signal",)] and all(p.default is not None for p in rest)


def _with_signal(layer: Construct, signal: str, generation: Generation) -> str:
    paint = next(c for c in own(generation) if c.sort == "paint" and len(c.parameters) == 3 and is_colour(c))
    chosen = [(layer.parameters[0], [f"{paint.name}<0, 0, 255>"], None), (layer.parameters[1], [signal], None)]
    return written(layer.name, chosen)


def config(text: str, name: str) -> SourceFile:
    """A config that declares and shows one style on a blade of 24 pixels."""
    generation = library()[name]
    line = f"typedef {text} one;" if generation.declares == "typedef" else f"using one = {text};"
    facts = f"const int {generation.pixels} = 24;\nconst int {generation.pitch} = 60;\n"
    space = f"using namespace {generation.namespace};\n" if generation.namespace else ""
    entry = generation.entry.replace("{style}", "one").replace("{sounds}", "one").replace("{label}", "One")
    table = generation.table.replace("{name}", "shown").replace("{entries}", entry)
    return SourceFile("one.h", f"{space}{facts}{line}\n{table}\n".encode())


def styles_of(source: SourceFile, name: str) -> ir.Style | None:
    found = read(source, Options(name, reading=name))
    if isinstance(found, Diagnostic) or "one" not in found.lifted:
        return None
    raw = found.lifted["one"].raw
    return raw if isinstance(raw, ir.Style) else ir.Style(raw)
