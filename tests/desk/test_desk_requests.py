"""What the page may send, and how a file is written back as it came."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from migrate.desk.requests import BadRequestError, Form, asked
from migrate.desk.work import Units
from migrate.source import SourceFile
from tests.desk.desk_requests import body


def test_added_events_join_the_scene_in_order_of_time() -> None:
    one = asked(
        body(
            scene="probe",
            events=[
                {"event": "clash", "start": 2_000_000, "place": 0.2},
                {"event": "lock", "start": 100_000, "end": 500_000},
            ],
        )
    )
    starts = [e.start for e in one.scene.events]
    assert starts == sorted(starts) and len(starts) == len(asked(body()).scene.events) + 2
    clash = next(e for e in one.scene.events if e.start == 2_000_000)
    assert (clash.event, clash.end, clash.place, clash.strength) == ("clash", None, 0.2, 1.0)
    lock = next(e for e in one.scene.events if e.start == 100_000)
    assert lock.end == 500_000


def test_a_held_event_without_an_end_lasts_to_the_end_of_the_scene() -> None:
    one = asked(body(events=[{"event": "melt", "start": 10}]))
    assert next(e for e in one.scene.events if e.start == 10).end == one.scene.duration


@pytest.mark.parametrize(
    "more",
    [
        {"events": [{"event": "boom", "start": 0}]},
        {"events": [{"event": "clash"}]},
        {"events": [{"event": "clash", "start": -1}]},
        {"events": [{"event": "lock", "start": 5, "end": 5}]},
        {"events": [{"event": "clash", "start": True}]},
        {"events": [{"event": "clash", "start": 0, "place": 1.5}]},
        {"events": [{"event": "clash", "start": float("nan")}]},
        {"events": [{"event": "clash", "start": 0}] * 65},
        {"events": "clash"},
        {"scene": "probe.scene"},
        {"scene": "/etc/passwd"},
        {"pixels": 1001},
        {"pixels": "12"},
        {"to": "wick0"},
        {"text": "x" * 256_001},
        {"name": 3},
        {"form": "crlf"},
    ],
)
def test_what_is_out_of_range_is_refused(more: dict[str, Any]) -> None:
    with pytest.raises(BadRequestError):
        asked(body(**more))


def test_a_path_in_a_name_is_cut_to_its_last_part() -> None:
    assert asked(body(name="../../etc/quay.h")).name == "quay.h"
    assert asked(body(name="C:\\props\\quay.h")).name == "quay.h"
    assert asked(body(name="..")).name in ("..", "pasted.h")


@pytest.mark.parametrize(
    "data",
    [
        b"a\nb\n",
        b"a\r\nb\r\n",
        b"\xef\xbb\xbfa\n",
        b"\xef\xbb\xbfa\r\n",
        "gr\xfcn\n".encode("latin-1"),
        "grün\n".encode(),
    ],
)
def test_a_file_comes_back_byte_for_byte(data: bytes) -> None:
    """What the page's script does on opening a file, written out once more, and what a download undoes."""
    try:
        text, encoding = data.decode("utf-8-sig"), "utf-8"
    except UnicodeDecodeError:
        text, encoding = data.decode("latin-1"), "latin-1"
    form = Form(b"\r\n" in data, data.startswith(b"\xef\xbb\xbf"), encoding)
    assert form.bytes(text.replace("\r\n", "\n")) == data


def test_a_character_that_latin_1_lacks_makes_a_file_utf_8() -> None:
    assert Form(encoding="latin-1").bytes("ü€") == "ü€".encode()


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=40), st.integers(0, 40))
def test_offsets_agree_with_what_a_browser_counts(text: str, at: int) -> None:
    units = Units(SourceFile("x.h", text.encode()))
    head = text[:at]
    assert units.out(len(head.encode())) == len(head.encode("utf-16-le")) // 2
    assert units.into(len(head.encode("utf-16-le")) // 2) == len(head.encode())
