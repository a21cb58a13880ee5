"""The language reference: made from the packs, whole, and true: every example lifts and every link leads somewhere."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from migrate.cli import main
from migrate.diagnostics import Diagnostic
from migrate.packs.library import library
from migrate.packs.model import Construct
from migrate.report.markdown import cells, to_html
from migrate.report.reference_examples import Stage, lift_example, own
from migrate.report.reference_page import page

NAMES = tuple(library())
OWN = [(name, construct) for name in NAMES for construct in own(library()[name])]


def known_as(pair: tuple[str, Construct]) -> str:
    return f"{pair[0]} {pair[1].sort} {pair[1].name}"


@pytest.mark.parametrize("pair", OWN, ids=known_as)
def test_every_construct_has_an_example_and_every_example_lifts(pair: tuple[str, Construct]) -> None:
    name, construct = pair
    assert construct.examples
    for text in construct.examples:
        lifted = lift_example(text, construct, library()[name])
        assert not isinstance(lifted, Diagnostic), lifted
        assert text.split("<", 1)[0] == construct.name or construct.name.endswith("*")


@pytest.mark.parametrize("pair", OWN, ids=known_as)
def test_every_example_can_be_put_into_a_style(pair: tuple[str, Construct]) -> None:
    name, construct = pair
    stage = Stage(library()[name])
    for text in construct.examples:
        staged = stage.staged(text, construct)
        assert staged is not None and text in staged


made = cache(page)


@pytest.mark.parametrize("name", NAMES)
def test_the_page_shows_every_construct_with_its_examples_and_traps(name: str) -> None:
    html = made(name)
    for construct in own(library()[name]):
        shown = construct.name.replace("&", "&amp;")
        assert f"<code>{shown}</code>" in html
        for text in construct.examples:
            assert text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;") in html
        for other, what in construct.differs:
            assert f"Trap, {other}: </strong>{what}." in html


@pytest.mark.parametrize("name", NAMES)
def test_links_lead_somewhere_and_anchors_are_unique(name: str) -> None:
    html = made(name)
    ids = re.findall(r' id="([^"]+)"', html)
    assert len(ids) == len(set(ids)), sorted(i for i in set(ids) if ids.count(i) > 1)
    for target in re.findall(r' href="#([^"]+)"', html):
        assert target in ids, target


@pytest.mark.parametrize("name", NAMES)
def test_the_page_needs_nothing_from_outside(name: str) -> None:
    html = made(name)
    assert not re.search(r'(src|href)="(https?:|//)', html)
    assert not re.search(r"url\(|@import|<script|<link", html)
    for source in re.findall(r'<img src="([^"]*)"', html):
        assert source.startswith("data:image/png;base64,")


@pytest.mark.parametrize("name", NAMES)
def test_every_drawn_example_has_a_counterpart_in_every_other_generation(name: str) -> None:
    html = made(name)
    for drawn in re.findall(r'<dl class="others">(.*?)</dl>', html):
        assert re.findall(r"<dt>(\w+) ", drawn) == [n for n in NAMES if n != name]


def test_the_command_writes_the_pages(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["packs", "page", NAMES[0], "-o", str(tmp_path)])
    assert result.exit_code == 0, result.output
    assert (tmp_path / f"{NAMES[0]}.html").read_text("utf-8") == made(NAMES[0])


def test_the_command_says_which_generations_there_are() -> None:
    result = CliRunner().invoke(main, ["packs", "page", "wick9"])
    assert result.exit_code == 2
    assert all(name in result.output for name in NAMES)


def test_markdown_tables_keep_bars_within_code() -> None:
    assert cells("| iris | `abs(x | y)` | a \\| b |") == ["iris", "`abs(x | y)`", "a | b"]


def test_markdown_blocks() -> None:
    table = "| a | b |\n| --- | --- |\n| 1 | **2** |\n"
    text = f"## One `x`\n\nWords <here>\ngo on.\n{table}\n* first\n  and more\n* second\n"
    html = to_html(text, "p-")
    assert '<h3 id="p-one-x">One <code>x</code></h3>' in html
    assert "<p>Words &lt;here&gt; go on.</p>" in html
    assert '<th scope="col">a</th>' in html and "<td><strong>2</strong></td>" in html
    assert "<ul><li>first and more</li><li>second</li></ul>" in html
