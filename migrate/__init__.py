"""Carries blade styles from one firmware generation to another, and proves the look."""

__version__ = "0.1.0"
