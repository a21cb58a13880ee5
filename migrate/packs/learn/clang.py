"""What libclang makes of the same headers, where it is installed: names looked up, types seen through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from migrate.packs.learn.facts import Headers, Kind, Template, TemplateParameter, Unread

try:
    from clang import cindex
except ImportError:  # pragma: no cover  # an extra
    cindex = None


class NoClangError(Exception):
    """libclang is not there, or does not start; says why."""


@dataclass(frozen=True)
class Seen:
    """A template as libclang sees it."""

    form: str
    name: str
    full: str
    file: str
    line: int
    kinds: tuple[Kind, ...]
    names: tuple[str, ...] = ()
    member: bool = False


def seen(paths: tuple[Path, ...], include_dirs: tuple[Path, ...] = (), standard: str = "c++17") -> list[Seen]:
    """The class and alias templates that libclang sees in these files; raises NoClangError."""
    out = []
    for form, cursor in _templates(paths, include_dirs, standard):
        given = [c for c in cursor.get_children() if c.kind.name.startswith("TEMPLATE_")]
        file = str(Path(cursor.location.file.name).resolve())
        member = cursor.semantic_parent.kind.name not in ("NAMESPACE", "TRANSLATION_UNIT")
        names = tuple(c.spelling for c in given)
        kinds = tuple(_kind(c) for c in given)
        out.append(Seen(form, cursor.spelling, _full(cursor), file, cursor.location.line, kinds, names, member))
    return out


def refined(headers: Headers, known: list[Seen]) -> None:
    """Puts right what only a look-up of names can tell: what a template stands in, and of what kind its parameters are.

    What libclang alone sees, since a macro makes it, is added; what it does not see in an open place is taken out.
    Both are listed as not read by the grammar.
    """
    left = {s.full: s for s in known}
    by_place = {(s.file, s.line, s.name): s for s in known}
    full = {s.full for s in known}
    kept: list[Template] = []
    for template in headers.templates:
        key = (str(Path(template.file).resolve()), template.line, template.name)
        found = by_place.get(key)
        if found is not None:
            left.pop(found.full, None)
            parameters = template.parameters
            if len(found.kinds) == len(parameters):
                parameters = tuple(_refined(p, kind) for p, kind in zip(parameters, found.kinds, strict=True))
            template = replace(template, parameters=parameters, path=tuple(found.full.split("::")[:-1]), guarded=False)
        elif template.full not in full and not template.guarded:
            why = "libclang sees no such template here: what stands before it misleads the grammar"
            headers.unread.append(Unread(template.file, template.line, template.full, why))
            continue
        kept.append(template)
    known_names = {t.full for t in kept}
    for one in left.values():
        if one.full not in known_names:
            headers.unread.append(Unread(one.file, one.line, one.full, "libclang alone sees it: a macro makes it"))
            kept.append(_from_clang(one))
    headers.templates[:] = kept


def _from_clang(one: Seen) -> Template:
    parameters = tuple(TemplateParameter(n, k) for n, k in zip(one.names, one.kinds, strict=True))
    form: Any = one.form
    return Template(one.name, form, tuple(one.full.split("::")[:-1]), parameters, one.file, one.line, one.member)


def _refined(parameter: TemplateParameter, kind: Kind) -> TemplateParameter:
    return replace(parameter, kind=kind) if parameter.kind == "other" and kind != "type" else parameter


def _kind(cursor: Any) -> Kind:
    if cursor.kind.name == "TEMPLATE_TYPE_PARAMETER":
        return "type"
    if cursor.kind.name == "TEMPLATE_TEMPLATE_PARAMETER":
        return "template"
    kind = cursor.type.get_canonical().kind.name
    if kind == "BOOL":
        return "bool"
    if kind == "ENUM":
        return "enum"
    if kind in ("FLOAT", "DOUBLE", "LONGDOUBLE"):
        return "decimal"
    integers = ("INT", "UINT", "SHORT", "USHORT", "LONG", "ULONG", "LONGLONG", "ULONGLONG", "CHAR_S", "SCHAR", "UCHAR")
    return "integer" if kind in integers else "other"


def _full(cursor: Any) -> str:
    parts = []
    while cursor is not None and cursor.kind.name != "TRANSLATION_UNIT":
        if cursor.spelling or cursor.kind.name == "NAMESPACE":
            parts.append(cursor.spelling or "(anonymous)")
        cursor = cursor.semantic_parent
    return "::".join(reversed([p for p in parts if not p.startswith("(anonymous namespace") or p == "(anonymous)"]))


def _templates(paths: tuple[Path, ...], include_dirs: tuple[Path, ...], standard: str) -> Iterator[tuple[str, Any]]:
    if cindex is None:
        raise NoClangError("the package libclang is not installed")
    wanted = {str(p.resolve()) for p in paths}
    arguments = ["-x", "c++", f"-std={standard}", "-ferror-limit=0", *(f"-I{d}" for d in (*include_dirs, *_system()))]
    text = "".join(f'#include "{p.resolve()}"\n' for p in paths)
    try:
        index = cindex.Index.create()
        unit = index.parse("all.cpp", arguments, [("all.cpp", text)], cindex.TranslationUnit.PARSE_SKIP_FUNCTION_BODIES)
    except Exception as error:
        raise NoClangError(str(error)) from None
    stack = [unit.cursor]
    while stack:
        cursor = stack.pop()
        kind = cursor.kind.name
        file = cursor.location.file
        wanted_kind = kind in ("CLASS_TEMPLATE", "TYPE_ALIAS_TEMPLATE_DECL") and file is not None
        own = wanted_kind and cursor.semantic_parent == cursor.lexical_parent
        if own and str(Path(file.name).resolve()) in wanted:
            yield ("class" if kind == "CLASS_TEMPLATE" else "alias"), cursor
        if kind in ("TRANSLATION_UNIT", "NAMESPACE", "CLASS_TEMPLATE", "CLASS_DECL", "STRUCT_DECL", "UNION_DECL",
                    "CLASS_TEMPLATE_PARTIAL_SPECIALIZATION", "LINKAGE_SPEC", "UNEXPOSED_DECL"):  # fmt: skip
            stack.extend(cursor.get_children())


def _system() -> list[str]:
    """The folders of the system's own headers: the wheel of libclang brings no C++ library."""
    folders = [Path("/usr/include"), *Path("/usr/include").glob("*-linux-gnu"), *Path("/usr/include/c++").glob("*")]
    folders += [
        p / "c++" / v.name for p in Path("/usr/include").glob("*-linux-gnu") for v in Path("/usr/include/c++").glob("*")
    ]
    folders += Path("/usr/lib/gcc").glob("*/*/include")
    ordered = [*Path("/usr/include/c++").glob("*"), *folders]
    return list(dict.fromkeys(str(p) for p in ordered if p.is_dir()))
