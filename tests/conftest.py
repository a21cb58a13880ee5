"""Settings of the whole suite."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

# A parallel run gives its workers a terminal width; what is tested is a pipe that has none.
os.environ.pop("COLUMNS", None)

# The machines that run this are small and shared: an example may take its time. CI repeats the same examples.
settings.register_profile("default", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "default")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-golden", action="store_true", help="Rewrite the expected reports beside their inputs.")


@pytest.fixture
def update_golden(request: pytest.FixtureRequest) -> bool:
    """Whether expected reports are to be rewritten instead of compared."""
    return bool(request.config.getoption("--update-golden"))
