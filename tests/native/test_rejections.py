"""What the generations reject fails to compile, at its line, with a sentence that can be read."""

from __future__ import annotations

import pytest
from native_bench import GRAMMARS, WICK1, WICK2

from migrate.native import GenerationBuild, Limits, Toolchain, check_syntax
from migrate.source import SourceFile

_MANY = Limits(messages=1000)
_P, _Q, _SLEEVE = "rgb<1,2,3>", "rgb<4,5,6>", "clash_sleeve<rgb<1,2,3>, rgb<4,5,6>>"
_POWER = f"power_sleeve<{_P}, 1, 1>"
_PAINT_A, _PAINT_B = "argument A must be a paint", "argument B must be a paint"

_WICK2 = {
    "rgb<256,0,0>": "rgb: R must be 0 to 255",
    "rgb<0,-1,0>": "rgb: G must be 0 to 255",
    "rgb<0,0,1000>": "rgb: B must be 0 to 255",
    "rgb<1,2>": "wrong number of template arguments",
    "rgb<1,2,3,4>": "wrong number of template arguments",
    f"sway<{_P}, {_Q}, 0>": "sway: MS must be 1 to 65535",
    f"sway<{_P}, {_Q}, 65536>": "sway: MS must be 1 to 65535",
    f"sway<{_P}, {_Q}>": "wrong number of template arguments",
    f"sway<{_SLEEVE}, {_Q}, 9>": _PAINT_A,
    f"sway<{_P}, {_SLEEVE}, 9>": _PAINT_B,
    f"sway<{_P}, 255, 9>": "type/value mismatch",
    f"sway<{_P}, tape1::plain<1>, 9>": _PAINT_B,
    f"sway<{_P}, {_Q}, {_P}>": "type/value mismatch",
    f"flip<{_P}, {_Q}, 0>": "flip: MS must be 1 to 65535",
    f"flip<int, {_Q}, 9>": _PAINT_A,
    f"flutter<{_P}, {_Q}, 0>": "flutter: HZ must be 1 to 1000",
    f"flutter<{_P}, {_Q}, 1001>": "flutter: HZ must be 1 to 1000",
    f"dapple<{_P}, {_Q}, 0>": "dapple: HZ must be 1 to 1000",
    f"dapple<{_P}, {_POWER}>": _PAINT_B,
    f"roam<{_P}, {_Q}, -1>": "roam: PX must be 0 to 65535",
    f"roam<{_P}, {_Q}>": "wrong number of template arguments",
    f"bands<0, 1, {_P}>": "bands: PX must be 1 to 65535",
    f"bands<1, 32768, {_P}>": "bands: PXS must be -32768 to 32767",
    "bands<4, 1>": "bands: at least one paint must follow PX and PXS",
    f"bands<4, 1, {_P}, {_SLEEVE}>": "every one of the paints must be a paint",
    "ramp<>": "ramp: there must be at least one paint",
    f"ramp<{_P}, {_POWER}>": "every one of the paints must be a paint",
    f"hearth<{_P}, {_Q}, 0>": "hearth: PX must be 1 to 65535",
    f"hearth<{_SLEEVE}, {_Q}>": _PAINT_A,
    f"hark<{_P}, {_SLEEVE}>": _PAINT_B,
    f"whirl<{_P}, {_Q}, 65536>": "whirl: DPS must be 0 to 65535",
    f"dim<{_P}, 101>": "dim: PCT must be 0 to 100",
    f"dim<{_P}, -1>": "dim: PCT must be 0 to 100",
    f"dim<{_SLEEVE}, 50>": "dim: A must be a paint",
    f"from_tape<{_P}>": "from_tape: PAINT must be a wick 1 paint",
    "from_tape<tape1::speckle<1, 2, 256>>": "ODDS must be 0 to 255",
    "from_tape<tape1::plain<0x1000000>>": "C must be a colour 0x000000 to 0xFFFFFF",
    f"clash_sleeve<{_P}, {_Q}, 65536>": "clash_sleeve: MS must be 0 to 65535",
    f"clash_sleeve<{_P}, {_SLEEVE}>": "the paint of a sleeve must be a paint",
    f"clash_sleeve<{_POWER}, {_P}>": "IN must not be a power_sleeve: the power stands outermost",
    f"clash_sleeve<int, {_P}>": "IN must be a paint or a sleeve of wick 2",
    f"clash_sleeve<{_P}>": "wrong number of template arguments",
    f"blast_sleeve<{_P}, {_Q}, -1>": "blast_sleeve: PX must be 0 to 65535",
    f"blast_sleeve<{_P}, {_Q}, 9, -1>": "blast_sleeve: MS must be 0 to 65535",
    f"glare_sleeve<{_P}, {_Q}, -1>": "glare_sleeve: MS must be 0 to 65535",
    f"lock_sleeve<{_P}, {_Q}, {_SLEEVE}>": "lock_sleeve: DRAG must be a paint",
    f"lock_sleeve<{_P}, {_Q}, {_Q}, -1>": "lock_sleeve: PX must be 0 to 65535",
    f"melt_sleeve<{_P}, {_Q}, int, 3>": "melt_sleeve: B must be a paint",
    f"melt_sleeve<{_P}, {_Q}, {_Q}, 65536>": "melt_sleeve: PX must be 0 to 65535",
    f"melt_sleeve<{_P}, {_Q}, {_Q}>": "wrong number of template arguments",
    f"collar_sleeve<{_P}, {_Q}, -1>": "collar_sleeve: PX must be 0 to 65535",
    f"edge_sleeve<{_P}, {_Q}, 65536>": "edge_sleeve: PX must be 0 to 65535",
    f"power_sleeve<{_P}, -1, 1>": "power_sleeve: UP_MS must be 0 to 65535",
    f"power_sleeve<{_P}, 1, 65536>": "power_sleeve: DOWN_MS must be 0 to 65535",
    f"power_sleeve<{_POWER}, 1, 1>": "IN must not be a power_sleeve: the power stands outermost",
    "power_sleeve<int, 1, 1>": "power_sleeve: IN must be a paint or a sleeve of wick 2",
}
_WICK1 = {
    "tape<plain<0x1000000> >": "C must be a colour 0x000000 to 0xFFFFFF",
    "tape<plain<-1> >": "C must be a colour 0x000000 to 0xFFFFFF",
    "tape<throb<0x1000000, 2, 3> >": "A must be a colour 0x000000 to 0xFFFFFF",
    "tape<throb<1, 0x1000000, 3> >": "B must be a colour 0x000000 to 0xFFFFFF",
    "tape<throb<1, 2, 0> >": "TICKS must be 1 to 65535",
    "tape<throb<1, plain<2>, 3> >": "type/value mismatch",
    "tape<throb<1, 2> >": "wrong number of template arguments",
    "tape<flip<1, 2, 65536> >": "TICKS must be 1 to 65535",
    "tape<jitter<-1, 2> >": "A must be a colour 0x000000 to 0xFFFFFF",
    "tape<speckle<1, 2, 256> >": "ODDS must be 0 to 255",
    "tape<speckle<1, 2, -1> >": "ODDS must be 0 to 255",
    "tape<barber<1, 2, 0, 1> >": "PX must be 1 to 65535",
    "tape<barber<1, 2, 3, 32768> >": "RATE must be minus 32768 to 32767",
    "tape<fade_along<1, -2> >": "B must be a colour 0x000000 to 0xFFFFFF",
    "tape<hearth<1, 2, 3> >": "wrong number of template arguments",
    "tape<meter<-1, 2> >": "A must be a colour 0x000000 to 0xFFFFFF",
    "tape<whirl<1, 2, 450> >": "wrong number of template arguments",
    "tape<collar<int, 1, 2> >": "PAINT must be a paint",
    "tape<collar<0xFF0000, 1, 2> >": "type/value mismatch",
    "tape<collar<plain<1>, 1, 0> >": "PX must be 1 to 65535",
    "tape<collar<plain<1>, 0x1000000, 1> >": "C must be a colour 0x000000 to 0xFFFFFF",
    "tape<0xFF0000>": "type/value mismatch",
    "tape<tape<plain<1> > >": "BASE must be a paint",
    "tape<int>": "BASE must be a paint",
    "tape<plain<1>, 0x1000000>": "CLASH must be a colour 0x000000 to 0xFFFFFF",
    "tape<plain<1>, 1, -1>": "BLAST must be a colour 0x000000 to 0xFFFFFF",
    "tape<plain<1>, 1, 1, 0x1000000>": "LOCK must be a colour 0x000000 to 0xFFFFFF",
    "tape<plain<1>, 1, 1, 1, -1>": "UP must be 0 to 65535",
    "tape<plain<1>, 1, 1, 1, 1, 65536>": "DOWN must be 0 to 65535",
    "tape<plain<1>, 1, 1, 1, 1, 1, 1>": "type/value mismatch",
    "tape<plain<1>, plain<2> >": "type/value mismatch",
}
_BATCH = 12


