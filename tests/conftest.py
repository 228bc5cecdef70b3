"""What all tests share: drawn examples are the same each time, and a busy machine fails none of them."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile(
    "house", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
settings.load_profile("house")
