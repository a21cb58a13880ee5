"""Laws of whole moves, text to text: idempotent, quiet at home, for any order of pack files, up and down again."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

import pytest
from budget import law
from generated_texts import file_of, styles
from hypothesis import given

import migrate.packs.library as packs
from migrate import lowering, pipeline, reading
from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.ir.dump import dump, rounding
from migrate.ir.walk import children
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.packs.reader import Draft, read_file
from migrate.pipeline import CLOSE_ROUNDING, Moved, Options, Reading, meaning, move, read
from migrate.source import SourceFile

CORPORA = Path(__file__).resolve().parents[2] / "corpora"
NAMES = tuple(library())
PAIRS = [(a, b) for a in NAMES for b in NAMES if a != b]


def moved(data: bytes, new: str) -> Moved:
    return move(SourceFile("law.h", data), Options(new, prove=False))


@pytest.mark.parametrize("name", NAMES)
def test_a_text_at_its_own_generation_is_untouched(name: str) -> None:
    @law(60)
    @given(styles(name))
    def run(text: str) -> None:
        data = file_of(library()[name], [text])
        result = moved(data, name)
        assert result.text == data
        assert [s.grade for s in result.styles] == ["same"]

    run()


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_moving_again_changes_nothing(old: str, new: str) -> None:
    @law(20)
    @given(styles(old))
    def run(text: str) -> None:
        once = moved(file_of(library()[old], [text]), new)
        again = moved(once.text, new)
        assert again.text == once.text
        assert {s.grade for s in again.styles} <= {"same"} or once.exit == 2, (text, once.text.decode())

    run()


@pytest.mark.parametrize("name", [n for n in NAMES if library()[n].takes])
def test_mixed_code_moves_to_its_own_generation_and_then_stays(name: str) -> None:
    @law(40)
    @given(styles(name, compat=True))
    def run(text: str) -> None:
        once = moved(file_of(library()[name], [text]), name)
        assert moved(once.text, name).text == once.text

    run()


# ---- the order of pack files ----------------------------------------------------------------------


@cache
def shuffled_library(seed: int) -> Mapping[str, Generation]:
    """The library as it would be if the folders' files were read in another order."""
    drafts: dict[str, Draft] = {}
    shuffle = random.Random(seed).shuffle
    folders = list(packs.pack_folders())
    shuffle(folders)
    for folder in folders:
        draft, paths = Draft(), sorted(folder.glob("*.pack"))
        shuffle(paths)
        for path in paths:
            read_file(draft, path)
        drafts[draft.header["name"]] = draft
    return MappingProxyType({name: packs.finish(name, drafts) for name in packs._by_age(drafts)})


@pytest.fixture
def _fresh() -> Iterator[None]:
    lowering._vocabulary.cache_clear()
    yield
    lowering._vocabulary.cache_clear()


def corpus(name: str) -> list[Path]:
    return sorted((CORPORA / name).glob("*.h"))


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize(("old", "new"), [(a, b) for a, b in PAIRS if abs(NAMES.index(a) - NAMES.index(b)) == 1])
def test_the_order_of_pack_files_does_not_matter(
    old: str, new: str, seed: int, monkeypatch: pytest.MonkeyPatch, _fresh: None
) -> None:
    paths = corpus(old)[:4]
    before = {path.name: moved(path.read_bytes(), new).text for path in paths}
    lowering._vocabulary.cache_clear()
    for stage in (pipeline, lowering, reading):
        monkeypatch.setattr(stage, "library", lambda *_: shuffled_library(seed))
    assert {path.name: moved(path.read_bytes(), new).text for path in paths} == before


# ---- up and down again ----------------------------------------------------------------------------


def read_as(data: bytes, name: str) -> Reading:
    found = read(SourceFile("law.h", data), Options(name, reading=name))
    assert not isinstance(found, Diagnostic)
    return found


def foreign_lengths(part: object, name: str) -> bool:
    """Whether a part has lengths in a unit in which the generation itself writes none."""
    generation = library()[name]
    native = [c for group in generation.constructs.values() for c in group if not c.compat]
    sorts = {s for c in native for p in c.parameters for s in p.sorts}
    own = {u.length for key, u in generation.units.items() if key in sorts}
    if isinstance(part, (ir.Length, ir.Speed)):
        return part.value != 0 and part.unit not in own
    return any(foreign_lengths(child, name) for child in children(part))


@pytest.mark.parametrize(("low", "high"), [("wick3", "wick4"), ("wick2", "wick3")])
def test_up_and_down_again_means_the_same_wherever_up_was_same(low: str, high: str) -> None:
    checked, wrong = 0, []
    for path in corpus(low):
        data = path.read_bytes()
        up = moved(data, high)
        down = moved(up.text, low)
        first, last = read_as(data, low), read_as(down.text, low)
        for style in (s.name for s in up.styles if s.grade == "same"):
            checked += 1
            forms = [meaning(r.lifted[style].raw, r.blade, False) for r in (first, last)]
            off = rounding(*forms)
            # An older generation's sleeve brings its pixels along, which the younger one's own units only come near.
            borrowed = foreign_lengths(first.lifted[style].raw, low)
            if off is None or off > (CLOSE_ROUNDING if borrowed else 0):
                wrong.append(f"{path.name}: {style}")
    assert checked, "no style of the corpus moves up as same: the law checks nothing"
    assert not wrong


@pytest.mark.parametrize(("low", "high"), [("wick3", "wick4"), ("wick2", "wick3")])
def test_generated_texts_go_up_and_down_again_with_their_meaning_where_up_was_same(low: str, high: str) -> None:
    @law(60)
    @given(styles(low))
    def run(text: str) -> None:
        data = file_of(library()[low], [text])
        up = moved(data, high)
        if [s.grade for s in up.styles] == ["same"]:
            first, last = read_as(data, low), read_as(moved(up.text, low).text, low)
            forms = [meaning(r.lifted["style_0"].raw, r.blade, False) for r in (first, last)]
            assert forms[0].key() == forms[1].key(), (text, up.text.decode())

    run()


def test_the_keys_of_dumps_tell_two_meanings_apart() -> None:
    """What the laws above lean on."""
    texts = ("rgb<1, 2, 3>", "rgb<1, 2, 4>")
    forms = [read_as(file_of(library()["wick2"], [f"dim<{t}, 50>"]), "wick2").lifted["style_0"].normal for t in texts]
    assert dump(forms[0]).key() != dump(forms[1]).key()
