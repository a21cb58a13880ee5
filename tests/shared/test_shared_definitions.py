"""What is kept from file to file changes the time that a move takes, and no byte of what comes of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from migrate import grading, lowering, pipeline, shared, writing
from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.packs import signature
from migrate.packs.library import library
from migrate.pipeline import Moved, Options, move
from migrate.recent import Recent
from migrate.shared import in_one_line, tokens_of
from migrate.source import SourceFile

CORPORA = Path(__file__).resolve().parents[2] / "corpora"
NAMES = list(library())
HEAD = "#include <wick2.h>\nconstexpr int blade_pixels = 132;\nconstexpr int pixels_per_metre = 144;\n"
PLAIN = "using tide = power_sleeve<clash_sleeve<sway<rgb<255, 0, 0>, rgb<0, 0, 255>, 800>, rgb<9, 9, 9>>, 300, 450>;\n"
NOTED = PLAIN.replace("rgb<0,", "/* the low lamp */ rgb<0,").replace("tide", "ebb")
BROKEN = PLAIN.replace(", rgb<9", ",\n    rgb<9").replace("tide", "flood")


@pytest.fixture
def caches(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Memories of the usual size, all of them empty."""
    _remember(monkeypatch, shared.MOST)
    yield


def _remember(monkeypatch: pytest.MonkeyPatch, most: int) -> None:
    for module, name in (
        (shared, "_KEPT"), (lowering, "_COVERS"), (writing, "_TEXTS"), (grading, "_MEANINGS"),
        (grading, "_ROUNDINGS"), (signature, "_KNOWN"),
    ):  # fmt: skip
        monkeypatch.setattr(module, name, Recent(most))


def moved(text: str, target: str = NAMES[2]) -> Moved:
    return move(SourceFile("quay.h", text.encode()), Options(target, prove=False))


def told(found: Moved) -> object:
    return found.text, found.styles, found.diagnostics, found.edits


def alone(monkeypatch: pytest.MonkeyPatch, text: str, target: str = NAMES[2]) -> object:
    with monkeypatch.context() as patch:
        _remember(patch, 0)
        return told(moved(text, target))


@pytest.mark.parametrize("texts", [(PLAIN, NOTED, BROKEN), (BROKEN, PLAIN, NOTED), (NOTED, BROKEN, PLAIN)])
def test_copies_keep_their_own_comments_and_layout(
    texts: tuple[str, ...], caches: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    for text in texts:
        assert told(moved(HEAD + text)) == alone(monkeypatch, HEAD + text)


def test_copies_in_one_file_keep_their_own_comments(caches: None, monkeypatch: pytest.MonkeyPatch) -> None:
    for text in (PLAIN + NOTED + BROKEN, NOTED + PLAIN + PLAIN.replace("tide", "neap"), BROKEN + NOTED):
        found = moved(HEAD + text)
        assert found.text.count(b"the low lamp") == text.count("the low lamp")
        assert told(found) == alone(monkeypatch, HEAD + text)


def test_a_name_of_the_file_is_never_taken_for_a_construct(caches: None, monkeypatch: pytest.MonkeyPatch) -> None:
    moved(HEAD + PLAIN)
    own = "template<int R, int G, int B> using rgb = ::rgb<R, G, B>;\n"
    for text in (HEAD + own + PLAIN, HEAD + "#define sway flip\n" + PLAIN):
        assert told(moved(text)) == alone(monkeypatch, text)


def test_tokens_that_blanks_part_are_not_one(caches: None, monkeypatch: pytest.MonkeyPatch) -> None:
    good = moved(HEAD + PLAIN)
    assert good.exit == 0
    parted = (HEAD + PLAIN).replace("800", "8 00")
    assert told(moved(parted)) == alone(monkeypatch, parted)
    assert moved(parted).exit == 2


def test_the_same_text_is_read_by_each_generation(caches: None, monkeypatch: pytest.MonkeyPatch) -> None:
    style = "using tide = sway<rgb<128, 40, 10>, rgb<0, 0, 255>, 800>;\n"
    texts = (HEAD + style, "#include <wick/pile.h>\nusing namespace wick;\n" + style)
    for text in (*texts, *texts):
        assert told(moved(text, NAMES[3])) == alone(monkeypatch, text, NAMES[3])


@pytest.mark.parametrize("generation", NAMES)
def test_the_corpora_move_alike_with_and_without(
    generation: str, caches: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = NAMES[(NAMES.index(generation) + 1) % len(NAMES)]
    texts = [path.read_text("utf-8") for path in sorted((CORPORA / generation).glob("*.h"))]
    for text in texts:
        moved(text, target)
    for text in texts:
        assert told(moved(text, target)) == alone(monkeypatch, text, target)


def test_two_units_of_one_name_are_two(caches: None) -> None:
    """A bare grain of the older generation is per mille, one in millimetres is not."""
    style = 'using tide = score<ground<named<"red">>, veil<named<"white">, by<{}>>>;\n'
    head = "#include <wick/score.h>\n#include <wick/compat3.h>\nusing namespace wick;\n"
    options = Options(NAMES[3])
    for text in ("noise<kind<soft>, rate<hz<7>>, grain<mm<40>>>", "soft_noise<7, 40>"):
        found = pipeline.read(SourceFile("quay.h", (head + style.format(text)).encode()), options)
        assert not isinstance(found, Diagnostic)
        unit = "mm" if "mm" in text else "mil"
        assert found.lifted["tide"].raw.sheets[0].weight.grain == ir.Grain("length", ir.Length(40, unit))


def test_tokens() -> None:
    assert tokens_of(b"sway<rgb<1,2,3> /* a */,\n b // c\n, -80>") == b"sway<rgb<1,2,3>,b,-80>"
    assert tokens_of(b'named<"white">') == b'named<"white">'
    for text in (b'named<"antique white">', b"dim<a, (1 + 2)>", b"dim<a, 1 - -2>", b"dim<a,\\\n 3>", b"F(a)"):
        assert tokens_of(text) is None
    assert in_one_line("sway<a,b ,\n  /* c */ 80>") == "sway<a, b, 80>"
    assert in_one_line("dim<a,  1 + 2>") == "dim<a, 1 + 2>"
