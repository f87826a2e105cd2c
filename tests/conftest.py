"""Shared by all tests: hypothesis profiles, and the versions that a run stands on."""

import importlib.metadata
import os
import sys
from pathlib import Path

import hypothesis
import pint
import pytest

from outgas import units

# helpers that stand beside the tests
for folder in (
    "published",
    "laminate",
    "window",
    "tables",
    "physics",
    "no_gauge",
    "bench",
    "properties",
    "shop_card",
    "abuse",
    "mutation",
    "panels",
):
    sys.path.insert(0, str(Path(__file__).parent / folder))

hypothesis.settings.register_profile("desk", max_examples=40, deadline=None)
hypothesis.settings.register_profile("ci", max_examples=50, deadline=None, derandomize=True)
hypothesis.settings.register_profile(
    "mutation", max_examples=15, deadline=None, derandomize=True, database=None
)  # for tests/mutation: many runs, each of a few seconds
hypothesis.settings.load_profile("ci" if os.environ.get("CI") else "desk")


def pytest_report_header() -> str:
    names = ("numpy", "scipy", "CoolProp", "pint", "msgspec", "click")
    return ", ".join(f"{name} {importlib.metadata.version(name)}" for name in names)


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory):
    """Keep the user's cache folder out of it."""
    folder = tmp_path_factory.mktemp("cache")
    before = os.environ.get("XDG_CACHE_HOME")
    os.environ["XDG_CACHE_HOME"] = str(folder)
    yield
    if before is None:
        del os.environ["XDG_CACHE_HOME"]
    else:
        os.environ["XDG_CACHE_HOME"] = before


@pytest.fixture(autouse=True)
def no_job_of_the_users_own(monkeypatch: pytest.MonkeyPatch):
    """Keep a saved job that the user's shell names out of it."""
    monkeypatch.delenv("OUTGAS_JOB", raising=False)


@pytest.fixture(autouse=True)
def registry_given_back():
    """A command run in this process sets its own registry of units; none may outlive a test."""
    before = pint.get_application_registry().get()
    yield
    units.made_when_needed(lambda: before)  # one that a command never needed must not come later
    units.registry()
    pint.set_application_registry(before)
