"""The language reference of one generation as one self-contained HTML page, made from its pack."""

from __future__ import annotations

import inspect
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

from migrate.ir.forms import COLOUR_FORMS, FORMS
from migrate.packs.equations import variables
from migrate.packs.library import library
from migrate.packs.model import (
    Atom,
    Call,
    Construct,
    Equation,
    Expression,
    Generation,
    Less,
    Measure,
    Parameter,
    Scaled,
    Sum,
    Unit,
    Var,
)  # fmt: skip
from migrate.packs.units import spelled
from migrate.report.html.elements import Markup, el, join, verbatim
from migrate.report.markdown import inline, slug, to_html
from migrate.report.reference_examples import Counterpart, Stage, counterpart, own, thumbnail
from migrate.resources import grammar_path

_LISTS = {
    "css": "The colour of that name in CSS Color Level 4.",
    "duty": "The colour of these duties: light is proportional to them.",
    "srgb": "The colour of these sRGB codes (IEC 61966-2-1).",
    "oklch": "The colour of this Oklch lightness, chroma and hue (CSS Color Level 4), clipped to what shows.",
    "even": "Stops at equal distances from hilt to tip.",
    "list": "These, in order.",
    "chain": "Transitions played one after the other; each paint shows between its neighbours.",
    "beyond": "What is left of the blade beyond this share of it.",
}
_KINDS = {
    "time": "time", "rate": "rate", "plain": "number", "weight": "weight", "length": "length", "speed": "speed",
    "grain": "cell length", "packed_duty": "colour, duties packed as 0xRRGGBB", "css_name": "name of a CSS colour",
    "tempo": "tempo", "parts": "fraction of the blade",
}  # fmt: skip
_FORMS_INTRO = (
    "Every construct means an expression in these forms, which no generation owns. A move reads the equation of one "
    "generation forwards and that of the other backwards. Place runs from hilt (0) to tip (1), light is linear."
)
_OPERATORS = {"over": "Laid over what is below (source-over).", "plus": "Added to what is below (W3C plus-lighter)."}


def page(name: str, packs: tuple[Path, ...] = ()) -> str:
    """The page's HTML; raises KeyError where there is no such generation."""
    generation = library(packs)[name]
    sections = _sections(generation)
    body = join(
        el("a", "To the constructs", href="#constructs", class_="skip"),
        _top(generation),
        el("div", _contents(sections), el("main", *_main(generation, sections), id="constructs"), class_="columns"),
    )
    head = join(
        el("meta", charset="utf-8"),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("title", f"{generation.name} “{generation.title}”: language reference"),
        verbatim("style", Path(__file__).with_name("reference.css").read_text("utf-8")),
    )
    return f"<!DOCTYPE html>\n{el('html', el('head', head), el('body', body), lang='en')}\n"


Sections = Mapping[str, Mapping[str, list[Construct]]]


def _sections(generation: Generation) -> Sections:
    """The generation's own constructs by sort, styles first, and by name."""
    out: dict[str, dict[str, list[Construct]]] = {"style": {}, "sleeve": {}, "layer": {}, "paint": {}}
    home: dict[str, str] = {}
    for construct in own(generation):
        sort = home.setdefault(construct.name, construct.sort) if construct.brackets else construct.sort
        out.setdefault(sort, {}).setdefault(construct.name, []).append(construct)
    return {sort: names for sort, names in out.items() if names}


def _title(sort: str) -> str:
    return sort.replace("_", " ").capitalize()


def _anchor(sort: str, name: str) -> str:
    return f"{slug(sort)}-{slug(name) or 'any'}"


def _top(generation: Generation) -> Markup:
    arithmetic = generation.arithmetic
    mixing = {
        "eight_floor": "8 bit, floored",
        "eight_round": "8 bit, rounded",
        "sixteen": "16-bit linear light",
        "real": "doubles",
    }[arithmetic.mixing]
    facts = {
        "C++": generation.standard.upper().replace("C++", "C++ "),
        "Header": generation.header,
        "Namespace": generation.namespace or "none",
        "Clock": "every frame" if arithmetic.clock == "frame" else "steps of 20 ms",
        "Mixing": mixing,
        "Numbers": f"decimals to {generation.decimals} places" if generation.decimals else "integers",
        "Marker": f"#define {generation.marker[0]} {generation.marker[1]}" if generation.marker else "none",
    }
    items = [
        el("div", el("dt", key), el("dd", el("code", value) if value[0] in "<#" else value))
        for key, value in facts.items()
    ]
    others = [
        el("a", g.name, href=f"{g.name}.html") if g is not generation else el("b", g.name, aria_current="page")
        for g in library(generation.packs).values()
    ]
    return el(
        "header",
        el("div", el("p", "Language reference", class_="over"),
           el("h1", generation.name, " ", el("span", f"“{generation.title}”")),
           el("dl", *items),
           el("p", "Generations: ", *(join(o, " ") for o in others), class_="others"), class_="inner"),
        class_="top",
    )  # fmt: skip


