"""Thousands of logs: every result is that of replaying the log, whatever is killed, full or unreadable on the way."""

from __future__ import annotations

import csv
import json
import os
import re
import resource
import signal
import subprocess
import sys
import time
from collections import Counter
from fractions import Fraction
from pathlib import Path

import polars as pl
import pytest
from typer.testing import CliRunner, Result

from alertlang.api import loads
from alertlang.cli.app import app
from alertlang.fleet.key import digest_of_all
from alertlang.fleet.log import kept
from alertlang.fleet.run import FleetError, fleet
from alertlang.fleet.store import Store, packed, unpacked
from alertlang.fleet.work import Common, Job, on_cores
from alertlang.logs.column_map import parse_column_map
from alertlang.output.fleet import fleet_lines
from alertlang.replay.run import replay
from tests.helpers.deadly import DeadlyPath

TEXT = """rules "fleet" version 1
source S common practice
quantity rpm from 0 to 3500 rpm
quantity cht[2] from 0 to 600 F
redline: limit rpm at most 2700 rpm, needs warning, source S
rpm below 2500 is green
rpm from 2500 to 2700 is yellow
fast: rpm above 2700 is red with warning "FAST" after 1 s
hot: cht above 450 is red with caution "CHT {n} HOT"
burnt: cht above 590 is red with warning "CHT {n} BURNS"
"""
RULES = loads(TEXT).model
MAP = b"""time = {column = "t"}
[columns]
rpm = {column = "rpm"}
"cht[1]" = {column = "c1"}
"cht[2]" = {column = "c2"}
"""
COLUMNS = parse_column_map(MAP, "logs.toml")


