"""The side-by-side view: nothing lost, words marked, unchanged stretches folded."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from migrate.report.html.sidediff import Row, rows, table

line = st.text(alphabet="ab<>, 1\t&\"'", max_size=12)
text = st.lists(line, max_size=12).map("\n".join)


def side(found: list[Row], left: bool) -> list[tuple[int, str]]:
    cells = [row.left if left else row.right for row in found]
    return [(cell[0], "".join(piece for piece, _ in cell[1])) for cell in cells if cell is not None]


@given(text, text)
def test_both_texts_stand_whole_with_their_line_numbers(before: str, after: str) -> None:
    found = rows(before, after, (10, 20), None)
    assert side(found, True) == list(enumerate(before.splitlines(), 10))
    assert side(found, False) == list(enumerate(after.splitlines(), 20))


@given(text, text)
def test_equal_rows_hold_equal_lines(before: str, after: str) -> None:
    for row in rows(before, after, near=None):
        if row.kind == "equal":
            assert row.left is not None and row.right is not None and row.left[1] == row.right[1]


def test_changed_constructs_are_marked_and_what_stayed_is_not() -> None:
    found = rows("using a = sway<rgb<1, 2, 3>, x, 80>;", "using a = sway<duty<1, 2, 3>, x, 80>;")
    assert [(p, c) for p, c in found[0].left[1] if c] == [("rgb", True)]  # type: ignore[union-attr,index]
    assert [(p, c) for p, c in found[0].right[1] if c] == [("duty", True)]  # type: ignore[union-attr,index]


def test_a_long_unchanged_stretch_is_folded_once_and_short_ones_never() -> None:
    same = [f"line {k}" for k in range(30)]
    found = rows("\n".join(["old", *same, "end"]), "\n".join(["new", *same, "tail"]))
    assert [row.kind for row in found].count("gap") == 1
    assert len(found) == 1 + 3 + 1 + 3 + 1
    short = rows("a\nx\ny\nz\nb", "c\nx\ny\nz\nd")
    assert "gap" not in [row.kind for row in short]


def test_what_a_text_holds_stays_text_in_the_table() -> None:
    shown = table(rows("<b>1</b>", '"&amp;<i>'), ("a<b", "c"), "caption & all")
    assert "<b>" not in shown and "<i>" not in shown and "&amp;<ins>amp</ins>;" in shown and "a&lt;b" in shown
