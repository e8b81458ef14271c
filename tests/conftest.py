"""What every test may use: Hypothesis settings, and the things a machine may or may not have."""

import gc
import shutil
from functools import cache
from pathlib import Path

import pytest
import typer.testing
from hypothesis import HealthCheck, is_hypothesis_test, settings

# The same examples everywhere and every time: an unlucky draw never fails somebody else's change, nor a user's first
# `make test`. No deadline and no complaint of slowness: neither is the same on two machines. `make fuzz` draws afresh.
settings.register_profile(
    "alertlang",
    deadline=None,
    print_blob=True,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("alertlang")

# Of each command line a test runner puts all commands together anew, which takes longer than most of them run.
typer.testing._get_command = cache(typer.main.get_command)  # type: ignore[attr-defined]

_SHARE = 6
"""Of so many examples that a property asks for `make test` draws one, in the same order; `make test-all` draws all."""
_ALIKE = 3
"""Of so many cases of a test that is marked `alike` `make test` takes one."""


def _share(config: pytest.Config) -> int:
    return 1 if config.getoption("all_examples") else config.getoption("share") or _SHARE


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--all-examples",
        action="store_true",
        help="draw as many examples as each property asks for, and take all recorded runs",
    )
    parser.addoption(
        "--share",
        type=int,
        help="take every case of every test, but of so many examples that a property asks for draw one",
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("all_examples"):
        return
    share, every_case = _share(config), config.getoption("share") is not None
    beside = [item for item in items if item.get_closest_marker("shared")]
    if not every_case:
        beside += [item for item in items if item.get_closest_marker("thorough")]
    alike: dict[str, list[pytest.Item]] = {}
    for item in items:
        if item.get_closest_marker("alike") and not every_case:
            alike.setdefault(item.nodeid.partition("[")[0], []).append(item)
    beside += [item for cases in alike.values() for number, item in enumerate(cases) if number % _ALIKE]
    config.hook.pytest_deselected(items=beside)
    items[:] = [item for item in items if item not in set(beside)]
    # Cases of one test share its function.
    for test in {item.obj for item in items if isinstance(item, pytest.Function) and is_hypothesis_test(item.obj)}:
        own = test._hypothesis_internal_use_settings
        test._hypothesis_internal_use_settings = settings(own, max_examples=-(-own.max_examples // share))


def pytest_collection_finish() -> None:
    """What was collected stays to the end: to look through it for garbage again and again takes a sixth of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 10, 10)


@pytest.fixture(scope="session")
def share(pytestconfig: pytest.Config) -> int:
    """Of so many cases a test that goes through them by itself takes one; 1 where all are asked for."""
    return _share(pytestconfig)


@pytest.fixture
def seed() -> int:
    """Where chance begins in a test that is not drawn by Hypothesis: always here, but anew each time in `make fuzz`."""
    return 1


@pytest.fixture(scope="session")
def checkout(pytestconfig: pytest.Config) -> Path:
    """The top folder of the checkout."""
    return pytestconfig.rootpath


@pytest.fixture(scope="session")
def chromium() -> str:
    """The command of a Chromium to draw pages with."""
    for name in ("chromium", "chromium-browser"):
        if path := shutil.which(name):
            return path
    pytest.skip("no Chromium on this machine: what it would draw cannot be looked at")
