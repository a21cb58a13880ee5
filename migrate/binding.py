"""Gives each argument of an application to the parameter that it is for, or says why there is none."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from migrate.concrete.nodes import Node, arguments
from migrate.packs.model import Construct, Parameter
from migrate.packs.signature import Signature, Signatures

# Makes an exception of a code, the node to blame, a message, a hint, and how far the reading came.
Failing = Callable[[str, Node, str, str, int], Exception]
Bound = dict[str, tuple[Node, ...]]


class Binder:
    """Binds the arguments of one file, read as one generation."""

    def __init__(self, signatures: Signatures, text: Callable[[Node], str], fail: Failing) -> None:
        self.signatures, self.text, self.fail = signatures, text, fail

    def bind(self, signature: Signature, node: Node, given: tuple[Node, ...]) -> Bound:
        """The argument nodes of each parameter: by tag, by sort where floating, else by position."""
        nodes: Bound = {}
        bare: Sequence[Node] = given
        if signature.tagged or signature.floating:
            bare = [a for a in given if not self._by_name(signature, a, nodes)]
        self._by_position(signature, node, bare, nodes)
        for parameter in signature.named:
            if parameter.name not in nodes:
                word = parameter.tag[0] if parameter.tag else self.signatures.generation.spread(parameter.sorts)[0]
                message = f"`{signature.construct.name}` needs `{word}<…>`"
                raise self.fail("missing-argument", node.children[0], message, f"add `{word}<…>`", 2)
        return nodes

    def _by_name(self, signature: Signature, argument: Node, nodes: Bound) -> bool:
        """Binds an argument that its tag or its sort gives a parameter; whether it did."""
        head = self.head(argument)
        if head in signature.tagged and argument.kind == "application":
            self._by_tag(signature, head, argument, nodes)
            return True
        for parameter in signature.floating:
            if self.signatures.heads(head, self.signatures.generation.spread(parameter.sorts)):
                nodes[signature.floating[0].name] = (argument,)
                return True
        return False

    def head(self, argument: Node) -> str:
        """The bare name of an application or a word; empty for anything else."""
        head = argument.children[0] if argument.kind == "application" else argument
        return self.signatures.bare(self.text(head)) if head.kind == "name" else ""

    def _by_tag(self, signature: Signature, head: str, argument: Node, nodes: Bound) -> None:
        inner = arguments(argument)
        for parameter in signature.tagged[head]:
            if len(parameter.tag) == 1:
                found: tuple[Node, ...] = inner
            else:
                found = tuple(a for i in inner if self.head(i) == parameter.tag[1] for a in arguments(i))
            if not found:
                continue
            if parameter.name in nodes:
                raise self.fail("doubled-argument", argument, f"`{head}<…>` is given twice", "leave one out", 3)
            if len(found) > 1 and not parameter.variadic:
                message = f"`{head}` takes 1 argument, {len(found)} given"
                raise self.fail("wrong-argument-count", argument, message, "", 3)
            nodes[parameter.name] = found

    def _by_position(self, signature: Signature, node: Node, bare: Sequence[Node], nodes: Bound) -> None:
        at = 0
        for parameter in signature.positional:
            if at >= len(bare):
                break
            if parameter.variadic:
                nodes[parameter.name] = tuple(bare[at:])
                at = len(bare)
            else:
                nodes[parameter.name] = (bare[at],)
                at += 1
        if at < len(bare) or not signature.required <= nodes.keys():
            positional, least = list(signature.positional), len(signature.required)
            raise self._count(signature.construct, node, positional, least, list(bare), list(bare[at:]))

    def _count(
        self, construct: Construct, node: Node, positional: list[Parameter], least: int, bare: list[Node],
        rest: list[Node],
    ) -> Exception:  # fmt: skip
        gap = next((argument for argument in bare if argument.kind == "missing"), None)
        if gap is not None:
            return self.fail("missing-close", gap, f"a bracket of `{construct.name}` is not closed", "", 3)
        if rest and self.head(rest[0]) in self.signatures.generation.tags and any(p.tag for p in construct.parameters):
            known = ", ".join(f"`{p.tag[0]}`" for p in construct.parameters if p.tag)
            message = f"`{construct.name}` has no argument `{self.head(rest[0])}`; it has {known}"
            return self.fail("unknown-argument", rest[0], message, "", 2)
        most = len(positional)
        wanted = str(most) if least == most else f"{least} to {most}"
        if any(p.variadic for p in positional):
            wanted = f"at least {least + sum(not p.optional for p in positional if p.variadic)}"
        noun = "argument" if wanted in ("1", "at least 1") else "arguments"
        message = f"`{construct.name}` takes {wanted} {noun}, {len(bare)} given"
        return self.fail("wrong-argument-count", rest[0] if rest else node, message, example(construct), 1)


def example(construct: Construct) -> str:
    """How a construct is written, for a hint."""
    return f"for example `{construct.examples[0]}`" if construct.examples else ""
