from tree_sitter import TreeCursor

def language() -> object:
    """The grammar of style code, for tree_sitter.Language."""

def walk(
    cursor: TreeCursor,
    node_type: type,
    table: list[str | bool | None],
    application: int,
    handler: object,
    base: int,
    most: int,
) -> list[object]:
    """The children of the root under the cursor, as nodes. See build.Builder, which is the handler."""
