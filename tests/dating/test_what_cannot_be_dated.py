"""What is said of a text that no generation can be told of: why, and what to do."""

from __future__ import annotations

import pytest

from migrate.diagnostics import Diagnostic
from migrate.pipeline import Options, move
from migrate.source import SourceFile

PROSE = b"Tam has the lamps. Using the long ladder is fine.\n"
STYLE = b"using bell = power_sleeve<rgb<180, 150, 60>, 150, 1000>;\n"


def said(data: bytes, name: str = "quay.h") -> Diagnostic:
    (only,) = move(SourceFile(name, data), Options("wick4", prove=False)).diagnostics
    return only


@pytest.mark.parametrize("data", [b"", PROSE, b"constexpr int rise = 300;\n"], ids=["empty", "prose", "numbers"])
def test_a_text_without_a_style_is_told_so_before_a_generation_is_asked_for(data: bytes) -> None:
    found = said(data)
    assert found.code == "undeclared-generation"
    assert found.message == "no style is found here, and nothing says which generation this is"
    assert found.hint.startswith("give the file that holds the styles; where it is this one, say which with --read-as ")


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be"])
def test_utf_16_is_named_with_the_way_out(encoding: str) -> None:
    found = said("\ufeff".encode(encoding) + STYLE.decode().encode(encoding))
    assert (found.code, found.severity) == ("not-text", "error")
    assert "UTF-16" in found.message
    assert "iconv -f UTF-16 -t UTF-8" in found.hint


def test_the_hint_offers_only_the_readings_that_are_possible() -> None:
    found = said(b"using tide = rgb<0, 70, 200>;\n")
    assert "as wick2 and as wick3 and as wick4" in found.message
    assert found.hint == (
        "say which with --read-as wick2 or --read-as wick3 or --read-as wick4, or add the generation's include"
    )
