"""The report: one self-contained page of a move, that asks nothing of any network."""

from __future__ import annotations

import base64
import hashlib
from collections import Counter
from collections.abc import Sequence

from migrate.diagnostics import Diagnostic, explain
from migrate.pipeline import GRADES, Moved, Options
from migrate.report.gallery import NEED_AN_EYE
from migrate.report.html.controls import asset, caution, grade, jumps, player, plots
from migrate.report.html.elements import Markup, el, join, verbatim
from migrate.report.html.facts import Facts, Shown, gather
from migrate.report.html.sidediff import rows, table
from migrate.report.terminal import figures_in_words, summary


def report_page(moved: Moved, options: Options) -> str:
    """The page of a move, whole. Everything that comes from a file is escaped; scripts run by hash alone."""
    facts = gather(moved, options)
    css = asset("look.css") + asset("report.css")
    js = asset("player.js") + asset("report.js")
    policy = (
        f"default-src 'none'; img-src data:; style-src '{_hash(css)}'; script-src '{_hash(js)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    title = f"{moved.source.name}: {moved.origin or 'unknown'} to {moved.target}"
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", http_equiv="Content-Security-Policy", content=policy),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("title", title),
        el("link", rel="icon", href="data:,"),
        verbatim("style", css),
    )
    body = el(
        "body",
        el("a", "To the styles", href="#styles", class_="skip"),
        _top(facts),
        el("main", _by_hand(facts), _list(facts), _friends(facts), _diagnostics(moved), _styles(facts), _whole(moved),
           class_="page", id="main"),
        _end(facts),
        verbatim("script", js),
    )  # fmt: skip
    return "<!doctype html>\n" + el("html", head, body, lang="en")


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


# ---- the top of the page ---------------------------------------------------------------------------


def _top(facts: Facts) -> Markup:
    moved = facts.moved
    counts: Counter[str] = Counter(style.grade for style in moved.styles)
    told = [el("li", el("b", counts[g]), grade(g)) for g in GRADES if counts[g]]
    links = [
        ("by-hand", "By hand"),
        ("styles-list", "All styles"),
        ("friends", "False friends"),
        ("styles", "Each style"),
        ("file", "Whole file"),
    ]
    nav = el(
        "nav",
        el("ul", [el("li", el("a", words, href=f"#{to}")) for to, words in links]),
        aria_label="Parts of this report",
    )
    inner = el(
        "div",
        el("h1", moved.source.name.replace("\\", "/").rpartition("/")[2]),
        el("p", summary(moved.styles, moved.origin, moved.target)),
        _tally(counts),
        el("ul", told, class_="counts"),
        nav,
        class_="page",
    )
    return el("header", inner, class_="top")


def _tally(counts: Counter[str]) -> Markup | None:
    """A blade with a share of its length for each grade."""
    total, at, parts = sum(counts.values()), 0, []
    for name in GRADES:
        if counts[name]:
            left, wide = f"{at / total * 100:.3f}%", f"{counts[name] / total * 100:.3f}%"
            parts.append(el("rect", x=left, width=wide, height="100%", class_=name))
            at += counts[name]
    if not parts:
        return None
    return el("div", el("span", class_="grip"), el("svg", parts), class_="tally", aria_hidden="true")


def _by_hand(facts: Facts) -> Markup:
    """What a person still has to look at or write."""
    duties = {
        "changed": "looks different now; look at it and decide",
        "unmeasured": "could not be measured; look at it",
        "kept": "stands in its old form, because the target cannot say it; write it anew or leave it",
        "refused": "was not moved; mend what the message names",
    }
    told, left = _claimed(facts)
    items = [
        el(
            "li",
            el("a", s.style.name, href=f"#style-{k}"),
            " ",
            duties[s.style.grade],
            _because([_said_at(facts.moved, of[n]) if n in of else n for n in s.style.notes]),
        )
        for k, (s, of) in enumerate(zip(facts.styles, told, strict=True))
        if s.style.grade in duties
    ]
    items += [el("li", _said_at(facts.moved, d)) for d in left]
    if not items:
        return _section("by-hand", "Left to do by hand", el("p", "Nothing. Every style came out same or close."))
    return _section("by-hand", "Left to do by hand", el("ul", items, class_="todo"))


