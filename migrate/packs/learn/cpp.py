"""Reads C++ headers with tree-sitter-cpp. Never raises on any input; what it cannot read it lists with a reason."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import tree_sitter_cpp
from tree_sitter import Language, Node, Parser

from migrate.packs.learn.facts import Headers, Kind, Template, TemplateParameter, Unread, Word, tokens

SUFFIXES = (".h", ".hpp", ".hh", ".hxx", ".inl", ".ipp", "")
_CLASSES = ("class_specifier", "struct_specifier", "union_specifier")
_BRANCHES = ("preproc_if", "preproc_ifdef", "preproc_elif", "preproc_else", "preproc_elifdef")
_PARAMETERS = {
    "type_parameter_declaration": "type", "optional_type_parameter_declaration": "type",
    "variadic_type_parameter_declaration": "type", "parameter_declaration": "value",
    "optional_parameter_declaration": "value", "variadic_parameter_declaration": "value",
    "template_template_parameter_declaration": "template",
}  # fmt: skip
_INTEGERS = re.compile(
    r"\b(?:int|long|short|unsigned|signed|char|size_t|ptrdiff_t|u?int(?:_fast|_least)?\d+_t|u?intptr_t|auto)\b"
)


_CONDITION = re.compile(rb"^([ \t]*#[ \t]*(?:el)?if[ \t])((?:\\\r?\n|[^\n])*)", re.MULTILINE)
_CALLED = re.compile(rb"^[ \t]*[A-Z][A-Z0-9]*_[A-Z0-9_]*[ \t]*\([^()\n]*\)[ \t]*;?[ \t]*$", re.MULTILINE)
_CAPITALS = re.compile(rb"(?<![\w#])[A-Z][A-Z0-9]*_[A-Z0-9_]+(?!\w)(?![ \t]*[(=,;)>&|?:<+*/-])")


@cache
def _parser() -> Parser:
    return Parser(Language(tree_sitter_cpp.language()))


def _blank(found: re.Match[bytes]) -> bytes:
    return re.sub(rb"[^\n]", b" ", found[0])


def _tree(data: bytes) -> tuple[bytes, Node]:
    """The tree of a text; where that has errors, of the text without what macros hide, if that has fewer.

    Conditions of #if read as 1, since their macros need not be C++; words in capitals that stand before a
    declaration or alone in a line are macros. Offsets stay.
    """
    root = _parser().parse(data).root_node
    if not root.has_error:
        return data, root
    plain = _CONDITION.sub(lambda m: m[1] + b"1" + re.sub(rb"[^\n]", b" ", m[2][1:]) if m[2] else m[0], data)
    plain = _CALLED.sub(_blank, plain)
    lines = plain.split(b"\n")
    plain = b"\n".join(x if x.lstrip().startswith(b"#") else _CAPITALS.sub(_blank, x) for x in lines)
    other = _parser().parse(plain).root_node
    return (data, other) if _errors(other) < _errors(root) else (data, root)


def _errors(root: Node) -> int:
    count, stack = 0, [root]
    while stack:
        node = stack.pop()
        count += node.type == "ERROR" or node.is_missing
        stack.extend(c for c in node.children if c.has_error or c.is_missing)
    return count


def header_files(paths: tuple[Path, ...]) -> list[Path]:
    """The header files among files and folders, in order."""
    out: list[Path] = []
    for path in paths:
        found = sorted(p for p in path.rglob("*") if p.is_file() and p.suffix in SUFFIXES) if path.is_dir() else [path]
        out.extend(p for p in found if p not in out)
    return out


def read_headers(paths: tuple[Path, ...]) -> Headers:
    """What these headers say."""
    out = Headers()
    for path in header_files(paths):
        try:
            data = path.read_bytes()
        except OSError as error:
            out.unread.append(Unread(str(path), 1, path.name, f"cannot be opened: {error.strerror}"))
            continue
        _File(out, str(path), data).read()
    return out


@dataclass(frozen=True)
class _Place:
    """Where the walk is: the names it is inside of, whether in a class, in a branch of #if, and the template head."""

    path: tuple[str, ...] = ()
    member: bool = False
    guarded: bool = False
    head: Node | None = None


