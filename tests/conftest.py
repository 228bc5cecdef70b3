"""What all tests share: drawn examples are the same each time, and a busy machine fails none of them."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, settings

from tests.few import few

settings.register_profile(
    "house", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
settings.load_profile("house")


@pytest.fixture
def few_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the real model draw few engines."""
    for defaults, name, number in few():
        monkeypatch.setitem(defaults, name, number)
