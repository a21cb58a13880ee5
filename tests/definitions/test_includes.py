from __future__ import annotations

from pathlib import Path

from tests.definitions.moving import codes, grades, is_stable, moved, said, text_of

HOUSE = """#ifndef LQP_HOUSE_H
#define LQP_HOUSE_H
#define HOUSE_OIL duty<255, 28, 0>
#define HOUSE_BONE rgb<255, 244, 214>
constexpr int house_rise = 300;
constexpr int house_mark = 20;
#endif
"""
LAMP = """#include "house.h"
using lamp = pile<
  sway<HOUSE_OIL, HOUSE_BONE, 2400>,
  edge<css::white, house_mark>,
  power<wipe<house_rise>, wipe<900>>>;
"""


def test_names_of_a_file_beside_it_are_known(tmp_path: Path) -> None:
    (tmp_path / "house.h").write_text(HOUSE)
    result = moved("wick3", "wick3", LAMP, path=tmp_path / "lamp.h")
    assert codes(result) == [] and grades(result) == {"lamp": "same"}


def test_what_reads_the_same_stays_a_name_and_the_rest_is_written_out(tmp_path: Path) -> None:
    (tmp_path / "house.h").write_text(HOUSE)
    result = moved("wick3", "wick4", LAMP, path=tmp_path / "lamp.h")
    text = text_of(result)
    assert "HOUSE_OIL" in text and "ms<house_rise>" in text
    assert "HOUSE_BONE" not in text and "srgb<255, 244, 214>" in text
    assert "house_mark" not in text and "mm<18.333>" in text
    assert (tmp_path / "house.h").read_text() == HOUSE
    assert said(result, "included-definition") == [
        (6, "`HOUSE_BONE` of house.h is written out: that file is not moved along")
    ]
    assert "#include <wick/compat3.h>" in text  # house.h itself still needs it
    assert grades(result) == {"lamp": "close"}
    assert is_stable(result, "wick4", tmp_path / "lamp.h")


def test_names_of_a_file_that_moves_along_stay(tmp_path: Path) -> None:
    (tmp_path / "house.h").write_text(HOUSE)
    together = frozenset({(tmp_path / "house.h").resolve()})
    result = moved("wick3", "wick4", LAMP, path=tmp_path / "lamp.h", together=together)
    assert "HOUSE_BONE" in text_of(result)
    assert said(result, "included-definition") == [(6, "`HOUSE_BONE` of house.h stays a name: that file is moved too")]


def test_a_file_that_is_not_there_is_a_warning_at_its_include(tmp_path: Path) -> None:
    body = '#include "never.h"\nusing lamp = pile<css::navy>;\n'
    result = moved("wick3", "wick4", body, path=tmp_path / "lamp.h")
    assert said(result, "missing-include") == [
        (6, "`never.h` is not beside this file: names that it defines are unknown here")
    ]
    assert grades(result) == {"lamp": "same"}


def test_files_that_include_each_other_are_read_once(tmp_path: Path) -> None:
    (tmp_path / "house.h").write_text('#include "lamp.h"\n#include "house.h"\n' + HOUSE)
    result = moved("wick3", "wick3", LAMP, path=tmp_path / "lamp.h")
    assert codes(result) == [] and grades(result) == {"lamp": "same"}


def test_what_is_wrong_in_an_included_file_is_told_at_the_include(tmp_path: Path) -> None:
    (tmp_path / "house.h").write_text("\nusing odd = pile<no_such<1>>;\n")
    result = moved("wick3", "wick4", '#include "house.h"\nusing lamp = pile<css::navy>;\n', path=tmp_path / "lamp.h")
    assert said(result, "unknown-name") == [
        (6, "in house.h:2:18: `no_such` is no construct of wick3 and no name of this file")
    ]


def test_an_included_file_in_another_encoding_and_with_a_mark_is_read(tmp_path: Path) -> None:
    (tmp_path / "house.h").write_bytes(b"\xef\xbb\xbf// caf\xc3\xa9\n" + HOUSE.encode())
    result = moved("wick3", "wick4", "// na\u00efve\n" + LAMP, path=tmp_path / "lamp.h")
    assert grades(result) == {"lamp": "close"}
    (tmp_path / "house.h").write_bytes(b"// caf\xe9\n" + HOUSE.encode())
    assert grades(moved("wick3", "wick4", LAMP, path=tmp_path / "lamp.h")) == {"lamp": "close"}
