"""A profile to write rules against, and one call from some files to what is said about them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from alertlang.model.load import Loaded, load_ruleset

PROFILE = """profile "osier" version 1
source S common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F
quantity cht[4] "Cylinder head temperature" from 0 to 600 F
quantity ratio from 0 to 1
switch canopy "Canopy" open, latched
switch flaps up, takeoff, landing
switch mode on, off, normal
condition running means rpm above 400 rpm
redline: limit rpm at most 2750 rpm, needs warning, source S
"""

Load = Callable[..., Loaded]


@pytest.fixture
def load(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Load:
    """Writes files (name to text or bytes) beside `osier.profile` and loads the last of them."""
    monkeypatch.chdir(tmp_path)

    def write_and_load(files: dict[str, str | bytes], search: tuple[Path, ...] = ()) -> Loaded:
        for name, text in {"osier.profile": PROFILE, **files}.items():
            path = tmp_path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return load_ruleset(Path(list(files)[-1]), search=search)

    return write_and_load


@pytest.fixture
def rules(load: Load) -> Callable[[str], Loaded]:
    """Loads statements as a file of rules that uses the profile; they start in line 3."""
    return lambda text: load({"t.alert": f'rules "t" version 1\nuse profile "osier"\n{text}\n'})


@pytest.fixture
def profile(load: Load) -> Callable[[str], Loaded]:
    """Loads statements as a profile; they start in line 3."""
    return lambda text: load({"t.profile": f'profile "t" version 1\nsource S common practice\n{text}\n'})
