"""No nesting is deep enough for a traceback or a crash, and time stays linear."""

from __future__ import annotations

import gc
import pickle

import pytest
from concrete_helpers import parsed

from migrate.concrete.nodes import MAX_NESTING, Node, text

DEEP = 100_000
AFTER = "\nusing after = rgb<1, 2, 3>;\n"
SHAPES = {
    "closed": "using x = " + "a<" * DEEP + "1" + ">" * DEEP + ";",
    "unclosed": "using x = " + "a<" * DEEP,
    "parentheses": "using x = a<" + "(" * DEEP + "1" + ")" * DEEP + ">;",
    "unclosed parentheses": "using x = a<" + "(" * DEEP,
    "sums": "using x = a<" + "1+" * DEEP + "1>;",
    "signs": "using x = a<" + "-" * DEEP + "1>;",
    "calls": "using x = " + "f(" * DEEP + ";",
    "junk": "using x = a<1 " + "b<1 " * DEEP + ";",
}


def height(root: Node) -> int:
    deepest, stack = 0, [(root, 1)]
    while stack:
        node, level = stack.pop()
        deepest = max(deepest, level)
        stack.extend((child, level + 1) for child in node.children)
    return deepest


@pytest.mark.parametrize("shape", sorted(SHAPES))
def test_deep_nesting_is_told_and_cut(shape: str) -> None:
    source = SHAPES[shape] + AFTER
    found = parsed(source)
    assert text(found.root, source.encode()) == source.encode()
    assert "nested-too-deep" in {diagnostic.code for diagnostic in found.diagnostics}
    assert getattr(found.items[-1], "name", "") == "after"
    assert height(found.root) <= MAX_NESTING + 3
    # what recurses in C over a tuple: none of these may fail
    assert hash(found.root) == hash(parsed(source).root)
    assert pickle.loads(pickle.dumps(found.root)) == found.root
    assert repr(found.root).startswith("Node(")


ROWS = ["{", "}", "template <", "namespace a {", "#\n", "/*", 'R"(\n', '"\n', ",", "a::", ">"]


@pytest.mark.parametrize("shape", ROWS)
def test_long_rows_of_one_thing_are_read(shape: str) -> None:
    source = (shape * 20_000 + AFTER).encode()
    assert text(parsed(source).root, source) == source


def test_nesting_up_to_the_limit_is_read_whole() -> None:
    inner = MAX_NESTING - 1
    assert parsed("using x = " + "a<" * inner + "1" + ">" * inner + ";").diagnostics == ()


def test_nodes_are_no_burden_to_the_cycle_collector() -> None:
    root = parsed("using x = dim<rgb<1, 2, 3>, 50>;").root
    inner = root.children[0].children[1]
    assert not gc.is_tracked(inner) and not gc.is_tracked(inner.children)
