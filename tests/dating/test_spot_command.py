"""`rehilt spot` as people run it: status, JSON by its schema, the listing's letters, what is skipped."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from migrate.cli import main
from migrate.resources import grammar_path

MIXED = Path(__file__).resolve().parents[2] / "corpora" / "mixed"
INPUTS = sorted(p for p in MIXED.iterdir() if not p.name.endswith(".json"))
PURE = "#include <wick2.h>\nusing bell = power_sleeve<clash_sleeve<rgb<1, 2, 3>, rgb<9, 9, 9>>, 300, 300>;\n"


def spot(*arguments: str, text: str | bytes | None = None) -> Result:
    return CliRunner().invoke(main, ["spot", *arguments], input=text)


@pytest.mark.parametrize("path", INPUTS, ids=lambda p: p.name)
def test_json_fits_its_schema(path: Path) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    schema = json.loads(grammar_path("schemas", "spot.json").read_text("utf-8"))
    shown = spot("--json", "--no-measure", str(path))
    jsonschema.Draft202012Validator(schema).validate(json.loads(shown.output))


@pytest.mark.parametrize(
    ("name", "status"),
    [("config_says_nothing.h", 0), ("config_tape_in_two.h", 1), ("config_tape_in_three.h", 1),
     ("config_false_bands.h", 1), ("damaged_missing_close.h", 2), ("fragment_nothing_of_ours.txt", 0)],
)  # fmt: skip
def test_exit_status_says_mixed_and_unreadable(name: str, status: int) -> None:
    assert spot(str(MIXED / name)).exit_code == status


def test_a_false_friend_names_both_readings_the_frame_and_what_the_code_supports() -> None:
    shown = spot("--json", str(MIXED / "config_false_bands.h"))
    (reading,) = json.loads(shown.output)["readings"]
    assert (reading["today"], reading["supports"], reading["verdict"]) == ("wick3", "wick2", "false friend")
    assert reading["others"][0]["generation"] == "wick2"
    assert reading["others"][0]["figures"]["first"]["frame"] > 0
    assert reading["others"][0]["figures"]["largest"] > 5


def test_an_ambiguity_that_shows_in_no_frame_is_harmless() -> None:
    shown = spot("--json", "-", text="rgb<255, 255, 255>")
    report = json.loads(shown.output)
    assert report["readings"][0]["verdict"] == "harmless"
    assert report["exit"] == 0


def test_the_listing_has_a_letter_for_each_generation_and_a_row_below_lines_that_mix() -> None:
    shown = spot(str(MIXED / "config_cues_from_three.h")).output.splitlines()
    at = next(i for i, line in enumerate(shown) if "ground<v3::bands" in line)
    assert shown[at].split("│")[0].split()[1] == "CD"
    row = shown[at + 1]
    assert row[shown[at].index("v3::bands")] == "C"
    assert row[shown[at].index("duty")] == "D"


def test_every_skipped_file_has_its_reason_and_the_summary_counts_them(tmp_path: Path) -> None:
    (tmp_path / "a.h").write_text(PURE)
    (tmp_path / "b.h").write_bytes(b"")
    (tmp_path / "c.h").write_bytes(b"\x00\x01\x02")
    (tmp_path / "d.txt").write_text("Count the tubes on Thursday.\n")
    assert spot(str(tmp_path)).exit_code == 0
    shown = spot(str(tmp_path), str(tmp_path / "none.h"))
    assert shown.exit_code == 2  # the file itself cannot be read
    last = shown.output.splitlines()[-1]
    assert "5 files: 0 mixed, 1 not" in last
    assert "skipped 4: 1 cannot be read: no such file or directory, 1 empty" in last
    assert "1 no style code in it, 1 not a text" in last
    for reason in ("skipped, empty", "skipped, not a text", "skipped, no style code in it"):
        assert reason in shown.output


def test_style_and_construct_pick_what_is_spoken_of() -> None:
    path = str(MIXED / "config_pasted_sleeves.h")
    codes = [d["message"] for d in json.loads(spot("--json", "--style", "net_mender", path).output)["diagnostics"]]
    assert codes and all("net_mender" in m for m in codes if "mixes" in m)
    missing = json.loads(spot("--json", "--style", "net_mendr", path).output)["diagnostics"]
    assert missing[0]["code"] == "no-such-name"
    assert "net_mender" in missing[0]["hint"]


def test_read_as_overrules_what_the_file_says() -> None:
    report = json.loads(spot("--json", "--read-as", "wick2", str(MIXED / "config_false_bands.h")).output)
    assert report["pieces"][0]["because"] == "option"
    assert {c["dated"] for c in report["pieces"][0]["constructs"]} == {"wick2"}


def test_exclusive_outputs_are_refused() -> None:
    assert spot("--json", "--sarif", "-", text=PURE).exit_code == 2


@pytest.mark.parametrize(
    "text", [b"<" * 100_000, b"a<" * 50_000, b"\xff\xfe<\x80", b"using a = a<a", b"/*" + b"rgb<" * 999]
)
def test_no_input_makes_a_traceback(text: bytes) -> None:
    shown = spot("--no-measure", "-", text=text)
    assert shown.exception is None or isinstance(shown.exception, SystemExit)


HEAD = "#define WICK_GENERATION 2\n#include <wick2.h>\n"
LOST = (
    "using knife = power_sleeve<whirl<rgb<24, 24, 24>>, 80, 80>;\n"  # too few arguments for any
    "using gulls = power_sleeve<clash_sleeve<css::moccasin, rgb<300, 1, 1>>, 80, 80>;\n"  # and a number out of range
)


def test_what_no_generation_accepts_is_read_as_the_file_declares_it() -> None:
    pieces = json.loads(spot("--json", "--no-measure", "-", text=HEAD + LOST).output)["pieces"]
    assert [(p["name"], p["whole"], p["read_as"], p["because"]) for p in pieces] == [
        ("knife", [], "wick2", "declared"),
        ("gulls", [], "wick2", "declared"),
    ]
    shown = spot("--no-listing", "--no-measure", "-", text=HEAD + LOST).output
    assert "nothing says which" not in shown and "not dated" not in shown
    undeclared = spot("--no-listing", "--no-measure", "-", text=LOST).output
    assert "nothing says which" in undeclared


TABLES = {
    "wick1": ("#include <wick1.h>\n", 'wick_slot slots[] = {\n  SLOT(tape<plain<0xFF0000> >, "harbour"),\n};\n'),
    "wick2": (HEAD, 'wick_slots slots = {\n  slot<power_sleeve<rgb<9, 0, 0>, 30, 45>>("harbour", "H"),\n};\n'),
    "wick3": ("#include <wick/pile.h>\n",
              'wick_slots slots = {\n  slot<wick::pile<wick::css::red>>("harbour", "H"),\n};\n'),
    "wick4": (
        "#include <wick/score.h>\nusing namespace wick;\n",
        'using table = slots<\n  slot<style<score<ground<srgb<255, 0, 0>>>>, sounds<"harbour">, label<"H">>\n>;\n',
    ),
}  # fmt: skip


@pytest.mark.parametrize("generation", TABLES)
def test_a_style_written_out_in_a_slot_is_listed_under_the_name_it_moves_by(generation: str) -> None:
    head, table = TABLES[generation]
    report = json.loads(spot("--json", "--no-measure", "-", text=head + table).output)
    assert [(p["name"], p["kind"], p["read_as"]) for p in report["pieces"]] == [
        ("harbour (slot)", "in slot", generation)
    ]


def test_a_table_that_branches_inside_lists_the_styles_of_every_branch_and_is_not_repaired() -> None:
    text = HEAD + (
        "wick_slots slots = {\n#ifdef MATINEE\n"
        '  slot<power_sleeve<rgb<9, 0, 0>, 30, 45>>("tide", "T"),\n#else\n'
        '  slot<power_sleeve<rgb<0, 9, 0>, 30, 45>>("tide", "T"),\n#endif\n};\n'
    )
    report = json.loads(spot("--json", "--no-measure", "-", text=text).output)
    assert [(p["name"], p["line"]) for p in report["pieces"]] == [("tide (slot)", 5), ("tide (slot 2)", 7)]
    assert report["repair"] == ""


def test_a_slot_whose_style_nobody_defines_is_told() -> None:
    text = HEAD + PURE.split("\n", 1)[1] + 'wick_slots slots = {\n  slot<bel>("bell", "Bell"),\n};\n'
    assert (
        "<stdin>:5:8: warning [unknown-style] no style `bel` in this file\n"
        '    slot<bel>("bell", "Bell"),\n'
        "         ^^^\n"
        "  hint: did you mean `bell`?\n"
    ) in spot("--no-listing", "-", text=text).output
