"""What the desk answers: moves, marks, comparisons, constructs, downloads."""

from __future__ import annotations

import io
import re
from base64 import b64decode

import numpy as np
import pytest
from PIL import Image

from migrate.compare.figures import compare
from migrate.desk import explain
from migrate.desk.requests import BadRequestError, asked
from migrate.desk.work import Desk, plain_map
from migrate.pipeline import Options, frames_of, move, read, scene_named
from migrate.report.gallery import seen
from migrate.report.pictures import srgb_codes
from migrate.source import SourceFile
from tests.desk.desk_requests import PORT, TEXT, body

BEFORE, AFTER = "sway<LAMP_OIL, duty<255, 90, 0>", "sway<LAMP_OIL, duty<255, 220, 0>"


@pytest.fixture(scope="module")
def desk() -> Desk:
    return Desk()


@pytest.fixture(scope="module")
def moved(desk: Desk) -> str:
    text = desk.move(asked(body()))["text"]
    assert isinstance(text, str) and BEFORE in text
    return text


def pictures(markup: str) -> dict[str, np.ndarray]:
    found = re.findall(r'src="data:image/png;base64,([^"]+)"[^>]* data-side="(\w+)"', markup)
    return {side: np.asarray(Image.open(io.BytesIO(b64decode(data))).convert("RGB")) for data, side in found}


def test_a_move_is_the_command_lines_move(desk: Desk) -> None:
    answer = desk.move(asked(body()))
    same = move(SourceFile("lantern_quay.h", TEXT.encode()), Options("wick3"))
    assert answer["text"].encode() == same.text
    assert [(s["name"], s["grade"]) for s in answer["styles"]] == [(s.name, s.grade) for s in same.styles]
    assert {s["name"]: s["label"] for s in answer["styles"]}["ninth_lamp"] == "The ninth lamp"


def test_the_pictures_are_the_light_of_both_texts(desk: Desk, moved: str) -> None:
    answer = desk.play(asked(body(moved=moved, style="harbour_watch", scene="probe")))
    drawn, scene = pictures(answer["plots"]), scene_named("probe")
    for side, text, reading in (("before", TEXT, "wick2"), ("after", moved, "wick3")):
        found = read(SourceFile("x.h", text.encode()), Options("", reading))
        frames = seen(frames_of(found.lifted["harbour_watch"], found, scene), scene.rate)  # type: ignore[union-attr]
        assert drawn[side].shape == (180, 132, 3)
        for t, i in ((10, 4), (90, 66), (150, 130)):
            assert drawn[side][t, i].tolist() == srgb_codes(frames[t, i] / 255.0).tolist()


def test_an_edit_is_seen_at_once_and_measured_in_full_after(desk: Desk, moved: str) -> None:
    edit = asked(body(moved=moved.replace(BEFORE, AFTER), style="ninth_lamp"))
    quick = desk.play(edit)
    assert not quick["exact"] and quick["grade"] == "" and "measuring" in quick["figures"]
    assert pictures(quick["plots"])["difference"].max() > 200
    full = desk.play(asked(body(moved=moved.replace(BEFORE, AFTER), style="ninth_lamp", full=True)))
    assert full["exact"] and "changed" in full["grade"]
    readings = [
        read(SourceFile("x.h", t.encode()), Options("", g)) for t, g in ((TEXT, "wick2"), (edit.moved, "wick3"))
    ]
    frames = [frames_of(r.lifted["ninth_lamp"], r, scene_named("probe")) for r in readings]  # type: ignore[union-attr]
    figures = compare(frames[0], frames[1], 250)
    assert f"ΔE 95 % {figures.p95:.2f}, largest {figures.largest:.2f}" in full["figures"]


def test_the_quick_figure_is_the_plain_difference() -> None:
    rng = np.random.default_rng(5)
    one = rng.integers(0, 256, (6, 7, 3), dtype=np.uint8)
    two = rng.integers(0, 256, (6, 7, 3), dtype=np.uint8)
    two[0] = one[0]
    two[1] = np.where(one[1] < 255, one[1] + 1, one[1])
    found = plain_map(one, two)
    assert not found[:2].any()
    for t, i in ((2, 0), (3, 3), (5, 6)):
        alone = compare(np.repeat(one[t : t + 1, i : i + 1], 5, 0), np.repeat(two[t : t + 1, i : i + 1], 5, 0), 50)
        assert found[t, i] == pytest.approx(alone.plain_largest, abs=1e-9)


