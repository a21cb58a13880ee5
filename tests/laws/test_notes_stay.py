"""What an earlier move said of a style stays as long as the style does."""

from __future__ import annotations

from migrate.pipeline import Options, move
from migrate.source import SourceFile

NOTE = b"// rehilt: changed; the 20 ms steps are gone; dE 95 % 0.86 largest 1.65, edges 104 ms\n"
MOVED = b"""#define WICK_GENERATION 3
#include <wick/pile.h>
using namespace wick;
%susing bell = pile<duty<180, 150, 60>, power<wipe<150>, wipe<1000>>>;
// rehilt: read as wick2
using eel = power_sleeve<clash_sleev<rgb<6, 16, 10>, rgb<160, 255, 96>>, 160, 400>;
"""
KEPT = b"""#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;
// rehilt: unmeasured; left as it was
using horn = power_sleeve<duty<180, 150, 60>, 150, 1000>;
"""


def moved(data: bytes) -> bytes:
    return move(SourceFile("quay.h", data), Options("wick3", prove=False)).text


def test_a_second_move_past_a_refused_style_keeps_the_note_of_the_first() -> None:
    data = MOVED % NOTE
    assert moved(data) == data


def test_a_note_goes_with_the_text_that_it_spoke_of() -> None:
    out = moved(KEPT)
    assert b"pile<" in out
    assert b"left as it was" not in out
