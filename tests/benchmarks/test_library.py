"""`alertlang library verify` of 200 entries in which nothing changed, from the start of the process to its end."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from alertlang import __version__
from alertlang.library import store
from alertlang.library.adding import add
from alertlang.library.approval import signed, statement
from alertlang.library.entry import Entry, PinnedFile, read_entry
from alertlang.library.keys import load_key, new_key, trust

ENTRIES = 200


def _many(folder: Path, checkout: Path) -> Path:
    """The second example two hundred times under other names, each approved. Only the first is checked: the others say
    the same under another name."""
    root = folder / "library"
    first = add(checkout / "examples/02-bramble/bramble.alert", root, tool=__version__)
    new_key(folder / "key")
    trust(root, folder / "key.pub", "reviewer")
    signer = load_key(folder / "key", root)
    source = root / "entries/bramble"
    from alertlang.format.canonical import canonical_bytes

    for number in range(ENTRIES - 1):
        name = f"bramble-{number}"
        target = root / "entries" / name
        files = []
        for inner in ("files", "pinned", "approvals"):
            (target / inner).mkdir(parents=True)
        for one in first.files:
            data = (source / "files" / one.file).read_bytes()
            canonical = (source / "pinned" / one.file).read_bytes()
            file, said = one.file, one.name
            if file == first.rules:
                file, said = f"{name}.alert", name
                data = data.replace(b'rules "bramble"', f'rules "{name}"'.encode())
                canonical = canonical.replace(b'rules "bramble"', f'rules "{name}"'.encode())
            (target / "files" / file).write_bytes(data)
            (target / "pinned" / file).write_bytes(canonical)
            files.append(PinnedFile(one.kind, said, one.version, file, store.digest(data), store.digest(canonical)))
        if number == 0:
            assert (
                canonical_bytes((target / "files" / f"{name}.alert").read_bytes())
                == (target / "pinned" / f"{name}.alert").read_bytes()
            )
        entry = Entry(
            name,
            first.version,
            tuple(files),
            first.findings,
            first.claims,
            first.accepted,
            first.tool,
            first.solver,
            first.today,
            first.base,
        )
        (target / "entry.json").write_bytes(entry.written())
    for name in store.entry_names(root):
        written, entry = read_entry(root, name)
        data = signed(statement(entry, written, "reviewer", "2027-01-02"), signer)
        (root / "entries" / name / "approvals" / f"{store.digest(data)}.json").write_bytes(data)
    return root


@pytest.mark.benchmark(group="library verify of 200 entries")
def test_verify(
    benchmark: BenchmarkFixture,
    checkout: Path,
    environment: dict[str, str],
    tmp_path: Path,
    say: Callable[[str], None],
) -> None:
    root = _many(tmp_path, checkout)
    command = [
        sys.executable,
        "-m",
        "alertlang",
        "library",
        "verify",
        "--library",
        str(root),
        "--require-approval",
        "1",
    ]

    def once() -> None:
        run = subprocess.run(
            [*command, "--output", "json"], cwd=checkout, env=environment, capture_output=True, check=True
        )
        assert len(json.loads(run.stdout)["entries"]) == ENTRIES

    benchmark.pedantic(once, rounds=5, iterations=1, warmup_rounds=1)
    if benchmark.stats is not None:
        seconds = benchmark.stats.stats.median
        say(f"library verify, {ENTRIES} approved entries, nothing changed: {seconds:.2f} s (wanted: below 2 s)")