def _claimed(facts: Facts) -> tuple[list[dict[str, Diagnostic]], list[Diagnostic]]:
    """Of each style, the diagnostics that its notes already tell, by note; and those that no style tells."""
    source = facts.moved.source
    left = [d for d in facts.moved.diagnostics if d.severity in ("error", "warning")]
    told: list[dict[str, Diagnostic]] = []
    for shown in facts.styles:
        told.append({})
        for note in shown.style.notes if shown.style.grade == "refused" else ():
            # The same message may stand below several styles: a style's own is the first from its line on.
            alike = [d for d in left if d.message == note and source.place(d.span.start)[0] >= shown.style.line]
            if alike:
                told[-1][note] = alike[0]
                left.remove(alike[0])
    return told, left


def _said_at(moved: Moved, diagnostic: Diagnostic) -> str:
    """`line 7: what is wrong (what to do)`."""
    hint = f" ({diagnostic.hint})" if diagnostic.hint else ""
    return f"line {moved.source.place(diagnostic.span.start)[0]}: {diagnostic.message}{hint}"


def _because(notes: Sequence[str]) -> str:
    return f": {'; '.join(_counted(notes))}" if notes else ""


def _counted(notes: Sequence[str]) -> list[str]:
    """Each note once, with how often it was said."""
    return [note + (f" (× {times})" if times > 1 else "") for note, times in Counter(notes).items()]


def _section(name: str, title: str, *children: Markup | None) -> Markup:
    return el("section", el("h2", title, id=f"{name}-title"), children, id=name, aria_labelledby=f"{name}-title")


def _list(facts: Facts) -> Markup:
    head = el("tr", [el("th", h, scope="col") for h in ("line", "style", "from", "grade", "what was measured")])
    lines = [
        el(
            "tr",
            el("td", s.style.line),
            el("td", el("a", s.style.name, href=f"#style-{k}"), el("small", s.label) if s.label else None),
            el("td", s.style.origin, class_="origin"),
            el("td", grade(s.style.grade)),
            el("td", "\n".join(_counted(figures_in_words(s.style).split("\n")))),
        )
        for k, s in enumerate(facts.styles)
    ]
    body = el(
        "table",
        el("caption", "Every style with its grade", class_="unseen"),
        el("thead", head),
        el("tbody", lines),
        class_="list",
    )
    return _section(
        "styles-list",
        "All styles",
        _scrolling(body, "Table of all styles"),
    )


def _scrolling(table: Markup, name: str) -> Markup:
    """A table in a region that scrolls by itself, also by keyboard."""
    return el("div", table, class_="scroll", role="region", aria_label=name, tabindex=0)


def _friends(facts: Facts) -> Markup:
    """Names of both generations that mean different things."""
    intro = (
        "Names that both generations have and that mean different things. The move wrote each by its meaning; whoever "
        "pastes the old text into the new file will see another blade."
    )
    if not facts.friends:
        return _section("friends", "False friends", el("p", "None found in this file."))
    head = el("tr", [el("th", h, scope="col") for h in ("line", "name", "times", "what differs")])
    lines = [
        el("tr", el("td", f.line), el("td", el("code", f.name)), el("td", f"{f.count} ×"), el("td", f.difference))
        for f in facts.friends
    ]
    body = el(
        "table", el("caption", "False friends", class_="unseen"), el("thead", head), el("tbody", lines), class_="list"
    )
    return _section("friends", "False friends", el("p", intro, class_="soft"),
                    _scrolling(body, "Table of false friends"))  # fmt: skip


def _diagnostics(moved: Moved) -> Markup | None:
    if not moved.diagnostics:
        return None
    found = [el("p", explain(moved.source, d), class_="diagnostic", tabindex=0) for d in moved.diagnostics]
    return _section("diagnostics", "What the reader of the file said", *found)


# ---- styles ----------------------------------------------------------------------------------------


def _styles(facts: Facts) -> Markup:
    intro = (
        "Pictures show light as a person sees it: sRGB-coded from linear light, each row the mean of 20 ms. Of a style "
        "graded same one drawing stands for both sides: their meaning is equal, and only the rounding of the two "
        "generations' arithmetic can differ."
    )
    parts = [_style(k, shown, facts.moved) for k, shown in enumerate(facts.styles)]
    return _section("styles", "Each style", el("p", intro, class_="soft"), *parts)