def _contents(sections: Sections) -> Markup:
    parts = []
    for sort, names in sections.items():
        links = [el("li", el("a", name, href=f"#{_anchor(sort, name)}")) for name in names]
        parts.append(el("details", el("summary", _title(sort)), el("ul", *links), open=True))
    tail = [el("li", el("a", words, href=f"#{where}")) for words, where in _TAIL]
    return el("nav", *parts, el("details", el("summary", "More"), el("ul", *tail), open=True), aria_label="Contents")


_TAIL = (
    ("Accepted from older generations", "older"),
    ("Forms of the equations", "forms"),
    ("What all generations share", "shared"),
)


def _main(generation: Generation, sections: Sections) -> list[Markup]:
    stage = Stage(generation)
    out = []
    for sort, names in sections.items():
        bare = all(not c.brackets for group in names.values() for c in group)
        heading = el("h2", _title(sort), " ", _link(f"sort-{slug(sort)}", _title(sort)), id=f"sort-{slug(sort)}")
        if bare and "*" not in "".join(names):
            body = [_words(generation, sort, names)]
        else:
            body = [_article(generation, stage, sort, name, group) for name, group in names.items()]
        out.append(el("section", heading, *body))
    return [*out, _older(generation), _forms(sections), _shared()]


def _link(anchor: str, words: str) -> Markup:
    return el("a", "#", href=f"#{anchor}", class_="anchor", aria_label=f"Link to {words}")


# ---- one construct ------------------------------------------------------------------------------


def _article(generation: Generation, stage: Stage, sort: str, name: str, group: list[Construct]) -> Markup:
    anchor = _anchor(sort, name)
    parts = [el("h3", el("code", name), " ", _link(anchor, name))]
    for construct in group:
        parts.append(_signature(generation, construct))
        parts.append(_meaning(construct))
        parts += [el("p", note[0].upper() + note[1:] + ".", class_="note") for note in construct.notes]
        parts += [_trap(other, what) for other, what in construct.differs]
        parts += [_example(generation, stage, construct, text) for text in construct.examples]
    return el("article", *parts, id=anchor)


def _trap(other: str, what: str) -> Markup:
    return el("p", el("strong", f"Trap, {other}: "), f"{what}.", class_="trap", role="note")


def _signature(generation: Generation, construct: Construct) -> Markup:
    if not construct.brackets:
        return el("p", el("code", construct.name.replace("*", "NAME")), class_="signature")
    shown = [_shown(p) for p in construct.parameters]
    code = el("p", el("code", f"{construct.name}<{', '.join(shown)}>"), class_="signature")
    if not construct.parameters:
        return code
    ranged = any(_range(p, _unit_of(generation, p)) for p in construct.parameters)
    rows = [_row(generation, p, ranged) for p in construct.parameters]
    columns = ("argument", "takes", *(("range",) if ranged else ()), "left out")
    head = el("tr", *(el("th", words, scope="col") for words in columns))
    table = el("table", el("thead", head), el("tbody", *rows))
    return join(
        code, el("div", table, class_="wide", tabindex="0", role="region", aria_label=f"Arguments of {construct.name}")
    )


def _shown(parameter: Parameter) -> str:
    text = f"{parameter.name}{', …' if parameter.variadic else ''}"
    for tag in reversed(parameter.tag):
        text = f"{tag}<{text}>"
    return f"[{text}]" if parameter.default is not None or parameter.optional else text


def _unit_of(generation: Generation, parameter: Parameter) -> Unit | None:
    return next((generation.units[s] for s in parameter.sorts if s in generation.units), None)


def _row(generation: Generation, parameter: Parameter, ranged: bool) -> Markup:
    unit = _unit_of(generation, parameter)
    words = [s.replace("_", " ") for s in generation.spread(parameter.sorts) if s not in generation.units]
    if unit is not None:
        words.append(_unit(unit) + (", whole numbers only" if unit.whole and generation.decimals else ""))
    takes = " or ".join(words) + (", one or more" if parameter.variadic and not parameter.optional else "")
    takes += ", any number" if parameter.variadic and parameter.optional else ""
    takes += ", in any place" if parameter.floating else ""
    default = "required"
    if parameter.default is not None:
        default = join("is ", _expression(parameter.default))
    elif parameter.optional:
        default = "may be"
    span = el("td", _range(parameter, unit)) if ranged else None
    return el("tr", el("td", el("var", parameter.name)), el("td", takes), span, el("td", default))


