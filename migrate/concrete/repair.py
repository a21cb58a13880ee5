"""Small repairs of the tree where the damage is plain."""

from __future__ import annotations

from migrate.concrete.nodes import Node


def lift_name(value: Node) -> tuple[Node, Node | None]:
    """In ``typedef a<b<1, 2 name;`` the name was read as part of the last argument: gives it back.

    Returns the value without it, its missing brackets moved before the blanks, and the name; or the value as it
    is and None.
    """
    chain = [value]
    while True:
        inner = [child for child in chain[-1].children if child.kind not in ("comment", "missing")]
        if chain[-1].children[-1].kind != "missing" or len(inner) < 2:
            return value, None
        if inner[-1].kind == "error":
            break
        if inner[-1].kind != "application":
            return value, None
        chain.append(inner[-1])
    junk = inner[-1]
    if len(junk.children) != 1 or junk.children[0].kind != "name" or junk.children[0][1:3] != junk[1:3]:
        return value, None
    end = inner[-2].end
    rebuilt = junk
    for node in reversed(chain):
        kept = tuple(child for child in node.children if child.end <= end and child.kind != "missing")
        if rebuilt is not junk:
            kept = (*(child for child in kept if child.start < rebuilt.start), rebuilt)
        rebuilt = Node(node.kind, node.start, end, (*kept, Node("missing", end, end, ())))
    return rebuilt, junk.children[0]
