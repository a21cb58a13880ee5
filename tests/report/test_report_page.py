"""The report page: self-contained, escaped, small, and right about what it shows."""

from __future__ import annotations

import base64
import hashlib
import io
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from PIL import Image

from migrate.diagnostics import Diagnostic
from migrate.pipeline import Options, frames_of, move, scene_named
from migrate.report.gallery import gallery_of, playable, seen
from migrate.report.html.facts import MOST_BYTES, gather
from migrate.report.html.report import report_page
from migrate.report.pictures import delta_inks, srgb_codes
from migrate.source import SourceFile, Span
from tests.report.report_files import HOSTILE, demo_moved, demo_page, hostile_source

VOID = {"br", "hr", "img", "input", "link", "meta"}


class Tree(HTMLParser):
    """Collects elements and checks that they nest."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in ("script", "style"):
            self.text.append(data)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.found if name == tag]


def test_elements_nest_and_ids_are_unique() -> None:
    tree = Tree(demo_page())
    assert tree.open == []
    ids = [a["id"] for _, a in tree.found if "id" in a]
    assert len(ids) == len(set(ids))
    targets = {a["href"][1:] for a in tree.all("a") if a["href"]}
    assert targets and targets <= set(ids)


def test_nothing_is_asked_of_a_network() -> None:
    tree = Tree(demo_page())
    for tag, attributes in tree.found:
        for key in ("src", "href", "srcset", "poster", "action"):
            value = attributes.get(key)
            assert value is None or value.startswith(("data:", "#")), (tag, value)
    assert "url(" not in demo_page() and "@import" not in demo_page()


def test_the_policy_names_exactly_the_style_and_the_script_of_the_page() -> None:
    page = demo_page()
    policy = next(m["content"] for m in Tree(page).all("meta") if m.get("http-equiv"))
    for kind in ("style", "script"):
        bodies = re.findall(rf"<{kind}>(.*?)</{kind}>", page, re.S)
        assert len(bodies) == 1
        digest = base64.b64encode(hashlib.sha256(bodies[0].encode()).digest()).decode()
        assert f"{kind}-src 'sha256-{digest}'" in (policy or "")
    assert " style=" not in page and " onclick=" not in page


def test_the_demo_stays_far_below_six_megabytes() -> None:
    assert len(demo_page().encode()) < 2_000_000


def test_every_style_has_its_grade_its_figures_and_its_text() -> None:
    moved, _ = demo_moved()
    page, text = demo_page(), "".join(Tree(demo_page()).text)
    for k, style in enumerate(moved.styles):
        article = page[page.index(f'id="style-{k}"') :]
        article = article[: article.index("</article>")]
        assert f'class="grade {style.grade}"' in article and f">{style.name}</h3>" in article
        assert ("difference" in article) == (style.grade != "same")
    assert "Nothing. Every style came out same or close." in text


def test_a_picture_of_the_page_is_the_light_of_the_frames() -> None:
    moved, options = demo_moved()
    gallery = gallery_of(moved, options)
    assert gallery is not None and gallery.after is not None
    shown = next(s for s in gather(moved, options).styles if s.style.name == "harbour_watch")
    for played in shown.played:
        scene = playable(scene_named(played.scene))
        for plot in played.plots[:2]:
            reading = gallery.before if plot.side == "before" else gallery.after
            frames = seen(frames_of(reading.lifted["harbour_watch"], reading, scene), scene.rate)
            drawn = np.asarray(Image.open(io.BytesIO(plot.png)).convert("RGB"))
            assert drawn.shape == frames.shape == (round(played.seconds * 50), played.pixels, 3)
            for t, i in ((0, 0), (30, 5), (40, 60), (len(frames) - 1, 131)):
                assert drawn[t, i].tolist() == srgb_codes(frames[t, i] / 255.0).tolist()


def test_the_difference_picture_keeps_the_largest_of_its_rows() -> None:
    moved, options = demo_moved()
    text = moved.text.replace(b"sway<LAMP_OIL, duty<255, 90, 0>", b"sway<LAMP_OIL, duty<255, 220, 0>")
    assert text != moved.text
    styles = tuple(replace(s, grade="changed") for s in moved.styles if s.name == "ninth_lamp")
    edited = replace(moved, text=text, styles=styles)
    gallery = gallery_of(edited, options)
    assert gallery is not None
    pair = gallery.pair("ninth_lamp", scene_named("probe"))
    assert pair is not None and pair.delta is not None
    plot = gather(edited, options).styles[0].played[0].plots[2]
    drawn = np.asarray(Image.open(io.BytesIO(plot.png)).convert("RGB"))
    frame, pixel = np.unravel_index(int(pair.delta.argmax()), pair.delta.shape)
    row = int(frame) // 5
    assert drawn[row, pixel].tolist() == delta_inks(pair.delta[row * 5 : row * 5 + 5, pixel].max()).tolist()
    assert drawn[row, pixel].sum() > 300


def test_of_a_same_style_one_side_is_drawn_and_the_page_says_so() -> None:
    moved, options = demo_moved()
    shown = {s.style.name: s for s in gather(moved, options).styles}
    for style in moved.styles:
        assert {len(p.plots) for p in shown[style.name].played} == ({1} if style.grade == "same" else {3})
    assert "one drawing stands for both sides" in demo_page()


def test_past_the_pages_size_pictures_are_left_out_and_the_page_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    moved, options = demo_moved()
    monkeypatch.setattr("migrate.report.html.facts.MOST_BYTES", 20_000)
    facts = gather(moved, options)
    drawn = sum(len(p.png) for s in facts.styles for played in s.played for p in played.plots)
    assert drawn < 100_000 < MOST_BYTES and any(s.left_out for s in facts.styles)
    assert "rehilt show draws them" in report_page(moved, options)


def test_markup_in_names_labels_and_comments_stays_text() -> None:
    options = Options("wick3")
    moved = move(hostile_source(), options)
    assert [s.name for s in moved.styles] == ["quay_light"]
    styles = tuple(replace(s, name=HOSTILE, notes=(HOSTILE,), grade="kept") for s in moved.styles)
    told = (Diagnostic("x", "error", Span(0, 3), HOSTILE, HOSTILE),)
    for page in (report_page(moved, options), report_page(replace(moved, styles=styles, diagnostics=told), options)):
        tree = Tree(page)
        assert len(tree.all("script")) == 1
        assert not any("onerror" in attributes for _, attributes in tree.found)
        assert HOSTILE in "".join(tree.text)


def test_a_file_that_cannot_be_read_still_has_a_report() -> None:
    source = SourceFile("torn.h", b"using a = \x00rgb<1, 2")
    options = Options("wick3")
    text = "".join(Tree(report_page(move(source, options), options)).text)
    assert "torn.h" in text and "Left to do by hand" in text


def test_what_is_left_to_do_names_each_style_and_each_error() -> None:
    moved, options = demo_moved()
    styles = tuple(replace(s, grade=g) for s, g in zip(moved.styles, ("changed", "kept", "refused"), strict=False))
    told = (Diagnostic("missing-close", "error", Span(0, 1), "no > here", "add one"),)
    page = report_page(replace(moved, styles=styles, diagnostics=told), options)
    todo = page[page.index('id="by-hand"') : page.index('id="styles-list"')]
    assert all(f">{s.name}</a>" in todo for s in styles)
    assert "line 1: no &gt; here (add one)" in todo


def test_a_refused_style_stands_once_among_what_is_left_to_do() -> None:
    text = (
        b"#define WICK_GENERATION 2\n#include <wick2.h>\n"
        b"using eel = power_sleeve<clash_sleev<rgb<6, 16, 10>, rgb<40, 120, 64>>, 160, 400>;\n"
        b"using stall = power_sleeve<rgb<300, 0, 0>, 160, 400>;\n"
        b"using awning = power_sleeve<rgb<300, 0, 0>, 200, 400>;\n"
        b"wick_slots slots = {\n"
        b'  slot<eel>("eel", "Eel"), slot<stall>("quay", "Stall"), slot<awning>("quay", "Awning"),\n'
        b'  slot<bollard>("quay", "Bollard"),\n'
        b"};\n"
    )
    options = Options("wick3")
    page = report_page(move(SourceFile("quay.h", text), options), options)
    at = page.index('<ul class="todo">')
    todo = Tree(page[at : page.index("</ul>", at)]).text
    assert "".join(todo).replace("\n", "") == (
        "eel was not moved; mend what the message names: line 3: `clash_sleev` is no construct of wick2 and no name of "
        "this file (did you mean `clash_sleeve` or `blast_sleeve` or `collar_sleeve`?)"
        "stall was not moved; mend what the message names: line 4: `red` of `rgb` must be 0 to 255; it is 300"
        "awning was not moved; mend what the message names: line 5: `red` of `rgb` must be 0 to 255; it is 300"
        "line 8: no style `bollard` in this file"
    )


def test_false_friends_come_from_the_packs_with_their_lines() -> None:
    moved, options = demo_moved()
    friends = {f.name: f for f in gather(moved, options).friends}
    assert friends["rgb"].count > 20 and "duties" in friends["rgb"].difference
    line = moved.source.line_text(friends["bands"].line)
    assert "bands<" in line


def test_the_caution_stands_by_every_player_with_the_count_of_flashes() -> None:
    page = demo_page()
    players = page.count("data-play>") + page.count("data-play ")
    assert players == page.count('role="note"') == len(demo_moved()[0].styles)
    assert page.count("Local codes, the venue and licensed practice come before") == players
    gale = page[page.index(">gale_lantern</h3>") :]
    assert "over the 3 of WCAG 2.2" in gale[: gale.index("</article>")]
    oil = page[page.index(">lamp_oil</h3>") :]
    assert "within the 3 of WCAG 2.2" in oil[: oil.index("</article>")]