def _unit(unit: Unit) -> str:
    kind = _KINDS[unit.kind]
    scale = {"px": "pixels", "mil": "per mille of the blade", "mm": "millimetres"}.get(unit.length, "")
    if unit.kind == "time":
        scale = "ms" if unit.scale == 1000 else f"ticks of {float(Fraction(unit.scale) / 1000):g} ms"
    elif unit.kind == "speed":
        scale += " a second" if unit.scale == 1 else f", {unit.scale} to the second"
    elif unit.kind == "weight":
        scale = f"1 is {unit.scale}"
    elif unit.kind == "tempo":
        scale = "beats a minute" if unit.scale == 60_000_000 else f"beats in {float(Fraction(unit.scale)) / 1e6:g} s"
    elif unit.kind == "rate":
        scale = "Hz"
    text = f"{kind} in {scale}" if scale and unit.kind != "weight" else f"{kind}, {scale}" if scale else kind
    return f"{text}, written {unit.spelled}<…>" if unit.spelled else text


def _range(parameter: Parameter, unit: Unit | None) -> str:
    if unit is None:
        return ""
    low = parameter.low if parameter.low is not None else unit.low
    high = parameter.high if parameter.high is not None else unit.high
    if low is None and high is None:
        return ""
    return f"{spelled(low) if low is not None else ''} to {spelled(high) if high is not None else 'any'}".replace(
        "-", "−"
    )


# ---- equations ------------------------------------------------------------------------------------


def _meaning(construct: Construct) -> Markup:
    lines = []
    for equation in construct.equations:
        lines.append(el("div", _expression(equation.meaning), _condition(construct, equation)))
    return el("div", el("span", "means", class_="label"), el("div", *lines, class_="lines"), class_="meaning")


def _condition(construct: Construct, equation: Equation) -> Markup:
    words: list[Markup | str] = []
    if equation.guard is not None:
        words += [" where ", el("var", equation.guard[0]), " = ", _expression(equation.guard[1])]
    elif len(construct.equations) > 1 and any(e.guard for e in construct.equations):
        words.append(" otherwise")
    optional = [p.name for p in construct.parameters if p.optional and not p.variadic]
    if optional:
        used = [name for name in optional if name in variables(equation.meaning)]
        words.append(f" with {' and '.join(used)}" if used else f" without {' or '.join(optional)}")
    if equation.one_way:
        words.append(f" (read one way only: {equation.one_way})")
    return el("span", *words, class_="condition") if words else join()


def _expression(expression: Expression) -> Markup:
    """An equation's side as it is read: forms link to what they mean, parameters stand in italics."""
    match expression:
        case Var(name):
            return el("var", name)
        case Atom(name):
            return el("b", name.replace("_", " "))
        case Measure(value, unit):
            unit = unit.replace("_s", "/s").replace("mil", "‰").replace("dps", "deg/s").replace("hz", "Hz")
            return join(f"{spelled(value)}\u00a0{unit}" if unit else spelled(value))
        case Scaled(factor, name):
            return join(f"{spelled(factor)} · ", el("var", name))
        case Less(value, name):
            return join(f"{spelled(value)} − ", el("var", name))
        case Sum(parts):
            first, *rest = (_expression(p) for p in parts)
            return join(first, *(join(el("br"), " + ", r) for r in rest))
        case Call(form, arguments):
            inner = [join(", " if i else "", _expression(a)) for i, a in enumerate(arguments)]
            return join(el("a", form, href=f"#form-{form}", title=_form_words(form)), "(", *inner, ")")


def _form_words(form: str) -> str:
    if form in _OPERATORS:
        return _OPERATORS[form]
    if form in FORMS:
        return (inspect.getdoc(FORMS[form].cls) or "").split("\n\n")[0].replace("`", "")
    return _LISTS.get(form, "")


def _forms(sections: Sections) -> Markup:
    """What the words of the equations mean, from the IR's own declarations; those that this page uses."""
    used = {
        f
        for names in sections.values()
        for g in names.values()
        for c in g
        for e in c.equations
        for f in _calls(e.meaning)
    }
    rows = []
    for form in sorted(used):
        names = FORMS[form].fields if form in FORMS else ()
        shown = f"{form}({', '.join(n.replace('_', ' ') for n in names)})" if form not in COLOUR_FORMS else form
        rows.append(el("tr", el("td", el("code", shown), id=f"form-{form}"), el("td", _form_words(form))))
    head = el("tr", el("th", "form", scope="col"), el("th", "meaning", scope="col"))
    intro = el("p", _FORMS_INTRO)
    table = el("div", el("table", el("thead", head), el("tbody", *rows)), class_="wide", tabindex="0", role="region",
               aria_label="Forms of the equations")  # fmt: skip
    return el("section", el("h2", "Forms of the equations ", _link("forms", "the forms"), id="forms"), intro, table)