def _said(lines: list[str], build: GenerationBuild, chain: Toolchain) -> dict[int, str]:
    """The errors at each line of a config, joined."""
    config = "\n".join(lines) + "\n"
    source = SourceFile("config.h", config.encode())
    out: dict[int, str] = {}
    for one in check_syntax(config.encode(), build, toolchain=chain, limits=_MANY):
        if one.severity == "error":
            line = source.place(one.span.start)[0]
            out[line] = out.get(line, "") + one.message + "\n"
    return out


def _missed(cases: list[tuple[str, str]], head: str, form: str, build: GenerationBuild, chain: Toolchain) -> list[str]:
    """The bad expressions whose line does not say the sentence; each stands on a line of its own."""
    lines = [head] + [form.format(text, n) for n, (text, _) in enumerate(cases)]
    said = _said(lines, build, chain)
    return [
        f"{text}: {said.get(n + 2)}" for n, (text, sentence) in enumerate(cases) if sentence not in said.get(n + 2, "")
    ]


def _batches(cases: dict[str, str]) -> list[list[tuple[str, str]]]:
    listed = list(cases.items())
    return [listed[n : n + _BATCH] for n in range(0, len(listed), _BATCH)]


@pytest.mark.parametrize("cases", _batches(_WICK2), ids=lambda cases: cases[0][0])
def test_wick2_rejects_with_a_sentence_where_the_style_is_named(cases: list[tuple[str, str]], chain: Toolchain) -> None:
    assert _missed(cases, "#include <wick2.h>", "using x{1} = {0};", WICK2, chain) == []


