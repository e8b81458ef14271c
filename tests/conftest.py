"""What every test may use: Hypothesis settings, and the things a machine may or may not have."""

import os
import shutil
from pathlib import Path

import pytest
from hypothesis import settings

# No deadline: the first call of an example may build a grammar or start a solver.
settings.register_profile("alertlang", deadline=None, print_blob=True)
# The same examples every time, so that an unlucky draw never fails somebody else's change.
settings.register_profile("alertlang-ci", settings.get_profile("alertlang"), derandomize=True)
settings.load_profile("alertlang-ci" if os.environ.get("CI") else "alertlang")


@pytest.fixture(scope="session")
def checkout(pytestconfig: pytest.Config) -> Path:
    """The top folder of the checkout."""
    return pytestconfig.rootpath


@pytest.fixture(scope="session")
def shared_dir(checkout: Path) -> Path:
    """The folder of recorded logs and reference texts that may lie beside the checkout."""
    folder = checkout.parent / "shared"
    if not folder.is_dir():
        pytest.skip("no folder 'shared' beside the checkout: its logs and references are not published")
    return folder


@pytest.fixture(scope="session")
def chromium() -> str:
    """The command of a Chromium to draw pages with."""
    for name in ("chromium", "chromium-browser"):
        if path := shutil.which(name):
            return path
    pytest.skip("no Chromium on this machine: what it would draw cannot be looked at")
