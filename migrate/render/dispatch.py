"""The tables from a node's class to its numpy function; one module per sort fills each."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from migrate.render.context import Context
    from migrate.render.shapes import Moment

# Paints are (3, T or 1, N or 1) in the mixing's own numbers, signals (T or 1, N or 1) doubles 0 to 1:
# an axis that does not matter has length 1, and broadcasting leaves it out of the work.
Array = NDArray[Any]
Light = NDArray[Any]
Level = NDArray[np.float64]
Node = TypeVar("Node")

PAINTS: dict[type, Callable[[Context, Any], Light]] = {}
SIGNALS: dict[type, Callable[[Context, Any], Level]] = {}
SHAPES: dict[type, Callable[[Context, Any, Moment], Level]] = {}


def paint(kind: type[Node]) -> Callable[[Callable[[Context, Node], Light]], Callable[[Context, Node], Light]]:
    """Registers the function that evaluates paints of this class."""

    def register(function: Callable[[Context, Node], Light]) -> Callable[[Context, Node], Light]:
        PAINTS[kind] = function
        return function

    return register


def signal(kind: type[Node]) -> Callable[[Callable[[Context, Node], Level]], Callable[[Context, Node], Level]]:
    """Registers the function that evaluates signals of this class."""

    def register(function: Callable[[Context, Node], Level]) -> Callable[[Context, Node], Level]:
        SIGNALS[kind] = function
        return function

    return register


def shape(
    kind: type[Node],
) -> Callable[[Callable[[Context, Node, Moment], Level]], Callable[[Context, Node, Moment], Level]]:
    """Registers the function that evaluates envelopes of this class."""

    def register(function: Callable[[Context, Node, Moment], Level]) -> Callable[[Context, Node, Moment], Level]:
        SHAPES[kind] = function
        return function

    return register
