"""What the benchmark's generator makes of a pack compiles with the headers of its generation: the two agree."""

from __future__ import annotations

from itertools import islice

import pytest

from migrate.native import GenerationBuild, Toolchain, check_syntax
from migrate.packs.library import library
from migrate.proof import build_of
from tests.bench.generate import config, distinct
from tests.outputs_compile import QUIET


@pytest.mark.parametrize("name", sorted(library()))
def test_a_style_made_of_a_pack_is_taken_by_the_header(name: str, chain: Toolchain) -> None:
    generation = library()[name]
    styles = [(f"style_{n}", style) for n, style in enumerate(islice(distinct(name, 7), 40))]
    build = build_of(generation)
    native = GenerationBuild(build.include_dirs, build.standard, QUIET)
    assert check_syntax(config(generation, styles).encode(), native, toolchain=chain) == []
