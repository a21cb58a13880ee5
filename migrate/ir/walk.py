"""Generic walks over IR nodes: children, rebuilding, and whether a part holds noise."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from operator import is_not
from typing import Any

from migrate.ir import nodes as ir

NODE_CLASSES = frozenset(value for value in vars(ir).values() if isinstance(value, type) and is_dataclass(value))

# What a field's annotation may say of one that never holds a node.
_SCALARS = frozenset(
    ("int", "str", "bool", "Rational", "LengthUnit", "Encoding", "Space", "Edges", "Wave", "NoiseKind", "Operator")
)
_SCALAR_PARTS = ("Rational", "Literal", "tuple[str")
_FIELD_NAMES: dict[type[Any], tuple[str, ...]] = {}
_BELOW: dict[type[Any], tuple[str, ...]] = {}


def field_names(cls: type[Any]) -> tuple[str, ...]:
    """The field names of a node class, in order of declaration."""
    found = _FIELD_NAMES.get(cls)
    if found is None:
        found = _FIELD_NAMES[cls] = tuple(f.name for f in fields(cls))
    return found


def _fields_below(cls: type[Any]) -> tuple[str, ...]:
    """The fields that may hold nodes."""
    found = _BELOW.get(cls)
    if found is None:
        scalar = {f.name for f in fields(cls) if f.type in _SCALARS or any(w in str(f.type) for w in _SCALAR_PARTS)}
        found = _BELOW[cls] = tuple(name for name in field_names(cls) if name not in scalar)
    return found


def children(node: Any) -> Iterator[Any]:
    """The nodes directly below, in field order."""
    for name in _fields_below(type(node)):
        value = getattr(node, name)
        if type(value) is tuple:
            for item in value:
                if type(item) in NODE_CLASSES:
                    yield item
        elif type(value) in NODE_CLASSES:
            yield value


def rebuild(node: Any, change: Callable[[Any], Any]) -> Any:
    """The node with `change` applied to each node directly below; the same object where nothing changed."""
    below = _fields_below(type(node))
    if not below:
        return node
    changes: dict[str, Any] = {}
    for name in below:
        value = getattr(node, name)
        if type(value) is tuple:
            items = tuple([change(item) if type(item) in NODE_CLASSES else item for item in value])
            if any(map(is_not, items, value)):
                changes[name] = items
        elif type(value) in NODE_CLASSES:
            new = change(value)
            if new is not value:
                changes[name] = new
    if not changes:
        return node
    return type(node)(*[changes[n] if n in changes else getattr(node, n) for n in field_names(type(node))])


_NOISY = frozenset((ir.Noise, ir.Hearth, ir.Scatter, ir.Opaque))


def holds_noise(node: Any) -> bool:
    """Whether the part draws random numbers, so that its place in the walk matters."""
    kind = type(node)
    if kind in _NOISY:
        return True
    for name in _fields_below(kind):
        value = getattr(node, name)
        if type(value) is tuple:
            for item in value:
                if type(item) in NODE_CLASSES and holds_noise(item):
                    return True
        elif type(value) in NODE_CLASSES and holds_noise(value):
            return True
    return False


def opaque_parts(node: Any) -> Iterator[ir.Opaque]:
    """Every part whose meaning no pack states, outermost first; none in what is no node."""
    stack = [node] if type(node) in NODE_CLASSES else []
    while stack:
        part = stack.pop()
        if type(part) is ir.Opaque and part.identity:
            yield part
        stack.extend(reversed([*children(part)]))
