"""Drafts packs from C++ headers: what can stand in a style, and what changed between two releases."""