@pytest.mark.parametrize("cases", _batches(_WICK1), ids=lambda cases: cases[0][0])
def test_wick1_rejects_with_a_sentence_where_the_style_is_named(cases: list[tuple[str, str]], chain: Toolchain) -> None:
    assert _missed(cases, "#include <wick1.h>", "typedef {0} x{1};", WICK1, chain) == []


def test_slot_tables_take_styles_only(chain: Toolchain) -> None:
    wick1 = ["#include <wick1.h>", 'wick_slot slots[] = { SLOT(plain<1>, "a"),', 'SLOT(int, "b") };']
    said = _said(wick1, WICK1, chain)
    assert "STYLE must be a tape" in said[2] and "STYLE must be a tape" in said[3]
    wick2 = ["#include <wick2.h>", "wick_slots slots = {", 'slot<tape1::plain<1>>("a", "A"),', 'slot<int>("b", "B") };']
    said = _said(wick2, WICK2, chain)
    assert "slot: STYLE must be a style" in said[3] and "slot: STYLE must be a style" in said[4]


def test_a_seventh_slot_that_is_a_type_is_refused_where_the_tape_is_used(chain: Toolchain) -> None:
    config = [
        "#include <wick1.h>",
        "typedef tape<plain<1>, 1, 1, 1, 1, 1, int> long_tape;",
        "int size = sizeof(long_tape);",
    ]
    assert "tape takes one to six slots" in _said(config, WICK1, chain)[3]


@pytest.mark.parametrize("first, second", [("wick1.h", "wick2.h"), ("wick2.h", "wick1.h")])
def test_the_two_headers_refuse_each_other(first: str, second: str, chain: Toolchain) -> None:
    both = GenerationBuild(tuple(GRAMMARS / name / "include" for name in ("wick1", "wick2")), "c++11")
    said = _said([f"#include <{first}>", f"#include <{second}>"], both, chain)
    assert "do not include wick1.h beside it" in said[2]


def test_wick2_is_not_c_plus_plus_98(chain: Toolchain) -> None:
    old = GenerationBuild(WICK2.include_dirs, "c++98")
    assert _said(["#include <wick2.h>", "using x = rgb<1, 2, 3>;"], old, chain)
