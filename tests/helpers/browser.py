"""Pages in a real browser, without a screen: Debian's chromium, where it is installed."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

_NAMES = ("chromium", "chromium-browser", "google-chrome")
BROWSER = next((found for name in _NAMES if (found := shutil.which(name))), None)

needs_browser = pytest.mark.skipif(BROWSER is None, reason="no chromium is installed")


def _run(profile: Path, *arguments: str) -> str:
    assert BROWSER is not None
    # No sandbox, for builds run as root; a profile of its own, so that several tests can have one open at once.
    common = ("--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", f"--user-data-dir={profile}")
    done = subprocess.run([BROWSER, *common, *arguments], capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def dom(page: Path, profile: Path) -> str:
    """What the browser has made of a page, as HTML, scripts run. `profile`: an empty folder for the browser."""
    return _run(profile, "--dump-dom", page.resolve().as_uri())


def printed(page: Path, profile: Path, target: Path) -> bytes:
    """A page as the browser prints it, as PDF."""
    _run(profile, "--no-pdf-header-footer", f"--print-to-pdf={target}", page.resolve().as_uri())
    return target.read_bytes()