class _File:
    """Walks one file's tree without recursion, so that no nesting is too deep."""

    def __init__(self, out: Headers, file: str, data: bytes) -> None:
        self.out, self.file, self.data = out, file, data

    def read(self) -> None:
        """Adds all that the file says."""
        self.data, root = _tree(self.data)
        stack: list[tuple[Node, _Place]] = [(root, _Place())]
        while stack:
            node, place = stack.pop()
            if node.type == "ERROR" or node.is_missing:
                self._unread(
                    node, self._line_of(node), "this is no C++ that the grammar knows, or a macro hides what it is"
                )
            stack.extend(reversed(list(self._visit(node, place))))

    def _visit(self, node: Node, place: _Place) -> Iterator[tuple[Node, _Place]]:
        match node.type:
            case "namespace_definition":
                name = node.child_by_field_name("name")
                parts = self._text(name).replace(" ", "").split("::") if name is not None else ["(anonymous)"]
                yield from self._children(node, replace(place, path=(*place.path, *parts), head=None))
            case "template_declaration":
                self._keep_text(node, place)
                head = node.child_by_field_name("parameters")
                yield from self._children(node, replace(place, head=head))
            case "class_specifier" | "struct_specifier" | "union_specifier":
                yield from self._class(node, place)
            case "alias_declaration":
                self._alias(node, place)
            case "enum_specifier":
                self._enum(node, place)
            case "declaration" | "field_declaration":
                self._keep_text(node, place)
                self._constant(node, place)
                yield from self._children(node, place)
            case "function_definition":
                self._keep_text(node, place)
                yield from ((c, replace(place, head=None)) for c in node.children if c.type in _CLASSES)
                if node.has_error:  # a macro before a class makes it look like a function
                    yield from self._children(node, place)
            case kind if kind in _BRANCHES:
                yield from self._children(node, replace(place, guarded=place.guarded or not self._is_guard(node)))
            case "template_parameter_list" | "requires_clause" | "attribute_declaration":
                return
            case _:
                yield from self._children(node, place)

    @staticmethod
    def _children(node: Node, place: _Place) -> Iterator[tuple[Node, _Place]]:
        return ((child, place) for child in node.children)

    # ---- helpers --------------------------------------------------------------------------------

    def _text(self, node: Node | None) -> str:
        return "" if node is None else self.data[node.start_byte : node.end_byte].decode("utf-8", "replace")

    def _bare(self, name: Node) -> str:
        """A class's name without the arguments of a specialisation."""
        return self._text(name).partition("<")[0].strip()

    def _line_of(self, node: Node) -> str:
        start = self.data.rfind(b"\n", 0, node.start_byte) + 1
        end = self.data.find(b"\n", node.start_byte)
        return self.data[start : end if end >= 0 else len(self.data)].decode("utf-8", "replace").strip()[:60]

    def _unread(self, node: Node, what: str, why: str) -> None:
        self.out.unread.append(Unread(self.file, node.start_point.row + 1, what, why))

    def _keep_text(self, node: Node, place: _Place) -> None:
        """Keeps a definition's tokens by every name that it may define, to tell later what has changed.

        Members are part of their class's text: another class may have one of the same name.
        """
        if place.member:
            return
        words = tokens(self._text(node))
        for name in self._defined(node):
            self.out.texts.setdefault(name, set()).add(" ".join(words))

    def _defined(self, node: Node) -> Iterator[str]:
        stack = [node]
        while stack:
            one = stack.pop()
            if one.type in (*_CLASSES, "alias_declaration"):
                yield self._text(one.child_by_field_name("name"))
            elif one.type in ("function_declarator", "init_declarator"):
                found = one.child_by_field_name("declarator")
                yield self._text(found).rpartition("::")[2]
            else:
                stack.extend(c for c in one.children if c.type != "compound_statement")

    def _is_guard(self, node: Node) -> bool:
        """Whether an #ifndef is the file's own include guard."""
        name = self._text(node.child_by_field_name("name"))
        first = next((c for c in node.children if c.type == "preproc_def"), None)
        guard = (
            node.type == "preproc_ifdef" and first is not None and self._text(first.child_by_field_name("name")) == name
        )
        return guard and self._text(node).startswith("#ifndef")

    # ---- templates ------------------------------------------------------------------------------

    def _class(self, node: Node, place: _Place) -> Iterator[tuple[Node, _Place]]:
        name, body = node.child_by_field_name("name"), node.child_by_field_name("body")
        inner = replace(place, head=None)
        if name is not None:
            inner = replace(inner, path=(*place.path, self._bare(name)), member=True)
            owner = node.parent
            friend = owner is not None and owner.type in ("friend_declaration",)
            if name.type == "template_type" or name.type == "qualified_identifier":
                pass  # a specialisation, or what is defined outside of its class: the template itself stands elsewhere
            elif place.head is not None and not friend:
                self._template(node, place, self._text(name), "class", self._text(body))
            elif body is not None and not place.member and self._holds_values(body):
                self._keep_text(node, place)
                self._unread(node, self._text(name), "a class that holds values: no word that a style names")
            elif body is not None and not place.member:
                self._keep_text(node, place)
                notes = self._notes(node)
                self.out.words.append(
                    Word(self._text(name), "class", place.path, self.file, node.start_point.row + 1, notes=notes)
                )
        if body is not None:
            yield from self._children(body, inner)

    @staticmethod
    def _holds_values(body: Node) -> bool:
        """Whether a class has members that are no functions."""
        fields = [c for c in body.named_children if c.type == "field_declaration"]
        return any(not _is_function(c) and not any(k.type == "static" for k in _below(c)) for c in fields)

    def _alias(self, node: Node, place: _Place) -> None:
        name = self._text(node.child_by_field_name("name"))
        if place.head is not None:
            self._template(node, place, name, "alias", self._text(node.child_by_field_name("type")))

    def _template(self, node: Node, place: _Place, name: str, form: str, body: str) -> None:
        assert place.head is not None
        owner = node
        while owner.parent is not None and owner.type != "template_declaration":
            owner = owner.parent
        found = [self._parameter(c) for c in place.head.named_children if c.type in _PARAMETERS]
        if not found and not place.head.named_children:
            return  # `template <>`: a specialisation
        notes, deprecated = self._notes(owner), self._deprecated(owner, body)
        self.out.templates.append(
            Template(
                name, form, place.path, tuple(found), self.file, node.start_point.row + 1,  # type: ignore[arg-type]
                place.member, body, notes, deprecated, place.guarded,
            )
        )  # fmt: skip

    def _parameter(self, node: Node) -> TemplateParameter:
        kind = _PARAMETERS[node.type]
        default = node.child_by_field_name("default_type") or node.child_by_field_name("default_value")
        variadic = node.type.startswith("variadic") or any(c.type == "..." for c in node.children)
        if kind == "template":
            inner = node.named_children[-1] if node.named_children else node
            return TemplateParameter(self._first_name(inner), "template", "..." in self._text(inner))
        if kind == "type":
            name = node.child_by_field_name("name") or next(
                (c for c in node.children if c.type == "type_identifier"), None
            )
            text = self._text(default) if default is not None else None
            return TemplateParameter(self._text(name), "type", variadic, text)
        type_text = self._text(node.child_by_field_name("type"))
        declarator = node.child_by_field_name("declarator")
        name_text = self._first_name(declarator) if declarator is not None else ""
        text = self._text(default) if default is not None else None
        return TemplateParameter(name_text, _value_kind(type_text), variadic, text, type_text)

    def _first_name(self, node: Node) -> str:
        found = re.findall(r"[A-Za-z_]\w*", self._text(node))
        return next((n for n in reversed(found) if n not in ("class", "typename", "template")), "")

    # ---- words ----------------------------------------------------------------------------------

    def _enum(self, node: Node, place: _Place) -> None:
        name, body = self._text(node.child_by_field_name("name")), node.child_by_field_name("body")
        scoped = any(c.type in ("class", "struct") for c in node.children)
        for item in body.named_children if body is not None else ():
            if item.type == "enumerator":
                path = (*place.path, name) if scoped else place.path
                word = self._text(item.child_by_field_name("name"))
                self.out.words.append(Word(word, "enumerator", path, self.file, item.start_point.row + 1, of=name))

    def _constant(self, node: Node, place: _Place) -> None:
        head = self._text(node).split("=")[0]
        if place.head is not None or place.member or not re.search(r"\b(?:constexpr|const)\b", head):
            return
        for item in node.named_children:
            if item.type == "init_declarator":
                name = self._first_name(item.child_by_field_name("declarator") or item)
                value = self._text(item.child_by_field_name("value"))
                self.out.words.append(
                    Word(name, "constant", place.path, self.file, node.start_point.row + 1, value=value)
                )

    def _notes(self, node: Node) -> tuple[str, ...]:
        """The comment that stands right above, in one line a paragraph."""
        lines: list[str] = []
        before, row = node.prev_sibling, node.start_point.row
        while before is not None and before.type == "comment" and before.end_point.row >= row - 1:
            lines.insert(0, self._text(before))
            row, before = before.start_point.row, before.prev_sibling
        said = " ".join(re.sub(r"^\s*(?:/{2,}!?<?|/\*+|\*+/|\*(?!/))|\*+/\s*$", "", one, flags=re.M) for one in lines)
        said = " ".join(said.replace('"', "'").split())
        return (said,) if said else ()

    def _deprecated(self, node: Node, body: str) -> str | None:
        """What a deprecated mark says, empty where it says nothing; None where there is no mark."""
        head = self._text(node).replace(body, "", 1)
        found = re.search(r"\[\[\s*deprecated\s*(?:\(\s*\"([^\"]*)\"\s*\))?\s*\]\]", head)
        return None if found is None else found[1] or ""


def _below(node: Node) -> Iterator[Node]:
    """The node's words, two levels down."""
    for child in node.children:
        yield child
        yield from child.children


def _is_function(field: Node) -> bool:
    declarator = field.child_by_field_name("declarator")
    while declarator is not None and declarator.type in ("reference_declarator", "pointer_declarator"):
        declarator = declarator.named_children[-1] if declarator.named_children else None
    return declarator is None or declarator.type == "function_declarator"


def _value_kind(type_text: str) -> Kind:
    if re.search(r"\bbool\b", type_text):
        return "bool"
    if re.search(r"\b(?:float|double)\b", type_text):
        return "decimal"
    return "integer" if _INTEGERS.search(type_text) else "other"
