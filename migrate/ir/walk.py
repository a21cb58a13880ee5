"""Generic walks over IR nodes: children, rebuilding, and whether a part holds noise."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from migrate.ir import nodes as ir


_FIELD_NAMES: dict[type[Any], tuple[str, ...]] = {}


def field_names(cls: type[Any]) -> tuple[str, ...]:
    """The field names of a node class, in order of declaration."""
    found = _FIELD_NAMES.get(cls)
    if found is None:
        found = _FIELD_NAMES[cls] = tuple(f.name for f in fields(cls))
    return found


def children(node: Any) -> Iterator[Any]:
    """The nodes directly below, in field order."""
    for name in field_names(type(node)):
        value = getattr(node, name)
        if isinstance(value, tuple):
            yield from (item for item in value if is_dataclass(item))
        elif is_dataclass(value):
            yield value


def rebuild(node: Any, change: Callable[[Any], Any]) -> Any:
    """The node with `change` applied to each node directly below; the same object where nothing changed."""
    values: list[Any] = []
    changed = False
    for name in field_names(type(node)):
        value = getattr(node, name)
        new = value
        if isinstance(value, tuple):
            items = tuple(change(item) if is_dataclass(item) else item for item in value)
            if any(a is not b for a, b in zip(items, value, strict=True)):
                new = items
        elif is_dataclass(value):
            new = change(value)
        changed = changed or new is not value
        values.append(new)
    return type(node)(*values) if changed else node


def holds_noise(node: Any) -> bool:
    """Whether the part draws random numbers, so that its place in the walk matters."""
    if isinstance(node, (ir.Noise, ir.Hearth, ir.Scatter, ir.Opaque)):
        return True
    return any(holds_noise(child) for child in children(node))


def opaque_parts(node: Any) -> Iterator[ir.Opaque]:
    """Every part whose meaning no pack states, outermost first."""
    if isinstance(node, ir.Opaque) and node.identity:
        yield node
    for child in children(node):
        yield from opaque_parts(child)
