"""How long the laws may look: `LAW_EXAMPLES=2000 pytest tests/laws` looks longer than the suite does."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

# Drawing a whole style takes longer than hypothesis expects of a strategy; the number of examples bounds the time.
_SLOW = (HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much)


def law(examples: int = 60) -> settings:
    """Settings for a law: deterministic or not as the loaded profile says (tests/conftest.py)."""
    wanted = int(os.environ.get("LAW_EXAMPLES", examples))
    return settings(max_examples=wanted, deadline=None, suppress_health_check=_SLOW)
