"""The page of a replayed log: whole, in one file, the same each time, and what a browser makes of it."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pypdf
import pytest
from typer.testing import CliRunner

from alertlang.api import load, loads
from alertlang.cli.app import app
from alertlang.documents.replay_page import gauges_shown, replay_page
from alertlang.documents.timeline import draw_timeline
from alertlang.logs.column_map import ColumnMap, load_column_map
from alertlang.model import ruleset as m
from alertlang.replay.run import replay
from alertlang.replay.series import Series, series
from alertlang.results.replay import ReplayResult
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


def bars(picture: str) -> list[tuple[float, float, str]]:
    """Width, height and fill of every rectangle that has an edge of the width of a bar."""
    found = []
    for path, look in re.findall(r'<path d="([^"]*)"[^>]*style="([^"]*stroke-width: 0.6[^"]*)"', picture):
        points = [tuple(map(float, pair)) for pair in re.findall(r"([-0-9.]+) ([-0-9.]+)", path)]
        sides = [max(axis) - min(axis) for axis in zip(*points, strict=True)]
        found.append((sides[0], sides[1], re.findall(r"fill: ([^;]*)", look)[0]))
    return found


@pytest.mark.parametrize("length", [1, 3, 12, 400])
def test_levels_and_lamps_differ_in_height_however_short(length: int, tmp_path: Path) -> None:
    """At 1 s of 3000 a bar is as narrow as can be; there is no room for a hatch."""
    ruleset = loads(
        'rules "l" version 1\nquantity rpm from 0 to 3000 rpm\nrpm at least 0 rpm is green\n'
        'when rpm above 100 rpm then warning "ONE"\nwhen rpm above 100 rpm then caution "TWO"\n'
        'when rpm above 100 rpm then advisory "THREE"\nlamp "A" shows warning, sequence A, acknowledged by ack\n'
    ).model
    log = tmp_path / "log.csv"
    rows = [f"{n},{200 if 1000 <= n < 1000 + length else 50}" for n in range(3000)]
    log.write_text("time,rpm\n" + "\n".join(rows) + "\n", encoding="utf-8")
    result, readings = replayed(ruleset, log, None)
    found = bars(draw_timeline(ruleset, result, 1, readings[0]).decode("utf-8"))
    warning, caution, advisory = found[:3]
    assert warning[1] > 1.5 * caution[1]
    assert caution[1] > 1.5 * advisory[1]
    assert min(one[0] for one in found) >= 2.5
    assert warning[2] == "#111111"
    assert "#111111" not in {caution[2], advisory[2]}


def test_bands_with_a_time_are_named(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    assert "Bands with a time: rpm above 2600 rpm: red after 5 min." in text_of(bramble[2])


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page.replace("<wbr>", "")))


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
    done = CliRunner().invoke(app, ["replay", rules, str(LOG), "--map", recorder, "--out", str(target)])
    assert (done.exit_code, done.stderr) == (0, f"wrote {target}\n")
    assert target.read_text(encoding="utf-8").count("<tr>") == bramble[2].count("<tr>")
    for wrong in (
        [rules, str(LOG), "--out", str(tmp_path / "page.pdf")],
        [rules, str(LOG), str(LOG), "--out", str(target)],
        [rules, str(LOG), "--map", recorder, "--out", str(tmp_path / "no" / "page.html")],
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


def test_series_keep_a_reading_that_is_alone_in_its_bin_and_each_segment_its_own(tmp_path: Path) -> None:
    ruleset = loads('rules "s" version 1\nquantity rpm from 0 to 3000 rpm\nrpm at least 0 rpm is green\n').model
    log = tmp_path / "log.csv"
    # Time runs backwards: another recording begins.
    log.write_text("time,rpm\n10,700\n11,2000\n12,900\n0,100\n1,300\n", encoding="utf-8")
    segments = replay(log, ruleset).segments
    (first,), (second,) = series(log, ruleset, None, ["rpm"], segments, bins=100)
    assert first.lows == first.highs == (700, 2000, 900)
    assert second.lows == second.highs == (100, 300)
    assert first.broken == second.broken == ()


BRIEF = """rules "brief" version 1
source S common practice
quantity rpm "Speed" from 0 to 3000 rpm
top_of_a_very_long_name: limit rpm at most 2700 rpm, needs warning, source S
rpm at least 0 rpm is green
fast: rpm above 2700 rpm is red
rpm above 2600 rpm is yellow with caution "NEAR"
when rpm above 2700 rpm then warning "FAST"
"""


def test_one_second_in_two_hours_can_be_seen_in_grey_too(tmp_path: Path) -> None:
    """A dark bar a few dots wide where the alert was, in a row that says which it is and how often it was up."""
    import numpy as np
    from PIL import Image

    log = tmp_path / "log.csv"
    log.write_text("time,rpm\n" + "".join(f"{n},{2800 if n == 3600 else 1000}\n" for n in range(7201)))
    ruleset = loads(BRIEF).model
    result, readings = replayed(ruleset, log, None)
    assert [one.seconds for one in result.alerts] == [1, 1]
    drawn = np.asarray(Image.open(io.BytesIO(draw_timeline(ruleset, result, 1, readings[0], "png"))).convert("L"))
    width = drawn.shape[1]
    left, right = round(width * 1.75 / 10.5), round(width * 10.3 / 10.5)
    middle = (left + right) // 2
    rows = [row for row in range(drawn.shape[0]) if (drawn[row, left + 9 : right - 9] < 60).mean() < 0.05]
    dark = [int((drawn[row, middle - 20 : middle + 20] < 60).sum()) for row in rows]
    # Both bars are half a lane high at least, and some three points wide.
    assert sum(4 <= one <= 9 for one in dark) > 16
    svg = draw_timeline(ruleset, result, 1, readings[0]).decode()
    assert "FAST, warning" in svg
    assert "NEAR, caution" in svg


def test_words_break_only_where_a_name_is_parted(chromium: str, tmp_path: Path) -> None:
    """On a telephone the alerts need room to the side; they do not stand a letter on each line."""
    log = tmp_path / "log.csv"
    log.write_text("time,rpm\n0,1000\n1,2800\n2,1000\n")
    ruleset = loads(BRIEF).model
    result, readings = replayed(ruleset, log, None)
    page = replay_page(ruleset, result, readings, tool="t", digest="d")
    assert "top_<wbr>of_<wbr>a_<wbr>very_<wbr>long_<wbr>name" in page
    probe = r"""<script>
      const broken = [], range = document.createRange();
      for (const cell of document.querySelectorAll("td, th")) {
        const texts = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
        while (texts.nextNode()) for (const word of texts.currentNode.data.matchAll(/[^\s_\[/-]+/g)) {
          range.setStart(texts.currentNode, word.index);
          range.setEnd(texts.currentNode, word.index + word[0].length);
          if (range.getClientRects().length > 1) broken.push(word[0]);
        }
      }
      document.body.dataset.broken = broken.join();
    </script>"""
    file = tmp_path / "page.html"
    file.write_text(page.replace("</body>", f"<style>body {{ width: 330px; }}</style>{probe}</body>"), encoding="utf-8")
    assert re.findall(r'data-broken="(.*?)"', dom(chromium, file, tmp_path / "profile")) == [""]


LOUD = """rules "loud" version 1
quantity oil "Oil temperature" from -40 to 400 F
oil from 120 F to 245 F is green
hot: oil above 245 F is red with warning "OIL HOT"
"""


def test_what_makes_a_quiet_run_doubtful_stands_at_the_head(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text("time,oil\n0,90\n1,260\n1,90\n2,95\n3,100\n4,90\n5,91\n6,90\n7,90\n8,90\n9,90\n10,90\n11,90\n")
    ruleset = loads(LOUD).model
    result, readings = replayed(ruleset, log, None)
    assert result.alerts == ()
    shown = text_of(replay_page(ruleset, result, readings, tool="t", digest="d"))
    head, _, rest = shown.partition(" Timeline ")
    assert "Look at this first" in head
    assert "is its unit C?" in head
    assert "left-out-limit (time):" in head
    assert "oil 90 F 260 F 0 % oil" in head
    assert "1 of 1 left-out rows are past a limit" in rest
    assert "red band hot 1 2 oil 260 F, 15 F past it" in rest
