"""The second family, brought in by its packs alone: moved to and from the built-in one, with grades by measurement."""

from __future__ import annotations

from pathlib import Path

import pytest

from migrate.pipeline import Moved, Options, move
from migrate.report.showing import CannotShowError, find
from migrate.source import SourceFile
from tests.packs.tutorial import FOLDER, ROOT

PACKS = (FOLDER / "packs",)


def moved(source: SourceFile, to: str) -> Moved:
    return move(source, Options(to, packs=PACKS))


def grades(one: Moved) -> dict[str, str]:
    return {style.name: style.grade for style in one.styles}


def config(name: str) -> SourceFile:
    return SourceFile(name, (FOLDER / "configs" / name).read_bytes())


def test_to_wick3_all_is_same_or_close_but_what_has_no_meaning() -> None:
    found = grades(moved(config("quay_hands.h"), "wick3"))
    assert {name: found[name] for name in ("Semaphore", "Gutterlight")} == {"Semaphore": "same", "Gutterlight": "same"}
    assert {found[n] for n in ("QuayLamp", "RopeWalk", "LowWater", "FogHorn")} == {"close"}
    assert found["Phosphor"] in ("refused", "kept")


def test_there_and_back_gives_the_numbers_back() -> None:
    there = moved(config("quay_hands.h"), "wick3")
    back = moved(SourceFile("quay_hands.h", there.text), "marram1").text.decode()
    squeezed = "".join(back.split())
    for part in (
        "OnStruck<750,Dye<255,255,255>,",
        "Stripes<6,45,LampOil,Dye<20,80,190>>",
        "Gutter<1800,",
        "Dimmed<4500,",
    ):
        assert part in squeezed
    assert set(grades(moved(SourceFile("quay_hands.h", there.text), "marram1")).values()) <= {
        "same",
        "close",
        "unmeasured",
    }


def test_the_next_release_changes_names_order_and_units_exactly() -> None:
    one = moved(config("quay_hands.h"), "marram2")
    text = one.text.decode()
    assert {g for n, g in grades(one).items() if n != "Phosphor"} == {"same"}
    for part in (
        "Swell<72, LampOil, Dye<4, 24, 64>>",
        "Blink<Dye<0, 0, 255>, Dye<0, 0, 0>, 240>",
        "Dimmed<45, ",
        "Mix<Loudness, ",
    ):
        assert part in text
    back = moved(SourceFile("quay_hands.h", one.text), "marram1")
    assert back.text == config("quay_hands.h").data or set(grades(back).values()) <= {"same", "unmeasured"}


def test_what_has_no_meaning_moves_by_name_alone_and_is_never_called_measured() -> None:
    one = moved(config("quay_hands.h"), "marram2")
    (phosphor,) = (s for s in one.styles if s.name == "Phosphor")
    assert (phosphor.grade, phosphor.figures) == ("unmeasured", None)
    assert "Glimmer<600, 300, Dye<64, 32, 16>, Dye<255, 255, 255>>" in one.text.decode()
    assert one.exit == 1


@pytest.mark.parametrize("target", ["marram1", "marram2"])
def test_the_demo_config_moves_into_the_second_family(target: str) -> None:
    demo = ROOT / "corpora" / "demo" / "lantern_quay.h"
    one = moved(SourceFile(demo.name, demo.read_bytes()), target)
    assert not any(d.severity == "error" for d in one.diagnostics)
    found = grades(one)
    assert set(found.values()) <= {"same", "close", "changed"}
    assert found["toll_stick"] == found["bell_rope"] == "same"
    assert found["gale_lantern"] == "close"


def test_configs_are_dated_by_their_marker_and_by_their_header_alone() -> None:
    for name, generation in (("quay_hands.h", "marram1"), ("prompt_side.h", "marram2")):
        data = config(name).data
        unmarked = b"\n".join(line for line in data.split(b"\n") if b"MARRAM_RELEASE" not in line)
        for text in (data, unmarked):
            assert moved(SourceFile(name, text), "wick4").origin == generation


def test_moving_again_changes_nothing(tmp_path: Path) -> None:
    once = moved(config("prompt_side.h"), "marram1")
    again = moved(SourceFile("prompt_side.h", once.text), "marram1")
    assert again.text == once.text


def test_pictures_of_what_has_no_meaning_are_refused_in_words() -> None:
    with pytest.raises(CannotShowError, match="no pack says what a part of it means"):
        find(config("quay_hands.h"), "Phosphor", "probe", Options("", packs=PACKS), None)
