"""What all tests share: drawn examples are the same each time, and a busy machine fails none of them."""

from __future__ import annotations

import gc
from collections.abc import Generator

import pytest
from _pytest.doctest import DoctestModule
from hypothesis import HealthCheck, settings

from tests.few import few, nothing_learned

settings.register_profile(
    "house", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
settings.load_profile("house")


@pytest.fixture
def unlearned(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the commands learn nothing: for tests that look at something else."""
    for place, instead in nothing_learned():
        monkeypatch.setattr(place, instead)


@pytest.fixture
def few_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the real model draw few engines."""
    for defaults, name, number in few():
        monkeypatch.setitem(defaults, name, number)


def pytest_collection() -> None:
    """Look for garbage less often: a seventh of the processor went there."""
    gc.set_threshold(20_000, 20, 20)


def pytest_collection_finish() -> None:
    """Never look among the tests themselves."""
    gc.collect()
    gc.freeze()


@pytest.hookimpl(wrapper=True)
def pytest_collect_file() -> Generator[None, list[pytest.Collector], list[pytest.Collector]]:
    """Look for no examples in docstrings here: what is run by hand would be loaded for them."""
    return [found for found in (yield) if not isinstance(found, DoctestModule)]
