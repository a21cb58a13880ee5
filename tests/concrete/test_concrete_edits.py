from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from migrate.concrete.edits import Edit, apply_edits


def test_edits_are_made_at_their_places_in_any_order() -> None:
    data = b"using tide = rgb<0, 70, 200>;"
    edits = [Edit(17, 18, b"1"), Edit(6, 10, b"ebb"), Edit(29, 29, b" // done")]
    assert apply_edits(data, edits) == b"using ebb = rgb<1, 70, 200>; // done"


def test_insertions_at_one_place_keep_their_order() -> None:
    assert apply_edits(b"ab", [Edit(1, 1, b"2"), Edit(1, 1, b"1")]) == b"a21b"


def test_touching_edits_do_not_overlap() -> None:
    assert apply_edits(b"abcd", [Edit(1, 2, b"X"), Edit(2, 3, b"Y")]) == b"aXYd"


@pytest.mark.parametrize("edits", [[Edit(0, 3, b""), Edit(2, 4, b"")], [Edit(0, 4, b""), Edit(2, 2, b"x")]])
def test_overlap_is_refused(edits: list[Edit]) -> None:
    with pytest.raises(ValueError, match="overlaps"):
        apply_edits(b"abcd", edits)


@pytest.mark.parametrize("edit", [Edit(-1, 0, b""), Edit(3, 5, b""), Edit(2, 1, b"")])
def test_edits_outside_are_refused(edit: Edit) -> None:
    with pytest.raises(ValueError, match="outside"):
        apply_edits(b"abcd", [edit])


@given(st.binary(max_size=40), st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40), st.binary(max_size=3))))
def test_what_no_edit_touches_is_kept(data: bytes, raw: list[tuple[int, int, bytes]]) -> None:
    edits, at = [], 0
    for start, length, text in raw:
        if at + start + length > len(data):
            break
        edits.append(Edit(at + start, at + start + length, text))
        at += start + length + 1
    expected, kept = b"", 0
    for edit in edits:
        expected += data[kept : edit.start] + edit.text
        kept = edit.end
    assert apply_edits(data, edits) == expected + data[kept:]