def _calls(expression: Expression) -> set[str]:
    if isinstance(expression, Call):
        return {expression.form}.union(*(_calls(a) for a in expression.arguments))
    return set().union(*(_calls(p) for p in expression.parts)) if isinstance(expression, Sum) else set()


# ---- examples and counterparts ----------------------------------------------------------------


def _example(generation: Generation, stage: Stage, construct: Construct, text: str) -> Markup:
    staged = stage.staged(text, construct)
    parts = [el("div", el("span", "example", class_="label"), el("pre", el("code", text), tabindex="0"))]
    if staged is None:
        return el("div", *parts, class_="example")
    if staged != text:
        parts.append(el("p", "Drawn in ", el("code", staged), class_="soft"))
    sort = _sort_of(stage, staged, construct)
    drawn = thumbnail(staged, sort, generation)
    picture = "" if drawn is None else el(
        "figure",
        el("img", src=drawn, width=132, height=180,
           alt=f"{text} over the probe scene: 3.6 s run down, hilt left, tip right"),
        el("figcaption", el("span", "hilt"), el("span", "tip")),
    )  # fmt: skip
    others = [
        counterpart(text, staged, generation, g) for g in library(generation.packs).values() if g is not generation
    ]
    rows = [_counterpart(c) for c in others]
    if drawn is None:
        parts.append(el("p", "Not drawn: no pack says what it means.", class_="soft"))
    shown = "example" if drawn is None else "example drawn"
    return el("div", picture, el("div", *parts, el("dl", *rows, class_="others")), class_=shown)


def _sort_of(stage: Stage, staged: str, construct: Construct) -> str:
    name = staged.split("<", 1)[0]
    found = [c.sort for c in stage.native if c.name == name]
    return found[0] if found else construct.sort


def _counterpart(found: Counterpart) -> Markup:
    words = {"changed": "nearest form", "unmeasured": "nearest form"}.get(found.grade, found.grade)
    title = el("dt", found.generation, " ", el("span", words, class_=f"grade {found.grade}"))
    body = [el("pre", el("code", found.text), tabindex="0")] if found.text else []
    if found.whole and found.text:
        body.insert(0, el("p", "Only within a style:", class_="soft"))
    if found.losses:
        body.append(el("p", inline("; ".join(found.losses)), class_="soft"))
    return join(title, el("dd", *body))


def _words(generation: Generation, sort: str, names: Mapping[str, list[Construct]]) -> Markup:
    """Bare words in one table, each with the words of the other generations that mean the same."""
    others = [g for g in library(generation.packs).values() if g is not generation]
    rows = []
    for name, group in names.items():
        cells = [
            el("td", el("code", name), id=_anchor(sort, name)),
            el("td", _expression(group[0].equations[0].meaning)),
        ]
        for other in others:
            same = [
                c.name for g in other.constructs.values() for c in g
                if not c.compat and not c.brackets and c.sort == sort and c.equations == group[0].equations
            ]  # fmt: skip
            cells.append(el("td", el("code", same[0]) if same else el("span", "none", class_="soft")))
        rows.append(el("tr", *cells))
    head = el("tr", *(el("th", words, scope="col") for words in ("word", "means", *(g.name for g in others))))
    return el("div", el("table", el("thead", head), el("tbody", *rows)), class_="wide", tabindex="0", role="region",
              aria_label=f"{_title(sort)}")  # fmt: skip


# ---- what is not the generation's own -----------------------------------------------------------


def _older(generation: Generation) -> Markup:
    heading = el("h2", "Accepted from older generations ", _link("older", "what is accepted"), id="older")
    if not generation.takes:
        return el("section", heading, el("p", "Nothing."))
    rows = []
    for takes in generation.takes:
        for name, changes in takes.entries:
            changed = "; ".join(f"{p} is {spelled(v.value)} if left out" for p, v in changes)
            rows.append(el("tr", el("td", el("code", f"{takes.prefix}{name}")), el("td", takes.generation),
                           el("td", el("code", takes.through or generation.header)), el("td", changed)))  # fmt: skip
    head = el("tr", *(el("th", words, scope="col") for words in ("name", "from", "header", "differs")))
    table = el("div", el("table", el("thead", head), el("tbody", *rows)), class_="wide", tabindex="0", role="region",
               aria_label="Accepted from older generations")  # fmt: skip
    return el("section", heading, el("p", "A move writes these anew; their meaning is that of the older page."), table)


def _shared() -> Markup:
    text = grammar_path("reference.md").read_text("utf-8")
    _, _, body = text.partition("\n")
    heading = el("h2", "What all generations share ", _link("shared", "what is shared"), id="shared")
    return el("section", heading, to_html(body, prefix="shared-"), class_="shared")
