"""The names that a hint offers are the most like ones of all, though those of the packs are sought only once."""

from __future__ import annotations

from difflib import get_close_matches
from random import Random

import pytest

from migrate.concrete.parse import parse
from migrate.ir.facts import Blade
from migrate.lift import Lifter
from migrate.packs.library import library
from migrate.scope import scope_of
from migrate.source import SourceFile

FILE = b"using blend_in = a; using grounds = b; using mirrors = c; using tap = d; using hearts = e;\n"


@pytest.mark.parametrize("name", tuple(library()))
def test_near_names_are_those_of_one_search_over_all(name: str) -> None:
    generation, random = library()[name], Random(7)
    parsed = parse(SourceFile("near.h", FILE))
    lifter = Lifter(scope_of(parsed.source, parsed.items), generation, Blade())
    every = [*generation.constructs, *lifter.scope.definitions]
    assert {"grounds", "hearts"} <= set(every)
    for known in every:
        at = random.randrange(len(known))
        for written in (known, known[:at] + known[at + 1 :], known[:at] + random.choice("aehst_") + known[at:]):
            assert lifter._near(written) == get_close_matches(written, every, 3), written
