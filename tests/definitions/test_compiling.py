"""What becomes of definitions compiles with the target's own headers."""

from __future__ import annotations

import pytest

from migrate.native import NativeError, check_syntax
from migrate.packs.library import library
from migrate.proof import build_of
from tests.definitions.moving import moved
from tests.definitions.test_constants import STAFF
from tests.definitions.test_macros import COIN, SHEETS, STICK, UNDERSTUDY
from tests.definitions.test_templates import LIBRARY, SOFT, STICKS

QUIET = b"#define WICK_QUIET_COMPAT 1\n"
MARK = "constexpr int mark = 20;\nconstexpr int call = 1'100;\n"
CASES = {
    "expression macro": ("wick2", "wick3", COIN),
    "expression macro two up": ("wick2", "wick4", COIN),
    "declaring macro written out": ("wick1", "wick2", STICK),
    "declaring macro": ("wick3", "wick4", UNDERSTUDY),
    "listing macro": ("wick3", "wick4", SHEETS),
    "listing macro written out": ("wick3", "wick2", SHEETS),
    "template": ("wick2", "wick4", STICKS),
    "template written out": ("wick2", "wick1", STICKS),
    "template of numbers": ("wick4", "wick3", LIBRARY),
    "template with decimals": ("wick3", "wick4", SOFT),
    "constant with decimals": ("wick3", "wick4", MARK + STAFF),
    "constant in an old standard": ("wick3", "wick1", MARK + STAFF),
}


@pytest.mark.slow
@pytest.mark.parametrize(("source", "target", "body"), CASES.values(), ids=CASES.keys())
def test_it_compiles(source: str, target: str, body: str) -> None:
    text = QUIET + moved(source, target, body).text
    try:
        assert check_syntax(text, build_of(library()[target])) == []
    except NativeError as error:
        if error.diagnostics[0].code != "no-compiler":
            raise
        pytest.skip("no C++ compiler here")