def _style(number: int, shown: Shown, moved: Moved) -> Markup:
    style = shown.style
    head = el(
        "header",
        el("h3", style.name, id=f"style-{number}-title"),
        el("span", f"{shown.label + ', ' if shown.label else ''}line {style.line}", class_="soft"),
        grade(style.grade),
    )
    said = [line for line in figures_in_words(style).split("\n") if line not in style.notes]
    names = (style.origin, moved.target)
    return el(
        "article",
        head,
        [el("p", line) for line in (*said, "; ".join(style.rounded)) if line],
        el("ul", [el("li", note) for note in _counted(style.notes)], class_="notes") if style.notes else None,
        _look(shown, names),
        _figures(shown),
        _text(shown, names),
        id=f"style-{number}",
        aria_labelledby=f"style-{number}-title",
    )


def _look(shown: Shown, names: tuple[str, str]) -> Markup | None:
    if not shown.played:
        left = "Its pictures are left out, so that this page stays small; rehilt show draws them."
        return el("p", left, class_="soft") if shown.left_out else None
    alone = len(shown.played[0].plots) == 1
    captions = {"before": f"{names[0]}, before", "after": f"{names[1]}, after", "difference": "difference"}
    if alone and shown.style.grade == "same":
        captions["before"] = f"{names[0]} and {names[1]}, alike"
    sides = [(side, captions[side]) for side in (("before",) if alone else ("before", "after"))]
    worst = max((p.flashing for p in shown.played), key=lambda f: max(f.general, f.red))
    below = join([jumps(p, k > 0) for k, p in enumerate(shown.played)], caution(worst))
    scenes = [(p.scene, p.scene) for p in shown.played]
    drawings = [plots(shown.style.name, p, captions, k > 0) for k, p in enumerate(shown.played)]
    return el("div", player(shown.style.name, sides, scenes, below), el("div", drawings), class_="look", data_look=True)


def _figures(shown: Shown) -> Markup | None:
    """The figures of the drawing; for a style graded by its rounding they say how far it drifts, and grade nothing."""
    if shown.drawn is None or shown.drawn.figures is None:
        return None
    found = shown.drawn.figures
    facts = [
        ("ΔE00, edges aligned: mean", f"{found.mean:.3f}"),
        ("95th percentile (close: at most 1)", f"{found.p95:.2f}"),
        ("largest (close: at most 5)", f"{found.largest:.2f}"),
        ("where", f"{found.where.time_ms / 1000:.3f} s, pixel {found.where.pixel}"),
        (
            "cell against cell: mean, 95 %, largest",
            f"{found.plain_mean:.2f}, {found.plain_p95:.2f}, {found.plain_largest:.2f}",
        ),
        ("largest step of one channel", f"{found.duty} of 255"),
        ("event edges, where they can be seen (close: within 20 ms)", f"{found.edge_ms:.0f} ms"),
        ("edges along the blade", f"{found.shift_px:g} px"),
    ]
    if shown.style.grade not in NEED_AN_EYE and shown.style.figures is None:
        heading = f"As drawn over scene {shown.drawn.scene.name}; the grade rests on the rounding, not on these"
    else:
        heading = f"Figures over scene {shown.drawn.scene.name}"
    return join(el("h4", heading), el("dl", [el("div", el("dt", k), el("dd", v)) for k, v in facts], class_="figures"))


def _text(shown: Shown, names: tuple[str, str]) -> Markup | None:
    before, first = shown.before
    if not before:
        return None
    after, other = shown.after or (before, first)
    if after == before:
        return el("p", "Its text did not change.", class_="soft")
    found = rows(before, after, (first, other), None)
    return join(
        el("h4", "The text, changed words marked"), table(found, names, f"Text of {shown.style.name}, before and after")
    )


def _whole(moved: Moved) -> Markup:
    if moved.text == moved.source.data:
        return _section("file", "Whole file", el("p", "The text did not change."))
    before, after = (
        t.decode(moved.source.encoding, "replace").lstrip("\ufeff") for t in (moved.source.data, moved.text)
    )
    found = rows(before, after)
    body = table(found, (moved.origin or "before", moved.target), "The whole file, before and after")
    return _section("file", "Whole file", el("details", el("summary", "Show every change of the file"), body))


def _end(facts: Facts) -> Markup:
    scenes = " and ".join(facts.scenes)
    said = (
        f"Drawn over the scenes {scenes}. Differences are CIEDE2000 of light integrated over 20 ms where "
        "a style was measured. A caution and no clearance: local codes, the venue and licensed practice decide."
    )
    return el("footer", el("div", el("p", said), class_="page"), class_="end")