def log_text(number: int, rows: int = 60) -> str:
    """Every one has other alerts; some go back in time, some have gaps and failed readings."""
    lines = ["t,rpm,c1,c2"]
    for row in range(rows):
        at = row if number % 3 or row < rows // 2 else row - rows // 2
        rpm = 2400 + 97 * ((row // 3 * (number + 3)) % 5)
        lines.append(f"{at}.5,{rpm if (row + number) % 23 else ''},{400 + (row * number) % 61},{440 + number % 20}")
    return "\n".join(lines) + "\n"


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    folder = tmp_path / "logs"
    (folder / "more").mkdir(parents=True)
    for number in range(6):
        (folder / ("more" if number % 2 else "") / f"{number}.csv").write_text(log_text(number), encoding="ascii")
    (tmp_path / "fleet.alert").write_text(TEXT, encoding="utf-8")
    (tmp_path / "logs.toml").write_bytes(MAP)
    return folder


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, ["fleet", *map(str, words)])


def command(logs: Path, *more: str) -> list[str]:
    top = logs.parent
    words = [str(top / "fleet.alert"), str(logs), "--map", str(top / "logs.toml"), "-o", str(top / "out"), *more]
    return [sys.executable, "-m", "alertlang", "fleet", *words]


def tables(folder: Path) -> tuple[bytes, bytes]:
    return (folder / "results.parquet").read_bytes(), (folder / "alerts.parquet").read_bytes()


def test_the_tables_hold_what_replaying_each_log_gives(logs: Path, tmp_path: Path) -> None:
    found = fleet([logs], RULES, COLUMNS, tmp_path / "out", tool="1", workers=2)
    paths = sorted(logs.rglob("*.csv"), key=str)
    assert [one.log for one in found.logs] == [str(path) for path in paths]
    wanted, in_all = [], Fraction(0)
    for path, row in zip(paths, pl.read_parquet(tmp_path / "out" / "results.parquet").to_dicts(), strict=True):
        one = replay(path, RULES, COLUMNS)
        metrics = {metric.name: metric for metric in one.metrics}
        assert (row["log"], row["rows"], row["samples"]) == (str(path), one.rows, one.samples)
        assert row["segments"] == len(one.segments)
        assert row["alerts"] == metrics["alerts"].value
        rate = metrics["alerts_per_hour"].value
        assert rate is not None
        assert row["alerts_per_hour"] == float(rate)
        assert tuple(row["chattering"]) == metrics["chattering"].names
        assert row["limits_broken"] == len(one.violations)
        assert row["failed"] is None
        in_all += one.seconds
        for up in one.alerts:
            end = None if up.end is None else float(up.end)
            worst = None if up.worst is None else float(up.worst.value)
            wanted.append((str(path), up.statement, up.element, up.text, float(up.start), end, worst))
    alerts = pl.read_parquet(tmp_path / "out" / "alerts.parquet")
    names = ("log", "statement", "element", "text", "start", "end", "worst")
    assert list(zip(*(alerts[name] for name in names), strict=True)) == wanted
    assert len(wanted) > 10
    assert any(len(replay(path, RULES, COLUMNS).segments) > 1 for path in paths)
    assert found.seconds == in_all
    assert {(up.statement, up.times) for up in found.alerts} == {
        (label, sum(1 for one in wanted if one[1] == label)) for label in ("fast", "hot")
    }
    assert [(one.name, one.why) for one in found.unexercised] == [("burnt", "never applied")]


def test_the_limits_broken_are_told_by_how_much(logs: Path, tmp_path: Path) -> None:
    found = fleet([logs], RULES, COLUMNS, tmp_path / "out", tool="1")
    wanted = []
    for path in sorted(logs.rglob("*.csv"), key=str):
        for one in replay(path, RULES, COLUMNS).violations:
            assert one.worst is not None
            wanted.append((str(path), one.limit, float(one.start), float(one.seconds), float(one.worst.past)))
    table = pl.read_parquet(tmp_path / "out" / "limits.parquet")
    names = ("log", "limit", "start", "seconds", "past")
    assert list(zip(*(table[name] for name in names), strict=True)) == wanted
    assert len(wanted) > 5
    [redline] = found.limits
    assert redline.worst is not None
    assert redline.worst.past == max(Fraction(one[4]) for one in wanted)
    by_log = {found.logs[one.log].log: one for one in found.breaks}
    assert {name: one.times for name, one in by_log.items()} == dict(Counter(one[0] for one in wanted))


def test_csv_and_parquet_say_the_same_and_the_readme_names_their_columns(logs: Path, tmp_path: Path) -> None:
    (logs / "=2+5.csv").write_text(log_text(1), encoding="ascii")
    (logs / "broken.csv").write_text("x\n", encoding="ascii")
    out = tmp_path / "out"
    found = fleet([logs], RULES, COLUMNS, out, tool="1")
    readme = (out / "README.md").read_text(encoding="utf-8")
    sections = dict(zip(re.findall(r"^## (\w+)\.parquet", readme, re.M), readme.split("\n## ")[1:], strict=True))
    assert list(sections) == ["results", "alerts", "limits"]
    assert {Path(path).name for path in found.files} == {
        "README.md", *(f"{name}.{form}" for name in sections for form in ("csv", "parquet"))
    }  # fmt: skip
    for name, section in sections.items():
        table = pl.read_parquet(out / f"{name}.parquet")
        assert re.findall(r"^\| `(\w+)` \|", section, re.M) == table.columns
        with (out / f"{name}.csv").open(encoding="utf-8", newline="") as opened:
            head, *rows = csv.reader(opened)
        assert head == table.columns
        assert len(rows) == table.height > 3
        for row, wanted in zip(rows, table.iter_rows(), strict=True):
            for cell, value in zip(row, wanted, strict=True):
                if isinstance(value, str):
                    assert cell.removeprefix("'") == value
                elif isinstance(value, list):
                    assert cell == "; ".join(value)
                else:
                    assert (float(cell) if cell else None) == value
        assert not [cell for row in rows for cell in row if cell.startswith("=")]


def test_an_aircraft_is_the_folder_or_what_a_pattern_finds(logs: Path, tmp_path: Path) -> None:
    (logs / "dated.csv").write_text(
        "t,rpm,c1,c2\n2026-05-03 23:59:59,2400,400,400\n2026-05-04 00:00:01,2400,400,400\n", encoding="ascii"
    )
    dated = parse_column_map(MAP.replace(b'{column = "t"}', b'{column = "t", format = "%Y-%m-%d %H:%M:%S"}'), "m")
    found = fleet([logs / "dated.csv"], RULES, dated, tmp_path / "dated", tool="1")
    assert [(one.aircraft, one.began) for one in found.logs] == [("logs", "2026-05-03 23:59:59")]
    (logs / "dated.csv").unlink()
    (logs / "bad.csv").write_text("", encoding="ascii")
    found = fleet([logs], RULES, COLUMNS, tmp_path / "out", tool="1")
    assert {Path(one.log).name: one.aircraft for one in found.logs} == {
        "0.csv": "logs", "1.csv": "more", "2.csv": "logs", "3.csv": "more", "4.csv": "logs", "5.csv": "more",
        "bad.csv": "logs",
    }  # fmt: skip
    assert all(one.began is None for one in found.logs)
    for pattern, wanted in ((r"\d(?=\.csv)", "0"), (r"/(\d)\.", "0"), ("nothing", "")):
        again = fleet([logs], RULES, COLUMNS, tmp_path / "out", tool="1", aircraft=pattern)
        assert next(one for one in again.logs if one.log.endswith("0.csv")).aircraft == wanted
        # Nothing is gone through again for it.
        assert all(one.before for one in again.used)
    with pytest.raises(FleetError, match="is no regular expression"):
        fleet([logs], RULES, COLUMNS, tmp_path / "out", tool="1", aircraft="(")


def test_a_result_survives_its_file_exactly(logs: Path) -> None:
    for path in logs.rglob("*.csv"):
        one = kept(replay(path, RULES, COLUMNS))
        assert unpacked(packed(one)) == one
        assert unpacked(packed(one)[:-9]) is None
        assert unpacked(packed(one).replace(b'"fast"', b'"slow"', 1)) is None


def test_the_same_bytes_however_many_processes_and_starts(logs: Path, tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    fleet([logs], RULES, COLUMNS, one, tool="1", workers=1)
    fleet([logs / "more"], RULES, COLUMNS, two, tool="1", workers=2)
    found = fleet([logs], RULES, COLUMNS, two, tool="1", workers=2)
    assert sum(row.before for row in found.logs) == 3
    assert tables(one) == tables(two)


def test_a_recording_that_is_there_twice_was_not_gone_through_before(logs: Path, tmp_path: Path) -> None:
    first = sorted(logs.rglob("*.csv"))[0]
    (logs / "copy.csv").write_bytes(first.read_bytes())
    found = fleet([logs], RULES, COLUMNS, tmp_path / "out", tool="1", workers=1)
    assert not any(row.before for row in found.logs)
    words = " ".join("".join(text for _, text in line) for line in fleet_lines(found, 400))
    assert "earlier start" not in words
    names = sorted((str(first), str(logs / "copy.csv")))
    assert f"2 of 7 logs are the same recording, counted once: {', '.join(names)}" in words
    copy = next(one for one in found.logs if one.same_as is not None)
    assert (copy.log, copy.same_as, copy.alerts) == (names[1], names[0], 0)
    # Nothing that is counted knows of the copy.
    (logs / "copy.csv").unlink()
    once = fleet([logs], RULES, COLUMNS, tmp_path / "once", tool="1", workers=1)
    assert (found.seconds, found.metrics, found.alerts, found.limits, found.problems, found.unexercised) == (
        once.seconds, once.metrics, once.alerts, once.limits, once.problems, once.unexercised,
    )  # fmt: skip
    assert tables(tmp_path / "out")[1] == tables(tmp_path / "once")[1]
    rows = pl.read_parquet(tmp_path / "out" / "results.parquet")
    assert rows.filter(pl.col("same_as").is_null()).equals(pl.read_parquet(tmp_path / "once" / "results.parquet"))
    (logs / "copy.csv").write_bytes(first.read_bytes())
    again = fleet([logs], RULES, COLUMNS, tmp_path / "out", tool="1", workers=1)
    assert all(row.before for row in again.used)


def test_what_is_finished_is_told_by_what_logs_rules_and_map_say() -> None:
    known = digest_of_all(RULES, COLUMNS, "1")
    same = loads("# a comment\n" + TEXT.replace("rpm below 2500 is green", "rpm   below 2500\n  is green"))
    assert digest_of_all(same.model, COLUMNS, "1") == known
    assert digest_of_all(RULES, parse_column_map(b"# read twice\n" + MAP, "other.toml"), "1") == known
    for before, after in (("2700 is red", "2710 is red"), ("after 1 s", "after 2 s"), ('"FAST"', '"QUICK"')):
        assert before in TEXT
        assert digest_of_all(loads(TEXT.replace(before, after)).model, COLUMNS, "1") != known
    other = parse_column_map(MAP.replace(b'rpm = {column = "rpm"}', b'rpm = {column = "rpm", unit = "rpm"}'), "m")
    assert digest_of_all(RULES, other, "1") != known
    assert digest_of_all(RULES, COLUMNS, "2") != known


def test_another_rule_makes_every_log_new_and_a_damaged_result_its_own(logs: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    fleet([logs], RULES, COLUMNS, out, tool="1")
    before = tables(out)
    other = fleet([logs], loads(TEXT.replace("above 450", "above 455")).model, COLUMNS, out, tool="1")
    assert not any(row.before for row in other.logs)
    assert tables(out) != before
    assert len(list((out / "done").iterdir())) == 12
    first = sorted((out / "done").iterdir())[0]
    first.write_bytes(first.read_bytes()[:-20])
    again = fleet([logs], RULES, COLUMNS, out, tool="1")
    once_more = fleet([logs], loads(TEXT.replace("above 450", "above 455")).model, COLUMNS, out, tool="1")
    assert sum(not row.before for row in (*again.logs, *once_more.logs)) == 1
    assert not any(row.before for row in fleet([logs], RULES, COLUMNS, out, tool="1", again=True).logs)
    assert tables(out) == before


@pytest.mark.thorough
def test_kill_9_loses_nothing_that_is_finished(logs: Path, tmp_path: Path) -> None:
    for number in range(6, 60):
        (logs / f"{number}.csv").write_text(log_text(number, rows=400), encoding="ascii")
    done = tmp_path / "out" / "done"
    started = subprocess.Popen(command(logs, "--jobs", "2"), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    deadline = time.monotonic() + 60
    while not done.is_dir() or len(list(done.glob("*.json"))) < 5:
        assert started.poll() is None, "it was over before it could be killed"
        assert time.monotonic() < deadline
        time.sleep(0.005)
    workers = [int(pid) for pid in Path(f"/proc/{started.pid}/task/{started.pid}/children").read_text().split()]
    os.kill(started.pid, signal.SIGKILL)
    started.wait()
    deadline = time.monotonic() + 10
    while any(Path(f"/proc/{pid}/cmdline").is_file() and _runs(pid) for pid in workers):
        assert time.monotonic() < deadline, "a worker outlives the command that was killed"
        time.sleep(0.02)
    assert workers
    finished = {path.name: (path.stat().st_mtime_ns, path.read_bytes()) for path in done.glob("*.json")}
    assert 5 <= len(finished) < 60
    assert all(unpacked(data) is not None for _, data in finished.values())
    assert not (tmp_path / "out" / "results.parquet").exists()

    second = subprocess.run(command(logs, "--output", "json"), capture_output=True, text=True, check=False)

    assert second.returncode == 0, second.stderr
    said = json.loads(second.stdout)
    assert sum(one["before"] for one in said["logs"]) == len(finished)
    assert len(said["logs"]) == 60
    assert {name: (done / name).stat().st_mtime_ns for name in finished} == {n: m for n, (m, _) in finished.items()}
    assert not [path for path in done.iterdir() if path.suffix != ".json"]
    from alertlang import __version__

    fleet([logs], RULES, COLUMNS, tmp_path / "anew", tool=__version__, workers=2)
    assert tables(tmp_path / "anew") == tables(tmp_path / "out")


def _runs(pid: int) -> bool:
    """Whether a process is more than an entry that nobody has taken note of."""
    try:
        return Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0] not in "ZX"
    except OSError:
        return False


def test_a_full_disk_is_said_and_the_next_start_goes_on(logs: Path, tmp_path: Path) -> None:
    def little_room() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (300, 300))

    full = subprocess.run(command(logs), capture_output=True, text=True, preexec_fn=little_room, check=False)

    assert full.returncode == 2
    assert full.stdout == ""
    assert full.stderr == (
        f"alertlang: nothing can be written to {tmp_path / 'out'}: file too large; make room and start again: what is "
        "finished stays finished\n"
    )
    assert list((tmp_path / "out" / "done").iterdir()) == []
    assert run(*command(logs)[4:]).exit_code == 0


def test_logs_that_fail_are_named_and_the_rest_goes_on(logs: Path, tmp_path: Path) -> None:
    (logs / "junk.csv").write_bytes(bytes(range(256)) * 4)
    (logs / "none.csv").write_bytes(b"")
    (logs / "bad.parquet").write_bytes(b"PAR1 and no more")
    out, map_file = tmp_path / "out", tmp_path / "logs.toml"
    words: list[str | Path] = [tmp_path / "fleet.alert", logs, logs / "gone.csv", "--map", map_file, "-o", out]
    ended = run(*words, "--output", "json")
    assert ended.exit_code == 1, ended.output
    said = json.loads(ended.stdout)
    failed = {Path(one["log"]).name: one["failed"] for one in said["logs"] if one["failed"]}
    assert sorted(failed) == ["bad.parquet", "gone.csv", "junk.csv", "none.csv"]
    assert "no such file or directory" in failed["gone.csv"]
    assert not any("fault of the tool" in why for why in failed.values())
    assert sum(one["failed"] is None for one in said["logs"]) == 6
    table = pl.read_parquet(out / "results.parquet")
    assert table.filter(pl.col("failed").is_not_null())["alerts"].to_list() == [None] * 4
    text = run(*words)
    assert text.exit_code == 1
    known = "6 logs gone through (6 of them by an earlier start, as their bytes tell), 4 failed"
    assert known in " ".join(text.stdout.split())
    assert all(len(line) <= 80 for line in text.stdout.splitlines() if str(tmp_path) not in line)
    only = run(tmp_path / "fleet.alert", logs / "none.csv", "--map", map_file, "-o", out)
    assert only.exit_code == 2


def test_a_log_that_may_not_be_trusted_ends_with_3_until_somebody_has_looked(logs: Path, tmp_path: Path) -> None:
    (logs / "slow.csv").write_text(
        "t,rpm,c1,c2\n0,2400,400,440\n500,2800,400,440\n1000,2400,400,440\n", encoding="ascii"
    )
    words: list[str | Path] = [tmp_path / "fleet.alert", logs, "--map", tmp_path / "logs.toml", "-o", tmp_path / "out"]
    ended = run(*words)
    assert ended.exit_code == 3
    said = " ".join(ended.stdout.split())
    assert "slow.csv: time-doubtful:t" in said
    assert "is not to be trusted before that is mended" in said
    assert "--accept-log time-doubtful" in said
    (tmp_path / "none.csv").write_bytes(b"")
    assert run(*words, tmp_path / "none.csv").exit_code == 3
    data = json.loads(run(*words, "--output", "json").stdout)
    assert data["trusted"] is False
    for name in ("time-doubtful", "time-doubtful:t"):
        looked = run(*words, "--accept-log", name, "--output", "json")
        assert looked.exit_code == 0
        assert json.loads(looked.stdout)["trusted"] is True
    assert run(*words, "--accept-log", "time-doubtful:x").exit_code == 3
    assert run(*words, "--accept-log", "gap").exit_code == 2


def test_one_log_may_take_its_process_down(logs: Path, tmp_path: Path) -> None:
    store = Store(tmp_path / "out")
    store.open()
    common = Common(RULES, COLUMNS, digest_of_all(RULES, COLUMNS, "1"), "1", tmp_path / "out")
    jobs = [Job(path, path.name) for path in sorted(logs.rglob("*.csv"))]
    jobs.insert(3, Job(DeadlyPath("deadly.csv"), "deadly.csv"))
    outcomes = {one.shown: one for one in on_cores(jobs, common, 2)}
    assert sorted(outcomes) == sorted(job.shown for job in jobs)
    assert [name for name, one in outcomes.items() if one.failed] == ["deadly.csv"]
    assert outcomes["deadly.csv"].failed == "its process died; it may need more memory than there is"


def test_what_cannot_be_gone_through_is_said(logs: Path, tmp_path: Path) -> None:
    empty, other = tmp_path / "empty", tmp_path / "other"
    empty.mkdir()
    other.mkdir()
    (other / "notes.txt").write_text("mine", encoding="ascii")
    rules, map_file = tmp_path / "fleet.alert", tmp_path / "logs.toml"
    for words, wanted in (
        ((rules, empty, "--map", map_file, "-o", tmp_path / "out"), f"{empty} has no log in it"),
        ((rules, logs, "--map", map_file, "-o", other), f"{other} holds something else than results of a fleet"),
        ((rules, logs, "--map", map_file, "-o", rules), f"{rules} is no folder"),
        ((rules, logs, "--map", tmp_path / "no.toml", "-o", tmp_path / "out"), "no.toml: cannot be read"),
        ((rules, logs, "-o", tmp_path / "out", "--cluster", "tcp://127.0.0.1:9"), "no cluster answers at"),
    ):
        ended = run(*words)
        assert ended.exit_code == 2
        assert wanted in ended.stderr
        assert ended.stdout == ""
    assert [path.name for path in other.iterdir()] == ["notes.txt"]
    assert rules.read_text(encoding="utf-8") == TEXT
    assert not (tmp_path / "out" / "results.parquet").exists()


def test_a_cluster_gives_the_same_bytes(logs: Path, tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed")
    (logs / "none.csv").write_bytes(b"")
    fleet([logs], RULES, COLUMNS, tmp_path / "here", tool="0.1.0")
    from alertlang import __version__

    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=False, protocol="tcp", dashboard_address=None
    ) as cluster:
        address = cluster.scheduler_address
        first = fleet([logs / "more"], RULES, COLUMNS, tmp_path / "there", tool=__version__, cluster=address)
        assert len(first.used) == 3
        found = fleet([logs], RULES, COLUMNS, tmp_path / "there", tool=__version__, cluster=address)
        assert (len(found.failed), sum(one.before for one in found.logs)) == (1, 3)
        cluster.scale(0)
        deadline = time.monotonic() + 20
        while cluster.scheduler.workers and time.monotonic() < deadline:
            time.sleep(0.05)
        with pytest.raises(FleetError, match="has no worker"):
            fleet([logs], RULES, COLUMNS, tmp_path / "third", tool=__version__, cluster=address)
    assert tables(tmp_path / "here") == tables(tmp_path / "there")