def test_an_added_event_is_drawn_on_both_blades(desk: Desk, moved: str) -> None:
    event = [{"event": "clash", "start": 2_000_000}]
    drawn = pictures(desk.play(asked(body(moved=moved, style="ninth_lamp", events=event)))["plots"])
    for side in ("before", "after"):
        assert drawn[side][101].min() == 255 and drawn[side][95].min() < 255


def test_a_torn_edit_is_told_and_the_old_blade_still_plays(desk: Desk, moved: str) -> None:
    torn = moved.replace("using ninth_lamp = pile<", "using ninth_lamp = pile<<<")
    answer = desk.play(asked(body(moved=torn, style="ninth_lamp")))
    assert "refused" in answer["grade"] and answer["figures"]
    assert list(pictures(answer["plots"])) == ["before"]


def test_a_style_that_is_not_there_is_refused(desk: Desk) -> None:
    with pytest.raises(BadRequestError, match="nobody"):
        desk.play(asked(body(style="nobody")))


def test_marks_point_at_the_names_and_know_a_mixed_file() -> None:
    text = (
        "#define WICK_GENERATION 3\n#include <wick/pile.h>\n#include <wick/compat2.h>\nusing namespace wick; // – ü\n"
        "using one = pile<duty<1, 2, 3>, power<wipe<300>, wipe<450>>>;\n"
        "using two = power_sleeve<dim<duty<9, 9, 9>, 50>, 300, 450>;\n"
    )
    found = explain.dating(asked(body(text=text)))
    assert found["generation"] == "wick3" and set(found["mixed"]) == {"wick2", "wick3"}
    units = text.encode("utf-16-le")
    for mark in found["marks"]:
        assert units[2 * mark["start"] : 2 * mark["end"]].decode("utf-16-le").endswith(mark["name"])
    dated = {m["name"]: m["generation"] for m in found["marks"]}
    assert dated["power_sleeve"] == "wick2" and dated["pile"] == "wick3"


@pytest.mark.parametrize(
    ("style", "here", "there"),
    [
        ("ninth_lamp", "clash_sleeve", "on<ev::clash, duty<255, 255, 255>, burst<80>>"),
        ("ninth_lamp", "rgb<255, 170", "duty<255, 170, 60>"),
        ("gale_lantern", "collar_sleeve", "veil<duty<255, 60, 0>, hilt<152>>"),
        ("gale_lantern", "flutter", "blend<duty<255, 150, 30>, duty<200, 84, 8>, held_noise<90, whole>>"),
    ],
)
def test_a_construct_knows_its_counterpart(desk: Desk, moved: str, style: str, here: str, there: str) -> None:
    at = TEXT.index(here, TEXT.index(f"using {style}"))
    found = explain.construct(desk, asked(body(moved=moved, offset=at + 1)))
    assert [c["text"] for c in found["counterparts"]] == [there]
    assert "means" in found["pack"] and found["span"][0] == at
    back = explain.construct(
        desk, asked(body(moved=moved, side="moved", offset=found["counterparts"][0]["span"][0] + 1))
    )
    assert back["counterparts"][0]["span"][0] == at


def test_downloads_are_what_stands_on_the_page(moved: str) -> None:
    pytest.importorskip("starlette", reason="the desk's extra is not installed: pip install 'rehilt[desk]'")
    pytest.importorskip("httpx", reason="httpx is not installed: pip install 'rehilt[browser]'")
    from starlette.testclient import TestClient

    from migrate.desk.app import create_app

    client = TestClient(create_app(PORT), base_url=f"http://127.0.0.1:{PORT}")
    edited = moved.replace(BEFORE, AFTER)
    crlf = {"crlf": True}
    whole = client.post("/file", json=body(moved=edited, form=crlf)).content
    assert whole == edited.replace("\n", "\r\n").encode()
    patch = client.post("/patch", json=body(moved=edited)).content.decode()
    assert patch.startswith("--- a/lantern_quay.h\n+++ b/lantern_quay.h\n") and f"+        {AFTER}" in patch
    report = client.post("/report", json=body(moved=edited)).text
    assert "1 changed" in report and "duty" in report
