"""`rehilt move --style NAME`: some styles alone, and every other byte of the file stays."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from migrate.cli import main

HEAD = "#define WICK_GENERATION 2\n#include <wick2.h>\n"
LAMP = "using lamp = power_sleeve<rgb<255, 0, 0>, 300, 450>;\n"
FERRY = "using ferry = power_sleeve<rgb<0, 0, 255>, 300, 450>; // the last act\n"
COMPAT = "#define WICK_GENERATION 3\n#include <wick/pile.h>\n#include <wick/compat2.h>\nusing namespace wick;\n"


def run(tmp_path: Path, text: str, *more: str) -> Result:
    (tmp_path / "quay.h").write_bytes(text.encode())
    return CliRunner().invoke(main, ["move", str(tmp_path / "quay.h"), *more])


def test_a_config_of_one_generation_stays_and_the_style_is_printed_alone(tmp_path: Path) -> None:
    text = HEAD + LAMP + FERRY
    result = run(tmp_path, text, "--to", "wick3", "--style", "lamp")
    assert result.stdout == "using lamp = pile<duty<255, 0, 0>, power<wipe<300>, wipe<450>>>;\n"
    assert "1 style from wick2 to wick3: 1 same" in result.stderr
    assert (tmp_path / "quay.h").read_bytes() == text.encode()
    assert result.exit_code == 0


def test_what_it_hangs_on_is_printed_with_it_and_nothing_else(tmp_path: Path) -> None:
    text = (
        HEAD
        + "using dusk = rgb<20, 10, 40>;\nusing dawn = rgb<9, 9, 9>;\n"
        + ("using lamp = power_sleeve<sway<dusk, rgb<1, 1, 1>, 900>, 300, 450>;\n" + FERRY)
    )
    shown = run(tmp_path, text, "--to", "wick3", "--style", "lamp").stdout
    assert [line.split()[1] for line in shown.splitlines()] == ["dusk", "lamp"]
    assert "dawn" not in shown and "ferry" not in shown


@pytest.mark.parametrize("how", [["--write"], ["--out", "out"]])
def test_it_is_not_written_into_a_file_that_cannot_hold_it(tmp_path: Path, how: list[str]) -> None:
    how = [str(tmp_path / "out") if word == "out" else word for word in how]
    result = run(tmp_path, HEAD + LAMP + FERRY, "--to", "wick3", "--style", "lamp", *how)
    assert result.exit_code == 2 and not (tmp_path / "out").exists()
    assert result.stderr == (
        f"Error: not written: {tmp_path / 'quay.h'} is wick2, as long as `ferry` stays in it, and cannot hold wick3; "
        "without --style the whole file moves, without --write and --out the style is printed alone\n"
    )


def test_where_every_style_is_named_the_whole_file_moves(tmp_path: Path) -> None:
    given = ["--to", "wick3", "--style", "lamp", "--style", "ferry", "--write", "--force"]
    assert run(tmp_path, HEAD + LAMP + FERRY, *given).exit_code == 0
    text = (tmp_path / "quay.h").read_text()
    assert text.startswith("#define WICK_GENERATION 3\n#include <wick/pile.h>\n") and "sleeve" not in text


def test_a_file_that_takes_both_keeps_every_other_byte(tmp_path: Path) -> None:
    result = run(tmp_path, COMPAT + LAMP + FERRY, "--to", "wick3", "--style", "lamp", "--write", "--force")
    assert result.exit_code == 0
    moved = "using lamp = pile<rgb<255, 0, 0>, power<wipe<300>, wipe<450>>>;\n"
    assert (tmp_path / "quay.h").read_text() == COMPAT + moved + FERRY


def test_a_text_without_a_header_keeps_every_other_byte(tmp_path: Path) -> None:
    given = ["--to", "wick3", "--read-as", "wick2", "--style", "lamp", "--write", "--force"]
    assert run(tmp_path, LAMP + FERRY, *given).exit_code == 0
    text = (tmp_path / "quay.h").read_text()
    assert text == "using lamp = pile<duty<255, 0, 0>, power<wipe<300>, wipe<450>>>;\n" + FERRY


def test_what_another_style_uses_too_does_not_change_under_it(tmp_path: Path) -> None:
    text = COMPAT + (
        "using core = sway<flip<rgb<9, 0, 0>, rgb<0, 9, 0>, 90>, rgb<0, 0, 9>, 900>;\n"
        "using lamp = power_sleeve<core, 300, 450>;\nusing ferry = power_sleeve<core, 150, 150>;\n"
    )
    result = run(tmp_path, text, "--to", "wick3", "--style", "lamp", "--write", "--force")
    assert result.exit_code == 2
    assert result.stderr == (
        "Error: `core` would change, and `ferry` uses it too; give --style ferry as well, or a copy of `core` to each\n"
    )
    assert (tmp_path / "quay.h").read_text() == text


def test_a_style_in_a_slot_is_picked_by_its_slots_name(tmp_path: Path) -> None:
    text = (
        HEAD
        + LAMP
        + (
            'wick_slots slots = {\n  slot<power_sleeve<rgb<9, 0, 0>, 1, 2>>("eel", "Eel"),\n'
            '  slot<lamp>("lamp", "Lamp"),\n};\n'
        )
    )
    result = run(tmp_path, text, "--to", "wick3", "--style", "eel (slot)")
    assert result.stdout == "pile<duty<9, 0, 0>, power<wipe<1>, wipe<2>>>\n"


def test_a_bracket_that_can_be_mended_is_offered(tmp_path: Path) -> None:
    told = f"brackets can be mended: `rehilt spot --repair {tmp_path / 'quay.h'}` shows where\n"
    torn = HEAD + "using lamp = power_sleeve<rgb<255, 0, 0, 300, 450>;\n"
    assert told in run(tmp_path, torn, "--to", "wick3").stderr
    assert told not in run(tmp_path, HEAD + LAMP, "--to", "wick3").stderr


def test_a_name_that_is_no_style_is_refused_with_those_that_are(tmp_path: Path) -> None:
    result = run(tmp_path, HEAD + LAMP + FERRY, "--to", "wick3", "--style", "lamb")
    assert result.exit_code == 2
    assert result.stderr == f"Error: no style `lamb` in {tmp_path / 'quay.h'}; it has: ferry, lamp\n"


def test_a_refused_style_is_told_and_nothing_is_printed(tmp_path: Path) -> None:
    text = HEAD + "using lamp = power_sleeve<moonbeam<3>, 300, 450>;\n" + FERRY
    result = run(tmp_path, text, "--to", "wick3", "--style", "lamp")
    assert result.exit_code == 2
    assert "`moonbeam` is no construct of wick2" in result.stdout
    assert not [line for line in result.stdout.splitlines() if line.startswith("using")]
