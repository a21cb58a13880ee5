"""Settings of the whole suite."""

from __future__ import annotations

import os

from hypothesis import settings

# The machines that run this are small and shared: an example may take its time. CI repeats the same examples.
settings.register_profile("default", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "default")
