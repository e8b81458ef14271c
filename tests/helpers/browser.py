"""Pages in a real browser, without a screen. `browser` is what the fixture `chromium` gives."""

from __future__ import annotations

import subprocess
from pathlib import Path


def _run(browser: str, profile: Path, *arguments: str) -> str:
    # No sandbox, for builds run as root; a profile of its own, so that several tests can have one open at once.
    common = ("--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", f"--user-data-dir={profile}")
    done = subprocess.run([browser, *common, *arguments], capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def dom(browser: str, page: Path, profile: Path) -> str:
    """What the browser has made of a page, as HTML, scripts run. `profile`: an empty folder for the browser."""
    return _run(browser, profile, "--dump-dom", page.resolve().as_uri())


def printed(browser: str, page: Path, profile: Path, target: Path) -> bytes:
    """A page as the browser prints it, as PDF."""
    _run(browser, profile, "--no-pdf-header-footer", f"--print-to-pdf={target}", page.resolve().as_uri())
    return target.read_bytes()
