"""The page of a replayed log: whole, in one file, the same each time, and what a browser makes of it."""

from __future__ import annotations

import io
import re
from fractions import Fraction
from pathlib import Path

import pypdf
import pytest
from typer.testing import CliRunner

from alertlang.api import load, loads
from alertlang.cli.app import app
from alertlang.diagnostics.replay import ReplayResult
from alertlang.documents.replay_page import gauges_shown, replay_page
from alertlang.documents.timeline import clock
from alertlang.model import ruleset as m
from alertlang.replay.column_map import ColumnMap, load_column_map
from alertlang.replay.run import replay
from alertlang.replay.series import Series, series
from alertlang.text.resources import examples_dir
from tests.helpers.browser import dom, printed

BRAMBLE = examples_dir() / "02-bramble"
LOG = BRAMBLE / "logs" / "first-flight.csv"


def replayed(
    ruleset: m.RuleSet, log: Path, column_map: ColumnMap | None
) -> tuple[ReplayResult, tuple[tuple[Series, ...], ...]]:
    result = replay(log, ruleset, column_map)
    return result, series(log, ruleset, column_map, gauges_shown(ruleset), result.segments)


@pytest.fixture(scope="module")
def bramble() -> tuple[m.RuleSet, ReplayResult, str]:
    ruleset = load(BRAMBLE / "bramble.alert").model
    result, readings = replayed(ruleset, LOG, load_column_map(BRAMBLE / "logs" / "recorder.toml"))
    return ruleset, result, replay_page(ruleset, result, readings, tool="alertlang", digest="d1g3st")


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page))


def test_everything_of_the_result_is_on_the_page(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    ruleset, result, page = bramble
    shown = text_of(page)
    rows = re.findall(r"<tr><td><b>(.*?)</b></td>", page)
    assert rows == [one.text for one in result.alerts]
    assert len(rows) > 20
    for name in (*{one.limit for one in result.violations}, *{one.name for one in result.unexercised}):
        assert name in shown
    for metric in result.metrics:
        assert metric.words in shown
        assert f"({metric.source}; {metric.status})" in shown
    for quantity in {one.quantity for one in result.colours}:
        # The title stands in the picture, which breaks a long one.
        assert (ruleset.quantities[quantity].title or "").split()[0] in shown
    assert "licensed persons decide" in shown
    assert "d1g3st" in shown


def test_it_refers_to_nothing_outside(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    page = bramble[2]
    links = re.findall(r"""(?:href|src|action)\s*=\s*["']([^"']*)""", page) + re.findall(r"url\(([^)]*)\)", page)
    assert links
    assert all(link.strip("\"'").startswith("#") for link in links)
    assert "@import" not in page
    assert "<script" not in page


def test_it_is_the_same_each_time(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    ruleset, _, page = bramble
    result, readings = replayed(ruleset, LOG, load_column_map(BRAMBLE / "logs" / "recorder.toml"))
    assert page == replay_page(ruleset, result, readings, tool="alertlang", digest="d1g3st")


def test_a_browser_shows_and_prints_it(
    bramble: tuple[m.RuleSet, ReplayResult, str], chromium: str, tmp_path: Path
) -> None:
    file = tmp_path / "page.html"
    file.write_text(bramble[2], encoding="utf-8")
    made = dom(chromium, file, tmp_path / "profile")
    assert made.count("<svg") == 1
    assert len(re.findall(r"<tr><td><b>", made)) == len(bramble[1].alerts)
    pages = pypdf.PdfReader(io.BytesIO(printed(chromium, file, tmp_path / "profile", tmp_path / "page.pdf"))).pages
    text = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))
    assert "Never exercised" in text
    assert "CHT 3 HOT" in text
    assert 3 < len(pages) < 20


AWKWARD = """rules "awkward" version 1
quantity rpm "Speed <of> & it" from 0 to 3000 rpm
quantity cht[2] "Head" from 0 to 500 F
quantity oil from 0 to 100 psi
rpm below 2000 rpm is green
rpm above 2500 rpm is red with warning "<b>TOO FAST</b>"
cht at most 400 F is green
cht above 400 F is red with caution "CHT {n} & UP"
oil at least 0 psi is green
"""


def test_awkward_logs(tmp_path: Path) -> None:
    """Two segments, one of a single row; a gauge without a reading, one without a colour, texts like markup."""
    ruleset = loads(AWKWARD).model
    log = tmp_path / "a log.csv"
    log.write_text(
        "time,rpm,cht[1],cht[2]\n0,1000,300,300\n10,2200,300,\n20,2600,410,390\n5,2600,410,390\n", encoding="utf-8"
    )
    result, readings = replayed(ruleset, log, None)
    assert len(result.segments) == 2
    page = replay_page(ruleset, result, readings, tool="t", digest="d")
    assert page.count("<svg") == 2
    assert "<b>TOO FAST" not in page.replace("<b>&lt;b&gt;TOO FAST", "")
    assert "nothing was read" in page
    assert "no colour" in page


def test_the_command_writes_it(bramble: tuple[m.RuleSet, ReplayResult, str], tmp_path: Path) -> None:
    rules, recorder = str(BRAMBLE / "bramble.alert"), str(BRAMBLE / "logs" / "recorder.toml")
    target = tmp_path / "page.html"
    done = CliRunner().invoke(app, ["replay", rules, str(LOG), "--map", recorder, "--page", str(target)])
    assert (done.exit_code, done.stderr) == (0, f"wrote {target}\n")
    assert target.read_text(encoding="utf-8").count("<tr>") == bramble[2].count("<tr>")
    for wrong in (
        [rules, str(LOG), "--page", str(tmp_path / "page.pdf")],
        [rules, str(LOG), str(LOG), "--page", str(target)],
        [rules, str(LOG), "--map", recorder, "--page", str(tmp_path / "no" / "page.html")],
    ):
        assert CliRunner().invoke(app, ["replay", *wrong]).exit_code == 2
    assert [one.name for one in tmp_path.iterdir()] == ["page.html"]


def test_series_keep_the_extremes_of_every_bin(tmp_path: Path) -> None:
    ruleset = loads('rules "s" version 1\nquantity rpm from 0 to 3000 rpm\nrpm at least 0 rpm is green\n').model
    log = tmp_path / "log.csv"
    values = [(7 * n * n) % 2999 for n in range(5000)]
    rows = [f"{n},{value}" for n, value in enumerate(values) if not 2000 <= n < 2600]
    log.write_text("time,rpm\n" + "\n".join(rows) + "\n", encoding="utf-8")
    result = replay(log, ruleset)
    ((found,),) = series(log, ruleset, None, ["rpm"], result.segments, bins=100)
    kept = [value for n, value in enumerate(values) if not 2000 <= n < 2600]
    assert (min(found.lows), max(found.highs)) == (min(kept), max(kept))
    for at, low, high in zip(found.times, found.lows, found.highs, strict=True):
        inside = [v for n, v in enumerate(values) if abs(n - at) <= 4999 / 200 and not 2000 <= n < 2600]
        assert low <= min(inside) <= max(inside) <= high or abs(at - 2000) < 60 or abs(at - 2600) < 60
        assert low in values
        assert high in values
    # The gap is drawn as one.
    assert [round(found.times[i]) > 2550 for i in found.broken] == [True]


@pytest.mark.parametrize(
    ("seconds", "shown"), [("0", "0:00"), ("61.5", "1:01.5"), ("3723", "1:02:03"), ("86400.25", "24:00:00.25")]
)
def test_times_as_a_person_reads_them(seconds: str, shown: str) -> None:
    assert clock(Fraction(seconds)) == shown
