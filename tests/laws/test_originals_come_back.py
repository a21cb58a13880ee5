"""Down and up again: what an older generation could not say comes back byte for byte, unless a hand was there."""

from __future__ import annotations

from pathlib import Path

import pytest

from migrate.packs.library import library
from migrate.pipeline import Options, move
from migrate.source import SourceFile

ROOT = Path(__file__).resolve().parents[2]
NAMES = [name for name in library() if (ROOT / "corpora" / name).is_dir()]
DOWNWARD = [(new, old) for k, old in enumerate(NAMES) for new in NAMES[k + 1 :]]


def moved(name: str, data: bytes, to: str) -> bytes:
    return move(SourceFile(name, data), Options(to, prove=False)).text


@pytest.mark.parametrize(("new", "old"), DOWNWARD)
def test_every_corpus_file_comes_back_byte_for_byte(new: str, old: str) -> None:
    for path in sorted((ROOT / "corpora" / new).glob("*.h")):
        data = path.read_bytes()
        down = moved(path.name, data, old)
        assert down != data
        assert moved(path.name, down, new) == data, path.name


def test_by_steps_down_and_in_one_step_up_all_comes_back() -> None:
    path = sorted((ROOT / "corpora" / NAMES[-1]).glob("*.h"))[0]
    text = path.read_bytes()
    for name in reversed(NAMES[:-1]):
        text = moved(path.name, text, name)
    assert moved(path.name, text, NAMES[-1]) == path.read_bytes()


def test_an_edit_in_between_stands_and_is_told() -> None:
    config = (
        b"#define WICK_GENERATION 3\n#include <wick/pile.h>\nusing namespace wick;\nconstexpr int blade_pixels = 132;\n"
    )
    style = b"using bell = pile<css::navy, gleam<css::gold, soft_noise<4, whole>>, power<wipe<300>, wipe<300>>>;\n"
    down = moved("a.h", config + style, "wick2")
    assert b"// rehilt: was wick3 " in down
    edited = down.replace(b", 300, 300>;", b", 300, 460>;")
    assert edited != down
    again = move(SourceFile("a.h", edited), Options("wick3", prove=False))
    assert b"wipe<460>" in again.text and b"rehilt: was" not in again.text
    assert [(d.code, d.message) for d in again.diagnostics] == [
        ("edited-since", "this was edited since it came from wick3; the edit stands, the kept original goes")
    ]


def test_the_note_of_a_move_is_not_repeated_and_goes_when_it_is_no_longer_true() -> None:
    config = (
        b"#define WICK_GENERATION 3\n#include <wick/pile.h>\nusing namespace wick;\nconstexpr int blade_pixels = 132;\n"
    )
    style = b"using bell = pile<css::navy, gleam<css::gold, soft_noise<4, whole>>, power<wipe<300>, wipe<300>>>;\n"
    down = move(SourceFile("a.h", config + style), Options("wick2")).text
    assert down.count(b"// rehilt: changed; ") == 1 and b"scene probe from frame " in down
    further = move(SourceFile("a.h", down), Options("wick1")).text
    live = [line for line in further.split(b"\n") if line.startswith(b"// rehilt: changed")]
    assert len(live) <= 1
    assert b"rehilt: changed" not in moved("a.h", down, "wick3")
