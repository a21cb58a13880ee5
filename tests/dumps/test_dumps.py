"""Text dumps: each declaration and each bare fragment is dated and moved by itself, in one text of the same order."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from migrate.archive.model import Found, Job, Task
from migrate.archive.work import handle
from migrate.concrete.parse import parse
from migrate.dumps import config_spans
from migrate.packs.library import library
from migrate.pipeline import Moved, Options, move
from migrate.report.gallery import save_pictures
from migrate.report.html.facts import gather
from migrate.report.html.report import report_page
from migrate.report.showing import CannotShowError, find
from migrate.source import SourceFile

FACTS = "constexpr int blade_pixels = 132;\nconstexpr int pixels_per_metre = 144;\n"
TAPE = "typedef tape<plain<0xFF9A1E>, 0xFFFFFF> lamp;"
SLEEVE = "power_sleeve<from_tape<tape1::plain<0xFF0000> >, 300, 450>"
PILE = "pile<css::navy, on<ev::clash, css::white, burst<80>>, power<wipe<300>, wipe<300>>>"
AMBIGUOUS = "sway<rgb<0, 70, 200>, rgb<0, 35, 100>, 4000>"
DUMP = (
    f"The oldest first; it isn't all ours:\n\n{TAPE}\n\nand Marit's, for the new boards:\n"
    f"using lamp = {PILE};\n{FACTS}\n{SLEEVE}   // who had this one?\n\n{AMBIGUOUS}\n"
)


def moved(text: str, target: str = "wick4", **given: object) -> Moved:
    return move(SourceFile("shelf.txt", text.encode()), Options(target, prove=False, **given))  # type: ignore[arg-type]


def rows(result: Moved) -> list[tuple[str, int, str, str]]:
    return [(s.name, s.line, s.origin, s.grade) for s in result.styles]


def test_each_piece_is_dated_and_moved_by_itself() -> None:
    result = moved(DUMP)
    assert rows(result) == [
        ("lamp", 3, "wick1", "same"), ("lamp", 6, "wick3", "same"), ("fragment 1", 10, "wick2", "same"),
        ("fragment 2", 12, "unknown", "refused"),
    ]  # fmt: skip
    assert result.origin == "wick1, wick2, wick3"


def test_what_lies_between_stays_byte_for_byte_and_in_order() -> None:
    text = moved(DUMP).text.decode()
    kept = ["The oldest first; it isn't all ours:\n\ntypedef score<", " lamp;\n\nand Marit's, for the new boards:\n",
            f"\n{FACTS}\n", "   // who had this one?\n\n" + AMBIGUOUS + "\n"]  # fmt: skip
    places = [text.index(part) for part in kept]
    assert places == sorted(places)
    assert "tape<" not in text and "pile<" not in text and "sleeve" not in text


def test_what_cannot_be_dated_stays_with_its_reason_at_its_place() -> None:
    result = moved(DUMP)
    told = [(result.source.place(d.span.start), d.code, d.message) for d in result.diagnostics if d.severity == "error"]
    reason = "this can be read as wick2 and as wick3 and as wick4, and means something else in each"
    assert told == [((12, 1), "undeclared-generation", reason)]
    assert result.styles[-1].notes == (reason,)
    assert result.exit == 2


def test_a_second_move_changes_nothing() -> None:
    first = moved(DUMP).text
    assert moved(first.decode()).text == first


def test_a_dump_of_one_generation_moves_its_fragments_too() -> None:
    result = moved(f"{PILE}\n{PILE.replace('navy', 'teal')}\n")
    assert rows(result) == [("fragment 1", 1, "wick3", "same"), ("fragment 2", 2, "wick3", "same")]
    assert result.text.count(b"score<") == 2


def test_the_same_name_twice_is_two_styles() -> None:
    result = moved(f"using lamp = {PILE};\nusing lamp = {PILE.replace('navy', 'teal')};\n")
    assert rows(result) == [("lamp", 1, "wick3", "same"), ("lamp", 2, "wick3", "same")]
    assert result.text.count(b"score<") == 2 and b"pile" not in result.text


def test_what_hangs_together_by_name_is_dated_and_moved_together() -> None:
    dusk = "using dusk = sway<rgb<0, 70, 200>, css::navy, 4000>;\nusing mole = pile<dusk, power<cut<>, cut<>>>;\n"
    result = moved(f"{FACTS}{TAPE}\n{dusk}")
    assert [r[2:] for r in rows(result)] == [("wick1", "same"), ("wick3", "same")]
    assert b"wick::ground<dusk>" in result.text


def test_read_as_says_what_a_dump_does_not() -> None:
    result = moved(f"{AMBIGUOUS}\n{AMBIGUOUS.replace('4000', '500')}\n", reading="wick2")
    assert rows(result) == [("fragment 1", 1, "wick2", "same"), ("fragment 2", 2, "wick2", "same")]


def test_a_comment_above_says_it_for_one_piece_and_goes() -> None:
    result = moved(f"{TAPE}\n{FACTS}// rehilt: read as wick2\nusing bell = power_sleeve<rgb<1, 2, 3>, 300, 450>;\n")
    assert [r[2:] for r in rows(result)] == [("wick1", "same"), ("wick2", "same")]
    assert b"read as" not in result.text


def test_a_signal_and_a_layer_are_moved_and_graded() -> None:
    result = moved(f"lfo<sine, 900>\nveil<css::navy, k<500>>\n{PILE}\n")
    assert [r[3] for r in rows(result)] == ["same", "same", "same"]
    assert b"wick::period<wick::ms<900>>" in result.text


def test_going_down_and_up_again_brings_whole_lines_back() -> None:
    dump = f"old boards:\n{FACTS}using lamp = {PILE};\n{TAPE}\n"
    down = moved(dump, "wick2")
    assert b"rehilt: was wick3" in down.text
    up = moved(down.text.decode(), "wick3", reading="wick2")
    assert f"using lamp = {PILE};\n".encode() in up.text and b"rehilt: was" not in up.text


def test_a_line_that_holds_more_is_not_kept_beside_itself() -> None:
    result = moved(f"mine: using lamp = {PILE}; and so on\n{TAPE}\n{FACTS}", "wick2")
    assert b"rehilt: was wick3" not in result.text
    assert b"mine: using lamp = " in result.text and b"; and so on\n" in result.text


@pytest.mark.parametrize("encoding", ["utf-8", "latin-1", "utf-8-sig"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_encoding_and_line_ends_stay(encoding: str, newline: str) -> None:
    text = DUMP.replace("The oldest", "Die ältesten").replace("\n", newline)
    result = move(SourceFile("a.txt", text.encode(encoding)), Options("wick4", prove=False))
    out = result.text.decode(encoding)
    assert "Die ältesten" in out and out.count("\n") == out.count(newline)
    assert result.text.startswith(b"\xef\xbb\xbf") == (encoding == "utf-8-sig")


def test_nothing_that_can_be_dated_is_told_as_before() -> None:
    result = moved(f"{AMBIGUOUS}\n")
    assert result.origin is None and result.text == f"{AMBIGUOUS}\n".encode() and result.exit == 2


def test_a_declared_file_is_no_dump() -> None:
    text = f"#include <wick/pile.h>\nusing namespace wick;\n{FACTS}using lamp = {PILE};\n{TAPE}\n"
    assert [s.name for s in moved(text).styles][:1] == ["lamp"]
    assert moved(text).origin == "wick3"


def test_proofs_are_made_of_fragments(tmp_path: Path) -> None:
    wave = "blend<srgb<250, 20, 60>, srgb<0, 90, 200>, by<lfo<sine, period<ms<900>>>>, in<oklab>>"
    result = move(SourceFile("a.txt", f"{wave}\n{TAPE}\n{FACTS}".encode()), Options("wick3"))
    assert result.styles[0].figures is not None and result.styles[0].grade in ("close", "changed")


def test_a_haul_writes_a_dump_as_one_file_with_a_row_for_each_piece(tmp_path: Path) -> None:
    job = Job(Options("wick4"), str(tmp_path))
    done = handle(Task(0, Found("shelf.txt", "shelf.txt", data=DUMP.encode())), job)
    assert done.state == "moved" and [s.origin for s in done.styles] == ["wick1", "wick3", "wick2", "unknown"]
    assert (tmp_path / "shelf.txt").read_bytes() == moved(DUMP).text
    report = json.loads((tmp_path / "shelf.txt.move.json").read_text("utf-8"))
    assert [s["line"] for s in report["styles"]] == [3, 6, 10, 12]


def test_the_time_grows_with_the_number_of_pieces_and_not_faster() -> None:
    from time import process_time

    def taken(count: int) -> float:
        text = "".join(f"note {n}\n{PILE.replace('80', str(80 + n))}\n" for n in range(count)) + TAPE + "\n" + FACTS
        start = process_time()
        moved(text)
        return process_time() - start

    taken(5)
    assert taken(120) < 4 * 3 * taken(30)


# ---- whole configs, one behind the other ---------------------------------------------------------

THREE = (
    "#define WICK_GENERATION 3\n#include <wick/pile.h>\nusing namespace wick;\n" + FACTS
    + f"using lamp = {PILE};\nwick_slots slots = {{\n  slot<lamp>(\"lamp\", \"Lamp\"),\n}};\n"
)  # fmt: skip
TWO = (
    "// the ferry's, from the old boards\n#define WICK_GENERATION 2\n#include <wick2.h>\n" + FACTS
    + "using lamp = power_sleeve<rgb<255, 0, 0>, 300, 450>;\nusing buoy = power_sleeve<rgb<0, 99, 0>, 300, 450>;\n"
)  # fmt: skip
ONE = "#ifndef QUAY_H\n#define QUAY_H\n#include <wick1.h>\n" + FACTS.replace("constexpr", "const") + TAPE + "\n#endif\n"
CONFIGS = f"{THREE}\nMarit's, and it isn't ours:\n\n{TWO}\n{ONE}"


def test_whole_configs_pasted_one_behind_the_other_are_each_their_own() -> None:
    result = moved(CONFIGS)
    lines = [n for n, line in enumerate(CONFIGS.splitlines(), 1) if " lamp" in line or "using buoy" in line]
    assert rows(result) == [
        ("lamp", lines[0], "wick3", "same"), ("lamp", lines[1], "wick2", "same"), ("buoy", lines[2], "wick2", "same"),
        ("lamp", lines[3], "wick1", "same"),
    ]  # fmt: skip
    assert result.origin == "wick1, wick2, wick3"
    alone = [moved(text).text.decode() for text in (THREE, TWO, ONE)]
    assert result.text.decode() == f"{alone[0]}\nMarit's, and it isn't ours:\n\n{alone[1]}\n{alone[2]}"


def test_whole_configs_come_back_byte_for_byte() -> None:
    up = moved(CONFIGS).text.decode()
    down = moved(up, "wick2")
    assert down.text.count(b"#include <wick2.h>") == 3 and b"read as" not in down.text
    assert moved(down.text.decode()).text.decode() == up


def test_one_that_cannot_be_read_keeps_none_of_the_others() -> None:
    result = moved(f"{THREE}{TWO.replace('rgb<0, 99, 0>', 'moonbeam<3>')}{ONE}")
    assert [(s.name, s.grade) for s in result.styles] == [
        ("lamp", "same"), ("lamp", "same"), ("buoy", "refused"), ("lamp", "same"),
    ]  # fmt: skip
    place = next(result.source.place(d.span.start) for d in result.diagnostics if d.code == "unknown-name")
    assert result.source.data.splitlines()[place[0] - 1].startswith(b"using buoy")


ONE_FILE = {
    "two headers before the first style": "#include <wick1.h>\n#include <wick/pile.h>\n" + f"using lamp = {PILE};\n",
    "a header for each branch": "#ifdef OLD\n#include <wick2.h>\nusing lamp = power_sleeve<rgb<9, 9, 9>, 1, 2>;\n"
    "#else\n"
    f"#include <wick/pile.h>\nusing lamp = wick::{PILE};\n#endif\n",
    "one header, styles before it": f"using lamp = {PILE};\n#include <wick/pile.h>\nusing buoy = {PILE};\n",
}


@pytest.mark.parametrize("text", ONE_FILE.values(), ids=ONE_FILE)
def test_what_is_one_file_is_not_taken_apart(text: str) -> None:
    source = SourceFile("shelf.txt", text.encode())
    assert config_spans(source, parse(source), library()) == []


def test_haul_takes_each_config_by_itself(tmp_path: Path) -> None:
    task = Task(0, Found("shelf.txt", "shelf.txt", data=CONFIGS.encode()))
    done = handle(task, Job(Options("wick4", prove=False), str(tmp_path)))
    assert (done.state, [s.origin for s in done.styles]) == ("moved", ["wick3", "wick2", "wick2", "wick1"])


@pytest.mark.parametrize("text", [DUMP, CONFIGS], ids=["pieces", "configs"])
def test_every_style_of_a_dump_is_drawn(tmp_path: Path, text: str) -> None:
    options = Options("wick4", prove=False)
    result = move(SourceFile("shelf.txt", text.encode()), options)
    drawn = [path.name for path in save_pictures(result, options, tmp_path) if path.suffix == ".png"]
    assert len(drawn) == sum(style.grade != "refused" for style in result.styles)
    assert {"lamp.png", "lamp-2.png"} <= set(drawn)


@pytest.mark.parametrize("text", [DUMP, CONFIGS], ids=["pieces", "configs"])
def test_the_report_of_a_dump_shows_each_style_with_its_pictures_and_its_own_text(text: str) -> None:
    options = Options("wick4", prove=False)
    result = move(SourceFile("shelf.txt", text.encode()), options)
    shown = gather(result, options).styles
    assert [s.style for s in shown] == list(result.styles)
    moved_lines = result.text.decode().splitlines()
    for one in shown:
        if one.style.grade == "refused":
            assert one.played == ()
            continue
        assert [len(played.plots) for played in one.played] == [1, 1]  # same: one drawing for both, of two scenes
        before, first = one.before
        assert first <= one.style.line and before.strip() in text
        assert one.after is not None
        after, at = one.after
        assert after.splitlines()[0].strip() in moved_lines[at - 1]
    page = report_page(result, options)
    assert page.count("data:image/png;base64,") == 2 * sum(s.grade != "refused" for s in result.styles)


def test_of_two_styles_of_one_name_the_report_shows_each_its_own_light() -> None:
    text = f"using lamp = {PILE};\n\nusing lamp = {PILE.replace('navy', 'gold')};\n"
    options = Options("wick4", prove=False)
    result = move(SourceFile("shelf.txt", text.encode()), options)
    one, two = (s.played[0].plots[0].png for s in gather(result, options).styles)
    assert one != two


def test_false_friends_of_a_dump_are_told_with_the_lines_of_the_dump() -> None:
    options = Options("wick3", prove=False)
    result = move(SourceFile("shelf.txt", CONFIGS.encode()), options)
    friends = gather(result, options).friends
    lines = CONFIGS.splitlines()
    assert friends and all(friend.name in lines[friend.line - 1] for friend in friends)


def test_show_draws_a_style_of_a_dump_and_a_line_says_which_of_one_name() -> None:
    source = SourceFile("shelf.txt", CONFIGS.encode())
    line = CONFIGS[: CONFIGS.index("using lamp = power")].count("\n") + 1
    first, second = (find(source, name, "probe", Options("")) for name in ("lamp", f"lamp:{line}"))
    assert (first.names[0], second.names[0]) == ("wick3", "wick2")
    pasted = find(SourceFile("shelf.txt", DUMP.encode()), "fragment 1", "probe", Options("wick4"))
    assert pasted.names == ("wick2", "wick4")
    with pytest.raises(CannotShowError, match=r"no style `gull` in shelf.txt; it has: lamp, buoy"):
        find(source, "gull", "probe", Options(""))
