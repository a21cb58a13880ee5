"""Parts that the target cannot say by themselves: written out where styles use them, and gone as definitions."""

from __future__ import annotations

from pathlib import Path

import pytest

from migrate.pipeline import Options, move
from migrate.source import SourceFile
from tests.definitions.moving import HEADS, codes, config, grades, is_stable, moved, said, text_of

LIGHT = "power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<450>>>>>"
POLE = "using pole = score<ground<srgb<0, 90, 160>>, light>;\n"
DROPPED = "wick2 has no way to say `light` by itself; every use of it was written out"


def code_of(text: str) -> list[str]:
    """The lines that are no comment."""
    return [line for line in text.split("\n") if not line.startswith("//")]


@pytest.mark.parametrize("declared", [f"using light = {LIGHT};\n", f"#define light {LIGHT}\n"])
def test_a_part_that_the_target_cannot_say_alone_becomes_a_comment_and_comes_back(declared: str) -> None:
    down = moved("wick4", "wick2", declared + POLE)
    assert f"// {declared}" in text_of(down)
    assert not any("light" in line for line in code_of(text_of(down)))
    assert grades(down) == {"pole": "same"} and down.exit == 0
    assert said(down, "definition-dropped") == [(6, DROPPED)]
    assert is_stable(down, "wick2")
    up = move(SourceFile("staffs.h", down.text), Options("wick4", prove=False))
    assert text_of(up) == config("wick4", declared + POLE) and up.exit == 0


def test_a_template_beside_such_a_part_is_dropped_too() -> None:
    template = "template <class P> using knock = cue<when<clash>, paint<P>, shape<burst<ms<80>>>>;\n"
    body = template + f"using light = {LIGHT};\n" + POLE.replace("light", 'knock<named<"white">>, light')
    down = moved("wick4", "wick2", body)
    assert f"// {template}" in text_of(down)
    assert codes(down) == ["definition-dropped", "definition-dropped"]


def test_a_part_made_of_another_goes_with_it() -> None:
    body = "using up = wipe<over<ms<300>>>;\nusing light = power<rise<up>, fall<wipe<over<ms<450>>>>>;\n" + POLE
    down = moved("wick4", "wick2", body)
    assert [line for line, _ in said(down, "definition-dropped")] == [6, 7]
    assert not any("wipe" in line for line in code_of(text_of(down)))


def test_a_constant_of_such_a_part_converts_like_its_uses() -> None:
    body = "constexpr int up = 300;\nusing light = " + LIGHT.replace("300", "up") + ";\n" + POLE
    down = moved("wick4", "wick1", body)
    assert "const int up = 15;" in code_of(text_of(down))
    assert said(down, "constant-converted") == [
        (6, "`up` is 15 instead of 300: every use of it converts to that number")
    ]


def test_a_part_that_nothing_uses_is_told_as_such() -> None:
    down = moved("wick4", "wick2", f"using light = {LIGHT};\nusing pole = score<ground<srgb<0, 90, 160>>>;\n")
    message = "wick2 has no way to say `light` by itself; nothing in this file uses it"
    assert said(down, "definition-dropped") == [(6, message)]


def test_a_part_that_other_text_uses_too_is_an_error_and_stays() -> None:
    body = f"using light = {LIGHT};\n" + POLE + "static_assert(sizeof(light) > 0);\n"
    down = moved("wick4", "wick2", body)
    assert f"using light = {LIGHT};" in code_of(text_of(down))
    message = "wick2 has no way to say `light` by itself, and what is not moved uses it"
    assert said(down, "no-cover") == [(6, message)] and down.exit == 2


def test_a_part_of_an_included_file_that_moves_too_is_written_out(tmp_path: Path) -> None:
    shared = tmp_path / "light.h"
    shared.write_text(f"using light = {LIGHT};\n", "utf-8")
    result = moved(
        "wick4", "wick2", '#include "light.h"\n' + POLE, path=tmp_path / "staffs.h", together=frozenset([shared])
    )
    assert "using pole = power_sleeve<rgb<0, 26, 90>, 300, 450>;" in text_of(result)
    message = "`light` of light.h is written out: wick2 cannot say it by itself"
    assert said(result, "included-definition") == [(6, message)]
    alone = move(SourceFile(str(shared), shared.read_bytes()), Options("wick2", reading="wick4", prove=False))
    assert f"// using light = {LIGHT};" in text_of(alone) and HEADS["wick2"] not in text_of(alone)
