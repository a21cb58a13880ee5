"""Files that include one another, moved in one run or one alone: what is proved, what is said, and what compiles."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from migrate.diagnostics import Diagnostic
from migrate.packs.library import library
from migrate.pipeline import Moved, Options, move, read
from migrate.proof import build_of
from migrate.source import SourceFile
from migrate.together import Turn, bundles, move_together
from tests.definitions.moving import FACTS, HEADS, grades, said, text_of

COLOURS = "#ifndef QUAY_H\n#define QUAY_H\nusing tide = rgb<0, 70, 200>;\nusing foam = rgb<210, 240, 255>;\n#endif\n"
LAMP = "using lamp = power_sleeve<clash_sleeve<tide, foam>, 300, 450>;\n"


def laid(folder: Path, **texts: str) -> list[SourceFile]:
    """The texts as files NAME.h in a folder."""
    out = []
    for name, text in texts.items():
        path = folder / f"{name}.h"
        path.write_text(text, "utf-8")
        out.append(SourceFile(str(path), text.encode()))
    return out


def staff(generation: str = "wick2", body: str = LAMP, facts: str = FACTS, shared: str = "quay.h") -> str:
    """A config that includes a shared file."""
    return HEADS[generation] + f'#include "{shared}"\n' + facts + body


def together(folder: Path, target: str, **texts: str) -> list[Turn]:
    return move_together(laid(folder, **texts), Options(target))


def compiles(folder: Path, name: str, generation: str, *moved: Moved) -> str:
    """What the compiler says of the moved texts beside one another; nothing is well."""
    compiler = shutil.which("g++") or pytest.skip("no C++ compiler")
    for one in moved:
        Path(one.source.name).write_bytes(one.text)
    build = build_of(library()[generation])
    where = [f"-I{place}" for place in build.include_dirs]
    command = [compiler, "-fsyntax-only", "-pedantic-errors", f"-std={build.standard}", *where, "-x", "c++"]
    return subprocess.run([*command, folder / name], capture_output=True, text=True, check=False).stderr


@pytest.mark.parametrize("target", ["wick3", "wick4"])
def test_a_config_is_proved_on_the_new_text_of_what_it_includes(tmp_path: Path, target: str) -> None:
    lamp, quay = together(tmp_path, target, lamp=staff(), quay=COLOURS)
    assert grades(lamp.moved) == {"lamp": "same"}
    assert "duty<0, 70, 200>" not in text_of(lamp.moved) and "tide" in text_of(lamp.moved)
    assert "using tide = wick::duty<0, 70, 200>;" in text_of(quay.moved)
    assert said(lamp.moved, "included-definition") == [(3, "`tide` of quay.h stays a name: that file is moved too")]
    assert "error" not in compiles(tmp_path, "lamp.h", target, lamp.moved, quay.moved)


def test_what_was_proved_is_the_new_text_and_not_a_promise(tmp_path: Path) -> None:
    (source,) = laid(tmp_path, lamp=staff())
    other = {
        (tmp_path / "quay.h").resolve(): b"using tide = wick::duty<255, 0, 0>;\nusing foam = wick::duty<0, 9, 9>;\n"
    }
    laid(tmp_path, quay=COLOURS)
    assert grades(move(source, Options("wick3", together=other))) == {"lamp": "changed"}


def test_an_included_file_that_says_nothing_has_generation_and_blade_of_its_includer(tmp_path: Path) -> None:
    shared = "using planks = bands<12, 24, rgb<0, 70, 200>, rgb<210, 240, 255>>;\n"
    body = "using lamp = power_sleeve<planks, 300, 450>;\n"
    lamp, quay = together(tmp_path, "wick4", lamp=staff(body=body), quay=shared)
    assert quay.moved.origin == "wick2" and quay.moved.diagnostics == ()
    assert "width<wick::mm<83.333>>" in text_of(quay.moved)
    assert grades(lamp.moved) == {"lamp": "close"}


def test_configs_of_two_generations_do_not_date_what_they_share(tmp_path: Path) -> None:
    old = staff("wick3", "using pole = pile<tide>;\n")
    _, _, quay = together(tmp_path, "wick4", lamp=staff(), pole=old, quay=COLOURS)
    assert [d.code for d in quay.moved.diagnostics] == ["undeclared-generation"] and quay.stuck


def test_down_and_up_again_together_is_byte_for_byte(tmp_path: Path) -> None:
    down = together(tmp_path, "wick1", lamp=staff(), quay=COLOURS)
    for turn in down:
        Path(turn.moved.source.name).write_bytes(turn.moved.text)
    assert "typedef plain<0x0046C8> tide;" in text_of(down[1].moved)
    up = move_together([SourceFile(t.moved.source.name, t.moved.text) for t in down], Options("wick2"))
    assert [text_of(t.moved) for t in up] == [staff(), COLOURS]


def test_files_hang_together_by_what_they_include_through_others_too(tmp_path: Path) -> None:
    sources = laid(
        tmp_path, lamp=staff(shared="mid.h"), apart=HEADS["wick2"] + FACTS, quay=COLOURS, mid='#include "quay.h"\n'
    )
    assert bundles(sources, Options("wick3")) == [[0, 2, 3], [1]]
    assert bundles([sources[0], sources[1], sources[2]], Options("wick3")) == [[0, 2], [1]]


def test_files_that_include_each_other_are_moved_all_the_same(tmp_path: Path) -> None:
    turns = together(tmp_path, "wick3", lamp=staff(), quay='#include "lamp.h"\n' + COLOURS)
    assert grades(turns[0].moved) == {"lamp": "same"}


@pytest.mark.parametrize("shared", [COLOURS, "#include <wick2.h>\n" + COLOURS])
def test_a_config_moved_alone_says_that_what_it_includes_does_not_compile(tmp_path: Path, shared: str) -> None:
    source, _ = laid(tmp_path, lamp=staff(), quay=shared)
    moved = move(source, Options("wick3"))
    (warning,) = [d for d in moved.diagnostics if d.code == "included-definition"]
    assert (warning.severity, source.place(warning.span.start)[0]) == ("warning", 3)
    assert warning.message == "quay.h goes on being wick2, which does not compile here"
    command = f"rehilt move {tmp_path / 'lamp.h'} {tmp_path / 'quay.h'} --to wick3"
    assert warning.hint == f"move both, `{command}`"
    assert "error" in compiles(tmp_path, "lamp.h", "wick3", moved)


@pytest.mark.parametrize(
    ("shared", "body"),
    [
        ("constexpr int rise = 300;\n", "using lamp = power_sleeve<rgb<0, 70, 200>, rise, 450>;\n"),
        ("#define TIDE rgb<0, 70, 200>\n", "using lamp = power_sleeve<TIDE, 300, 450>;\n"),
    ],
)
def test_numbers_and_macros_compile_in_every_generation(tmp_path: Path, shared: str, body: str) -> None:
    source, _ = laid(tmp_path, lamp=staff(body=body), quay=shared)
    moved = move(source, Options("wick3"))
    assert [d for d in moved.diagnostics if d.severity == "warning"] == []
    assert "error" not in compiles(tmp_path, "lamp.h", "wick3", moved)


def test_constexpr_does_not_compile_in_the_oldest_standard(tmp_path: Path) -> None:
    body = "using lamp = power_sleeve<rgb<0, 70, 200>, rise, 450>;\n"
    source, _ = laid(tmp_path, lamp=staff(body=body), quay="constexpr int rise = 300;\n")
    message = "quay.h goes on being wick2, which does not compile here"
    moved = move(source, Options("wick1"))
    assert [d.message for d in moved.diagnostics if d.severity == "warning"] == [message]
    assert "error" in compiles(tmp_path, "lamp.h", "wick1", moved)


def test_what_a_file_says_of_itself_counts_before_what_it_includes(tmp_path: Path) -> None:
    body = "using lamp = pile<duty<0, 70, 200>, power<wipe<300>, wipe<450>>>;\n"
    source, _ = laid(tmp_path, lamp=staff("wick3", body), quay="#include <wick2.h>\n" + COLOURS)
    found = read(source, Options("wick4"))
    assert not isinstance(found, Diagnostic) and found.generation.name == "wick3"
    (warning,) = found.diagnostics
    assert (warning.code, warning.severity) == ("declared-twice", "warning")
    assert warning.message == "`quay.h` says wick2, this file wick3"
    assert warning.hint == "the file is read as wick3, with all that it includes; move quay.h as well"


def test_a_file_that_says_nothing_is_what_its_include_says(tmp_path: Path) -> None:
    source, _ = laid(tmp_path, lamp='#include "quay.h"\n' + LAMP, quay="#include <wick2.h>\n" + COLOURS)
    found = read(source, Options("wick4"))
    assert not isinstance(found, Diagnostic) and found.generation.name == "wick2" and found.diagnostics == ()
