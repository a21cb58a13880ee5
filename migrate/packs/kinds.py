"""What sort of thing an expression of an equation is, read off the IR's own declarations; used to check packs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from fractions import Fraction
from typing import Any, Union, get_args, get_origin, get_type_hints

from migrate.ir import nodes as ir
from migrate.ir.forms import COLOUR_FORMS, FORMS, GRAINS, VARIADIC_FIELDS, defaults
from migrate.packs.model import (
    Atom,
    Call,
    Construct,
    Expression,
    Generation,
    Less,
    Measure,
    Parameter,
    Scaled,
    Sum,
    Var,
)

Kinds = frozenset[str]
ANY: Kinds = frozenset({"any"})
NOTHING: Kinds = frozenset()
QUANTITIES = frozenset({"time", "rate", "number", "length", "speed", "grain"})
CURVES = ("linear", "ease", "ease_in", "ease_out", "ease_in_out", "step_start", "step_end")
JUMPS = ("jump_start", "jump_end", "jump_none", "jump_both")

_NODES: dict[Any, str] = {
    ir.Paint: "paint", ir.Signal: "signal", ir.Shape: "shape", ir.Transition: "transition", ir.Curve: "curve",
    ir.Stop: "stop", ir.Key: "key", ir.Length: "length", ir.Speed: "speed", ir.Grain: "grain",
    ir.Space: "space", ir.Edges: "edges", ir.Wave: "wave", ir.NoiseKind: "noise", ir.Rational: "number",
    Union[int, Fraction]: "number",
}  # fmt: skip
_INTEGERS = {"rate": "rate", "count": "number"}
_TEXTS = {"event": "event", "jump": "jump", "name": "curve name"}
_UNITS = {
    "time": "time", "tempo": "time", "rate": "rate", "plain": "number", "weight": "number", "length": "length",
    "parts": "length", "unknown": "any", "speed": "speed", "grain": "grain", "packed_duty": "paint",
    "css_name": "colour name",
}  # fmt: skip
_SAID = {"edges": "edge", "noise": "kind of noise"}
_MEASURES = {"ms": "time", "hz": "rate", "dps": "number", "": "number"}

WORD_KINDS: Mapping[str, Kinds] = {
    word: frozenset(
        kind
        for kind, words in (
            ("event", (*ir.INSTANT_EVENTS, *ir.HELD_EVENTS)), ("wave", get_args(ir.Wave)),
            ("space", get_args(ir.Space)),
            ("edges", get_args(ir.Edges)), ("noise", get_args(ir.NoiseKind)), ("grain", tuple(GRAINS)),
            ("curve name", CURVES), ("jump", JUMPS),
        )
        if word in words
    )
    for word in (
        *ir.INSTANT_EVENTS, *ir.HELD_EVENTS, *get_args(ir.Wave), *get_args(ir.Space), *get_args(ir.Edges),
        *get_args(ir.NoiseKind), *GRAINS, *CURVES, *JUMPS,
    )
}  # fmt: skip


def class_kind(cls: type[Any]) -> str:
    """What sort of thing a node class is."""
    if cls in (ir.Sheet, ir.Power):
        return "layer"
    if cls is ir.Style:
        return "style"
    return next((kind for group, kind in _NODES.items() if cls is group or cls in get_args(group)), "any")


_FIELDS: dict[type[Any], Mapping[str, str]] = {}


def field_kinds(cls: type[Any]) -> Mapping[str, str]:
    """What each field of a node class takes; `list of …` for a tuple."""
    if cls in _FIELDS:
        return _FIELDS[cls]
    out: dict[str, str] = {}
    for name, hint in get_type_hints(cls, vars(ir)).items():
        if get_origin(hint) is tuple:
            out[name] = f"list of {_NODES.get(get_args(hint)[0], 'any')}"
        elif hint is int:
            out[name] = _INTEGERS.get(name, "time")
        elif hint is str:
            out[name] = _TEXTS.get(name, "any")
        else:
            out[name] = _NODES.get(hint, "any")
    _FIELDS[cls] = out
    return out


def expected(form: str, count: int) -> tuple[tuple[str, Kinds], ...] | None:
    """The name and kinds of each of so many arguments of a form, or None where it never takes so many."""
    if form in VARIADIC_FIELDS:
        takes = frozenset({"signal", "list of signal"}) if count == 1 else frozenset({"signal"})
        return (("signal", takes),) * count if count else None
    if form in FORMS:
        spec = FORMS[form]
        least = sum(name not in defaults(spec.cls) for name in spec.fields)
        kinds = field_kinds(spec.cls)
        return (
            tuple((n, frozenset({kinds[n]})) for n in spec.fields[:count])
            if least <= count <= len(spec.fields)
            else None
        )
    if form in COLOUR_FORMS:
        wanted = (("name", frozenset({"colour name"})),) if form == "css" else _codes(form)
        return wanted if count == len(wanted) else None
    if form == "beyond":
        return (("number", frozenset({"number"})),) if count == 1 else None
    if count == 0 or (form == "reversed" and count != 1):
        return None
    items = {"even": ("paint",), "chain": ("transition", "paint")}.get(form, ("any",))
    lists = {f"list of {x}" for x in (*items, "any")}
    whole = frozenset(lists if form == "reversed" else {*items, *(lists if count == 1 else ())})
    return (("list", whole),) * count


def _codes(form: str) -> tuple[tuple[str, Kinds], ...]:
    names = ("lightness", "chroma", "hue") if form == "oklch" else ("red", "green", "blue")
    return tuple((name, frozenset({"number"})) for name in names)


class Inference:
    """The kinds of a generation's sorts, found from what their constructs mean."""

    def __init__(self, generation: Generation) -> None:
        self.generation = generation
        self.sorts: dict[str, Kinds] = {}
        constructs = [c for group in generation.constructs.values() for c in group]
        known = -1
        while known != sum(map(len, self.sorts.values())):
            known = sum(map(len, self.sorts.values()))
            for construct in constructs:
                found = self.construct(construct)
                self.sorts[construct.sort] = self.sorts.get(construct.sort, NOTHING) | found
        self._narrow(constructs)

    def _narrow(self, constructs: list[Construct]) -> None:
        """A sort is what most of its constructs are, so that one that is wrong does not make all others wrong.

        A sort of words is what all its words can be: `soft` may be an edge or a noise, `hard` only an edge.
        """
        found: dict[str, list[Kinds]] = {}
        for construct in constructs:
            found.setdefault(construct.sort, []).append(self.construct(construct))
        for sort, kinds in found.items():
            common = frozenset.intersection(*kinds)
            if common and not any(c.brackets for c in constructs if c.sort == sort):
                self.sorts[sort] = common
            elif not common:
                self.sorts[sort] = Counter(kinds).most_common(1)[0][0]

    def construct(self, construct: Construct) -> Kinds:
        """What a construct's equations make of it; anything, where it has none."""
        if not construct.equations:
            return ANY
        parameters = {p.name: p for p in construct.parameters}
        return frozenset().union(*(self.kinds(e.meaning, parameters) for e in construct.equations))

    def parameter(self, parameter: Parameter) -> Kinds:
        """What a parameter may stand for."""
        out: set[str] = set()
        for sort in self.generation.spread(parameter.sorts):
            unit = self.generation.units.get(sort)
            out |= {_UNITS[unit.kind]} if unit is not None else self.sorts.get(sort, NOTHING)
        return frozenset(f"list of {kind}" for kind in out) if parameter.variadic else frozenset(out)

    def kinds(self, expression: Expression, parameters: Mapping[str, Parameter]) -> Kinds:
        """What an expression may be."""
        match expression:
            case Var("*"):
                return frozenset({"colour name"})
            case Var(name) | Scaled(_, name) | Less(_, name):
                return self.parameter(parameters[name]) if name in parameters else ANY
            case Atom(name):
                return WORD_KINDS.get(name, ANY)
            case Measure(_, unit):
                kind = _MEASURES.get(unit) or ("speed" if unit.endswith("_s") else "length")
                return frozenset({kind})
            case Sum():
                return frozenset({"style"})
            case Call(form, arguments):
                return self._call(form, [self.kinds(a, parameters) for a in arguments])

    @staticmethod
    def _call(form: str, given: list[Kinds]) -> Kinds:
        if form in FORMS:
            return frozenset({class_kind(FORMS[form].cls)})
        if form in COLOUR_FORMS:
            return frozenset({"paint"})
        if form == "reversed":
            return given[0] if given else NOTHING
        if form == "list":
            items = frozenset().union(*given) if given else NOTHING
            return frozenset(k if k.startswith("list of ") else f"list of {k}" for k in items)
        return frozenset({{"even": "list of stop", "chain": "transition"}.get(form, "length")})


def fits(found: Kinds, wanted: Kinds, word: bool = False) -> bool:
    """Whether a thing may stand where one of the wanted kinds is taken; a bare word may be of several kinds at once."""
    if not found or "any" in found | wanted or "list of any" in found | wanted:
        return True
    return bool(found & wanted) if word else found <= wanted


def named(kinds: Kinds) -> str:
    """Kinds in words, with an article."""
    words = []
    for kind in sorted(kinds):
        said = _SAID.get(kind, kind)
        words.append(f"{'an' if said[0] in 'aeiou' else 'a'} {said}{'s' if kind.startswith('list of') else ''}")
    return " or ".join(words) if words else "nothing"
