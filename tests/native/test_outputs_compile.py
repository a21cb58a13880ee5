"""Every output of every move of every corpus file compiles cleanly with its own generation's headers.

One test for each ordered pair of generations; its files are compiled by two processes at a time, syntax only.
`python -m tests.outputs_compile` prints what fails by cause.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest

from migrate.native import Toolchain
from tests.corpus import own_generation
from tests.outputs_compile import moves, outputs, said

PAIRS = sorted({(own_generation(path), target) for path, target in moves()})


@pytest.mark.parametrize(("own", "target"), PAIRS, ids=[f"{own} to {target}" for own, target in PAIRS])
def test_every_output_compiles_with_the_headers_of_its_generation(own: str, target: str, chain: Toolchain) -> None:
    made = [output for path, to in moves((f"{own}:{target}",)) for output in outputs(path, to)]
    assert made
    with ThreadPoolExecutor(2) as pool:
        found = zip(made, pool.map(said, made), strict=True)
        wrong = [f"{output}, line {line}: {what}" for output, lines in found for line, what in lines]
    assert wrong == []


def test_an_output_that_does_not_compile_is_seen(chain: Toolchain) -> None:
    (made,) = outputs("corpora/demo/lantern_quay.h", "wick3")
    broken = made.data.replace(b"burst<", b"brust<", 1)
    assert broken != made.data and said(type(made)(made.path, made.target, "", broken))
