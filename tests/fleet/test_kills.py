"""Whatever is killed, and whenever: started again the same command comes to the bytes of one that nobody disturbed."""

from __future__ import annotations

import os
import random
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest

from alertlang import __version__
from alertlang.fleet.run import fleet
from tests.fleet.test_fleet import COLUMNS, MAP, RULES, TEXT, command, log_text, tables

QUIET = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
KILLS = 50
FEWER = 4
SIGNALS = (signal.SIGKILL, signal.SIGKILL, signal.SIGTERM, signal.SIGINT)


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    folder = tmp_path / "logs"
    folder.mkdir()
    for number in range(40):
        (folder / f"{number}.csv").write_text(log_text(number, rows=200), encoding="ascii")
    (tmp_path / "fleet.alert").write_text(TEXT, encoding="utf-8")
    (tmp_path / "logs.toml").write_bytes(MAP)
    fleet([folder], RULES, COLUMNS, tmp_path / "undisturbed", tool=__version__)
    return folder


def children(pid: int) -> list[int]:
    try:
        return [int(word) for word in Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()]
    except FileNotFoundError:
        return []


def finished(out: Path) -> int:
    return len(list((out / "done").glob("*.json")))


def killed(started: subprocess.Popen[bytes], others: list[int], out: Path, chance: random.Random) -> bool:
    """One process of those, some time after the start or while logs are being finished; false if it was over before."""
    deadline = time.monotonic() + 60
    wanted = finished(out) + chance.randint(0, 4)
    while chance.random() > 0.3 and finished(out) < wanted and started.poll() is None and time.monotonic() < deadline:
        time.sleep(0.002)
    time.sleep(chance.random() * 0.1)
    if started.poll() is not None:
        return False
    victims = [started.pid, *children(started.pid), *others]
    victim = chance.choice(victims)
    if victim != started.pid or chance.random() < 0.5:
        os.kill(victim, signal.SIGKILL)
    else:
        started.send_signal(chance.choice(SIGNALS))
    return True


def test_a_process_of_a_command_is_killed(logs: Path, tmp_path: Path, seed: int, pytestconfig: pytest.Config) -> None:
    wanted = KILLS if pytestconfig.getoption("all_examples") else FEWER
    chance, kills, starts = random.Random(seed), 0, 0
    out = tmp_path / "out"
    while kills < wanted:
        starts += 1
        assert starts < 10 * wanted, "it is always over before it can be killed"
        started = subprocess.Popen(command(logs, "--jobs", "2"), **QUIET)  # type: ignore[call-overload]
        hit = killed(started, [], out, chance)
        kills += hit
        code = started.wait(60)
        if not hit or code == 0:
            # Undisturbed to the end, or a worker was lost and the work done all the same.
            assert code in (0, 1)
            if code == 0:
                assert tables(out) == tables(tmp_path / "undisturbed")
            shutil.rmtree(out)
    subprocess.run(command(logs, "--jobs", "2"), check=True, timeout=120, **QUIET)  # type: ignore[call-overload]
    assert tables(out) == tables(tmp_path / "undisturbed")


@contextmanager
def process(*words: str) -> Iterator[subprocess.Popen[bytes]]:
    started = subprocess.Popen([sys.executable, "-m", *words], **QUIET)  # type: ignore[call-overload]
    try:
        yield started
    finally:
        started.kill()
        started.wait()


def free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


def test_a_process_of_a_cluster_is_killed(logs: Path, tmp_path: Path, seed: int, pytestconfig: pytest.Config) -> None:
    """Scheduler, worker or command."""
    pytest.importorskip("distributed")
    wanted = KILLS if pytestconfig.getoption("all_examples") else 1
    chance, kills = random.Random(seed), 0
    out = tmp_path / "out"
    address = f"tcp://127.0.0.1:{free_port()}"

    def scheduler() -> tuple[str, ...]:
        port = address.rpartition(":")[2]
        return "distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", port, "--no-dashboard"

    def worker() -> tuple[str, ...]:
        alone = "--nthreads", "1", "--no-nanny", "--no-dashboard", "--death-timeout", "20"
        return "distributed.cli.dask_worker", address, *alone

    while kills < wanted or not (out / "results.parquet").exists():
        with ExitStack() as closing:
            there = [closing.enter_context(process(*scheduler()))]
            there += [closing.enter_context(process(*worker())) for _ in range(2)]
            # Several starts over one cluster, as long as nobody of it is hurt.
            whole = True
            while whole and (kills < wanted or not (out / "results.parquet").exists()):
                started = subprocess.Popen(command(logs, "--cluster", address), **QUIET)  # type: ignore[call-overload]
                hit = kills < wanted and killed(started, [one.pid for one in there], out, chance)
                kills += hit
                code = started.wait(120)
                whole = all(one.poll() is None for one in there)
                if code == 0:
                    assert tables(out) == tables(tmp_path / "undisturbed")
                    if kills < wanted:
                        shutil.rmtree(out)
    assert tables(out) == tables(tmp_path / "undisturbed")
