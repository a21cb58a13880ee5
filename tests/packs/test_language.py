"""What the pack language has for firmware unlike the built-in one: tempos, parts, ratios, turned lists, no meanings."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from migrate.ir import nodes as ir
from migrate.ir.facts import Blade
from migrate.lower.match import Matcher
from migrate.packs.equations import evaluate
from migrate.packs.library import drafts_of, finish, library
from migrate.packs.model import Call, PackError, Unit, Var
from migrate.packs.reader import Draft, read_text
from migrate.packs.units import from_ir, to_ir
from tests.packs.tutorial import FOLDER

BLADE = Blade(132, 144)


def unit(text: str) -> Unit:
    draft = Draft()
    read_text(draft, text, "test.pack")
    return draft.units[0]


@pytest.mark.parametrize(
    ("text", "number", "value"),
    [
        ("unit bpm is tempo 1..9000", 120, 500_000),
        ("unit bpm is tempo 1..9000", 750, 80_000),
        ("unit bpm is tempo 1..9000", 72, 833_333),
        ("unit bar is tempo of 4 1..900", 120, 2_000_000),
        ("unit a_minute is rate of 1/60 1..9000", 1800, 30_000),
        ("unit degrees is length_mil of 25/9 0..360", 36, ir.Length(100, "mil")),
        ("unit pairs is parts of 1/2 1..99", 4, ir.Length(125, "mil")),
        ("unit turn is weight of 360 0..360", 90, Fraction(1, 4)),
    ],
)
def test_a_number_reads_forwards_and_backwards(text: str, number: int, value: Any) -> None:
    known = unit(text)
    assert to_ir(number, known) == value
    back = from_ir(value, known, BLADE)
    assert back == number or (isinstance(back, Fraction) and abs(back / number - 1) < Fraction(1, 10**5))


def test_a_beat_of_no_length_cannot_be_said_as_a_tempo() -> None:
    assert from_ir(0, unit("unit bpm is tempo 1..9000"), BLADE) is None
    assert from_ir(ir.Length(0, "mil"), unit("unit n is parts 1..9"), BLADE) is None


def test_a_list_is_turned_round_in_both_directions() -> None:
    red, blue = ir.Colour("duty", (255, 0, 0)), ir.Colour("duty", (0, 0, 255))
    expression = Call("even", (Call("reversed", (Var("paints"),)),))
    built = evaluate(expression, {"paints": (red, blue)})
    assert [stop.paint for stop in built] == [blue, red]
    (match,) = Matcher(BLADE).match(expression, built)
    assert match.values["paints"] == (red, blue)


def test_a_list_with_noise_is_not_turned_round_backwards() -> None:
    hearth = ir.Hearth(
        ir.Colour("duty", (1, 2, 3)), ir.Colour("duty", (4, 5, 6)), ir.Length(9, "mil"), ir.Speed(9, "mil")
    )
    assert list(Matcher(BLADE).match(Call("reversed", (Var("p"),)), (hearth, hearth))) == []


def test_what_has_no_meaning_keeps_its_identity_through_a_rename() -> None:
    drafts = drafts_of((FOLDER / "packs" / "marram1", FOLDER / "packs" / "marram2"))
    (old,) = finish("marram1", drafts).constructs["Shimmer"]
    (new,) = finish("marram2", drafts).constructs["Glimmer"]
    assert old.identity == new.identity == "marram1:Shimmer"
    assert old.slots == new.slots == ("bpm", "glints", "a", "b")


def test_reordered_parameters_keep_their_slots_by_name() -> None:
    head = 'generation {} "x"\n  standard c++17\n  header <x.h>\n  clock frame\n  mixing real\n{}'
    drafts = {}
    for name, follows, construct in (
        ("one", "", "paint Glow(a: paint, n: number)\n"),
        ("two", "  follows one\n", "paint Gleam(n: number, a: paint)\n  renames Glow\n"),
        ("three", "  follows two\n", "paint Shine(count: number, colour: paint)\n  renames Gleam\n"),
    ):
        draft = Draft()
        read_text(draft, head.format(name, follows) + "unit number is plain\n" + construct, "x.pack")
        drafts[name] = draft
    slots = [c.slots for name in drafts for group in finish(name, drafts).constructs.values() for c in group]
    assert slots == [("a", "n"), ("n", "a"), ("n", "a")]


def test_a_scale_of_nothing_is_refused() -> None:
    with pytest.raises(PackError) as told:
        unit("unit bpm is tempo of 1/0 1..9")
    assert told.value.code == "pack-scale"


def test_a_unit_of_whole_numbers_says_so_and_one_without_decimals_stays_whole_where_it_is_taken_over() -> None:
    assert unit("unit code is plain 0..255 whole").whole and not unit("unit hz is rate 1..9 spelled hz").whole
    both = unit("unit beats is plain whole spelled beats")
    assert both.whole and both.spelled == "beats"
    for generation in library().values():
        for name, one in generation.units.items():
            older = name.partition(".")[0] if "." in name else generation.name
            if library()[older].decimals == 0:
                assert one.whole, f"{name} of {generation.name}"
    assert any(not one.whole for generation in library().values() for one in generation.units.values())
