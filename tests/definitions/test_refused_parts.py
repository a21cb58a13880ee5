"""Parts that cannot be moved: told even where no style uses them, and marked with the generation that they stay in."""

from __future__ import annotations

from migrate.pipeline import Options, move
from migrate.source import SourceFile
from tests.definitions.moving import HEADS, codes, grades, text_of

# The wick 2 lengths are pixels: wick 3's need the blade's pixel count, which stands nowhere.
TIDE = "using tide = bands<12, 24, rgb<0, 70, 200>, rgb<210, 240, 255>>;\n"
LAMP = "using lamp = power_sleeve<rgb<210, 240, 255>, 300, 450>;\n"
READ_AS = "// rehilt: read as wick2\n"


def source_of(body: str) -> SourceFile:
    return SourceFile("staffs.h", (HEADS["wick2"] + body).encode())


def test_a_refused_part_that_no_style_uses_is_told() -> None:
    result = move(source_of(TIDE + "using foam = rgb<210, 240, 255>;\n"), Options("wick3"))
    (said,) = result.diagnostics
    assert (said.code, said.message) == ("missing-pixel-count", "a length converts only with the pixel count")
    assert said.hint == "add `constexpr int blade_pixels = …;` to the config, or give --pixels"
    assert result.exit == 2 and result.styles == ()


def test_a_refused_part_in_a_file_that_moves_on_says_how_it_is_to_be_read_and_moves_later() -> None:
    result = move(source_of(TIDE + LAMP), Options("wick3"))
    assert READ_AS + TIDE in text_of(result) and "pile<duty<210, 240, 255>" in text_of(result)
    assert grades(result) == {"lamp": "same"} and codes(result) == ["missing-pixel-count"]
    # Without the mark, 12 pixels would be taken for 12 per mille of the blade.
    later = move(SourceFile("staffs.h", result.text + b"constexpr int blade_pixels = 132;\n"), Options("wick3"))
    assert "using tide = bands<91, 182, duty<0, 70, 200>, duty<210, 240, 255>>;" in text_of(later)
    assert READ_AS not in text_of(later) and later.exit == 0


def test_what_is_of_the_target_already_gets_no_mark() -> None:
    fine = "using fine = pile<css::navy, power<wipe<300>, wipe<300>>>;\n"
    bad = "using bad = pile<rgb<300, 0, 0>, power<wipe<300>, wipe<300>>>;\n"
    old = READ_AS + LAMP
    text = HEADS["wick3"] + fine + bad + old
    result = move(SourceFile("staffs.h", text.encode()), Options("wick3", prove=False))
    assert grades(result) == {"fine": "same", "bad": "refused", "lamp": "same"}
    assert "read as" not in text_of(result) and bad in text_of(result)
