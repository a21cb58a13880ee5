"""A style that holds no construct of its own, and is made of a macro or another name, is listed and dated like any."""

from __future__ import annotations

from pathlib import Path

from migrate.pipeline import Options, move
from migrate.source import SourceFile
from migrate.spotting import SpotOptions, Spotted, spot

FACTS = "constexpr int blade_pixels = 132;\nconstexpr int pixels_per_metre = 144;\n"
MACROS = (
    "#define GLOW(c) power_sleeve<sway<c, rgb<0, 0, 0>, 900>, 300, 450>\n"
    "#define LAMP(name, c) using name = power_sleeve<sway<c, rgb<0, 0, 0>, 900>, 300, 450>;\n"
    "#define STICK(name, style) using name = style;\n"
    "#define RED rgb<255, 0, 0>\n"
    "#define FAST 300\n"
)
STYLES = {
    "tide": "using tide = GLOW(RED);\n",
    "eddy": "typedef GLOW(RED) eddy;\n",
    "foam": "LAMP(foam, RED)\n",
    "spray": "LAMP(spray, rgb<0, 9, 0>)\n",
    "surf": "STICK(surf, GLOW(RED))\n",
    "again": "using again = tide;\n",
    "once_more": "using once_more = again;\n",
    "glow (slot)": 'wick_slots slots = {\n  slot<GLOW(RED)>("glow", "Glow"),\n};\n',
}
CONFIG = f"#include <wick2.h>\n{MACROS}{FACTS}{''.join(STYLES.values())}"


def spotted(text: str, **given: object) -> Spotted:
    return spot(SourceFile("a.h", text.encode()), SpotOptions(**given))  # type: ignore[arg-type]


def test_each_is_listed_with_its_line_and_dated() -> None:
    found = spotted(CONFIG, measure=False)
    listed = {p.piece.name: p for p in found.dating.pieces}
    assert list(listed) == ["GLOW", "LAMP", "RED", *STYLES]
    for name, text in STYLES.items():
        piece = listed[name]
        assert (piece.reading, piece.basis, piece.whole) == ("wick2", "declared", ("wick2", "wick3")), name
        assert CONFIG.encode().find(text.encode()) <= piece.piece.name_span.start, name
    assert found.exit == 0 and [d.code for d in found.diagnostics] == []


def test_what_is_listed_is_what_is_moved() -> None:
    moved = move(SourceFile("a.h", CONFIG.encode()), Options("wick3", prove=False))
    listed = {p.piece.name for p in spotted(CONFIG, measure=False).dating.pieces}
    assert {s.name for s in moved.styles} == set(STYLES) and set(STYLES) <= listed


def test_the_macro_dates_the_style_that_calls_it() -> None:
    macro = "#define GLOW(c) wick::pile<c, wick::power<wick::wipe<300>, wick::wipe<300>>>\n"
    pile = f"{macro}using tide = GLOW(wick::css::navy);\n"
    piece = next(p for p in spotted(pile, measure=False).dating.pieces if p.piece.name == "tide")
    assert (piece.reading, piece.whole) == ("wick3", ("wick3",))


def test_the_macro_of_another_file_does_so_too(tmp_path: Path) -> None:
    (tmp_path / "glow.h").write_text(MACROS, "utf-8")
    path = tmp_path / "quay.h"
    path.write_text(f'#include <wick2.h>\n#include "glow.h"\n{FACTS}using tide = GLOW(RED);\n', "utf-8")
    found = spot(SourceFile(str(path), path.read_bytes()), SpotOptions(measure=False))
    assert [(p.piece.name, p.reading, p.whole) for p in found.dating.pieces] == [("tide", "wick2", ("wick2", "wick3"))]


def test_a_call_that_does_not_fit_its_macro_is_told() -> None:
    found = spotted(CONFIG.replace("using tide = GLOW(RED)", "using tide = GLOW(RED, RED)"), measure=False)
    assert "`GLOW` takes 1 argument, 2 given" in [d.message for d in found.diagnostics] and found.exit == 2


def test_a_style_by_a_macro_is_measured_where_its_readings_differ() -> None:
    text = f"{MACROS}{FACTS}using tide = GLOW(rgb<90, 60, 30>);\nusing calm = GLOW(SEA);\n#define SEA rgb<90, 60, 30>\n"
    told = {d.found.piece.piece.name: d.verdict for d in spotted(text).doubts}
    assert told["calm"] == told["tide"] == "false friend"


def test_names_that_stand_for_nothing_of_ours_are_left_out() -> None:
    others = "using pace = FAST;\nusing loop_a = loop_b;\nusing loop_b = loop_a;\nNOTE(red, RED)\n"
    text = f"#include <wick2.h>\n{MACROS}{FACTS}{others}"
    assert [p.piece.name for p in spotted(text, measure=False).dating.pieces][:3] == ["GLOW", "LAMP", "RED"]
    assert {"pace", "loop_a", "loop_b"}.isdisjoint(p.piece.name for p in spotted(text, measure=False).dating.pieces)


def test_a_name_of_the_file_is_no_construct_of_another_generation() -> None:
    text = f"#include <wick2.h>\n{FACTS}using plain = power_sleeve<rgb<1, 2, 3>, 300, 450>;\nusing again = plain;\n"
    found = spotted(text, measure=False)
    assert [(p.piece.name, p.reading) for p in found.dating.pieces] == [("plain", "wick2"), ("again", "wick2")]
    assert found.diagnostics == ()
