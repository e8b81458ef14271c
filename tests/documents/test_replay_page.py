"""The page of a replayed log: whole, in one file, the same each time, and what a browser makes of it."""

from __future__ import annotations

import html
import io
import json
import re
from collections import Counter
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pypdf
import pytest
from typer.testing import CliRunner

from alertlang.api import load, loads
from alertlang.cli.app import app
from alertlang.documents.replay_page import gauges_shown, replay_page
from alertlang.logs.column_map import ColumnMap, load_column_map, parse_column_map
from alertlang.model import ruleset as m
from alertlang.output.times import clock
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


def timeline(page: str) -> str:
    return page[page.index('<div class="timeline"') : page.index('<ul class="key">')]


def lanes(picture: str) -> dict[str, list[tuple[str, float, str]]]:
    """By the look of a lane, what stands in it: each bar with its width, each head with the number it counts."""
    found: dict[str, list[tuple[str, float, str]]] = {}
    for lane in re.findall(r'<g class="lane".*?</g></g>|<g class="lane".*?(?=<text class="name"|</svg>)', picture):
        for look, wide in re.findall(r'<rect class="bar (\w+)" x="[^"]*" y="[^"]*" width="([^"]*)"', lane):
            found.setdefault(look, []).append(("bar", float(wide), ""))
        for look, count in re.findall(r'<use href="#g-(\w+)"/><text class="count"[^>]*>([^<]*)<', lane):
            found.setdefault(look, []).append(("head", 0, count))
    return found


@pytest.mark.parametrize("length", [1, 3, 12, 400])
def test_levels_and_lamps_are_told_by_shape_however_short(length: int, tmp_path: Path) -> None:
    """At 1 s of 3000 a bar is as narrow as can be; what stands at its head is not."""
    ruleset = loads(
        'rules "l" version 1\nquantity rpm from 0 to 3000 rpm\nrpm at least 0 rpm is green\n'
        'when rpm above 100 rpm then warning "ONE"\nwhen rpm above 100 rpm then caution "TWO"\n'
        'when rpm above 100 rpm then advisory "THREE"\nlamp "A" shows warning, sequence A, acknowledged by ack\n'
    ).model
    log = tmp_path / "log.csv"
    rows = [f"{n},{200 if 1000 <= n < 1000 + length else 50}" for n in range(3000)]
    log.write_text("time,rpm\n" + "\n".join(rows) + "\n", encoding="utf-8")
    result, readings = replayed(ruleset, log, None)
    page = replay_page(ruleset, result, readings, tool="t", digest="d")
    found = lanes(timeline(page))
    assert list(found) == ["warning", "caution", "advisory", "flashing"]
    for look, parts in found.items():
        assert min(wide for kind, wide, _ in parts if kind == "bar") >= 2, look
        # A lamp that locks in goes on flashing.
        assert {kind for kind, _, _ in parts} == {"bar", "head"}, look
    shapes = {look: re.findall(f'<g id="g-{look}">(.*?)</g>', page)[0] for look in found}
    drawn = [re.findall(r' d="([^"]*)"| r="([^"]*)"', shape) for shape in shapes.values()]
    assert len({str(one) for one in drawn}) == 4
    # In grey: the one is full, the others are hollow, and only one of these has corners.
    assert ['fill="var(--ink)"' in shapes[look] for look in ("warning", "caution", "advisory")] == [True, False, False]
    assert ["<circle" in shapes[look] for look in ("warning", "caution", "advisory")] == [False, False, True]


def test_heads_that_would_hide_each_other_are_counted(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    _, result, page = bramble
    counts = Counter[str]()
    for look, parts in lanes(timeline(page)).items():
        bars = sum(kind == "bar" for kind, _, _ in parts)
        heads = [int(count.removesuffix("×") or 1) for kind, _, count in parts if kind == "head"]
        assert sum(heads) == bars
        counts[look] = bars
    assert counts == Counter(alert.level for alert in result.alerts)


def test_every_alert_limit_and_mark_leads_to_the_timeline_and_back(
    bramble: tuple[m.RuleSet, ReplayResult, str],
) -> None:
    _, result, page = bramble
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    pairs = (("a", "t", len(result.alerts)), ("l", "b", len(result.violations)), ("m", "k", len(result.marks)))
    for row, place, count in pairs:
        assert count > 3
        for number in range(1, count + 1):
            assert {f"{row}{number}", f"{place}{number}"} <= set(ids)
            assert f'id="{place}{number}" href="#{row}{number}"' in page
            assert f'href="#{place}{number}"' in page
    # Each bar stands where its row says.
    for number, start in re.findall(r'<a href="#t(\d+)">([0-9:.]+)</a></td>', page):
        [at] = re.findall(rf'<a id="t{number}".*?data-t="([^"]*)"', page)
        assert clock(Fraction(at)) == start


def test_what_comes_again_soon_is_one_line_that_opens(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    shown = text_of(bramble[2])
    assert "34:05 LOW VOLTS 18 times within 80 s volts 12.4 V at 34:05" in shown
    starts = [
        float(at) for at in re.findall(r'<li[^>]*><details><summary class="burst"><svg.*?href="#t(\d+)"', bramble[2])
    ]
    assert starts == sorted(starts)
    assert len(starts) == 10


def test_limits_are_drawn_on_the_trace(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    page = bramble[2]
    [volts] = re.findall(r'<svg class="gauge"[^>]*aria-label="Bus voltage.*?</svg>', page)
    low, high, top, plot = (
        float(re.findall(f'data-{name}="([^"]*)"', volts)[0]) for name in ("low", "high", "top", "plot")
    )
    drawn = re.findall(r'<line class="w (limit[ a-z]*)" [^>]*y1="([^"]*)"', volts)
    # One always holds; the other where the alternator is on.
    assert [(kind, round(low + (top + plot - float(y)) / plot * (high - low), 1)) for kind, y in drawn] == [
        ("limit", 15.5), ("limit case", 12.5),
    ]  # fmt: skip
    assert "volts_low_limit 12.5" in volts
    assert volts.count('class="broken"') == 19
    assert "rpm_limit 2800" in page


def test_elements_are_told_apart_without_colour_and_named(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    [heads] = re.findall(r'<svg class="gauge"[^>]*aria-label="Cylinder head.*?</svg>', bramble[2])
    dashes = re.findall(r'class="trace"[^>]*stroke-dasharray="([^"]*)"', heads)
    assert len(set(dashes)) == len(dashes) == 4
    ends = re.findall(r'<text class="end" x="[^"]*" y="([^"]*)"[^>]*>(\d)<', heads)
    assert sorted(name for _, name in ends) == ["1", "2", "3", "4"]
    places = sorted(float(y) for y, _ in ends)
    assert all(b - a > 10 for a, b in pairwise(places))
    assert Counter(re.findall(r'<text class="on"[^>]*>(\d)<', heads)) == Counter({"1": 3, "2": 3, "3": 3, "4": 3})


def test_bands_with_a_time_are_named(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    assert "Bands with a time: rpm above 2600 rpm: red after 5 min." in text_of(bramble[2])


def text_of(page: str) -> str:
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page.replace("<wbr>", ""))))


def test_everything_of_the_result_is_on_the_page(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    ruleset, result, page = bramble
    shown = text_of(page)
    assert set(re.findall(r"<summary class=\"burst\">.*?<b>(.*?)</b>", page.replace("<wbr>", ""))) == (
        {one.text for one in result.alerts} | {m.variable(one.limit, one.element) for one in result.violations}
    )
    for name in (*{one.limit for one in result.violations}, *{one.name for one in result.unexercised}):
        assert name in shown
    for metric in result.metrics:
        # What was published for plants is there for who asks for it.
        assert (f"{metric.words} ({metric.source}; {metric.status})" in shown) is metric.fits_aircraft
    for quantity in {one.quantity for one in result.colours}:
        assert (ruleset.quantities[quantity].title or "") in shown
    assert "licensed persons decide" in shown
    assert "d1g3st" in shown


def test_what_was_published_for_plants_is_there_for_who_asks(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    ruleset, result, _ = bramble
    readings = series(LOG, ruleset, load_column_map(BRAMBLE / "logs" / "recorder.toml"), (), result.segments)
    shown = text_of(replay_page(ruleset, result, readings, tool="t", digest="d", yardsticks=True))
    for metric in result.metrics:
        assert f"{metric.words} ({metric.source}; {metric.status})" in shown
    assert "80/15/5 of low, medium and high priority: not judged" in shown


def test_it_refers_to_nothing_outside(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    page = bramble[2]
    links = re.findall(r"""(?:href|src|action)\s*=\s*["']([^"']*)""", page) + re.findall(r"url\(([^)]*)\)", page)
    assert links
    assert all(link.strip("\"'").startswith("#") for link in links)
    assert "@import" not in page
    assert not re.findall(r"fetch|XMLHttp|WebSocket|sendBeacon|import\(", page)
    assert set(re.findall(r"https?://[^\s\"'<]*", page)) == {"http://www.w3.org/2000/svg"}


def test_it_is_the_same_each_time(bramble: tuple[m.RuleSet, ReplayResult, str]) -> None:
    ruleset, _, page = bramble
    result, readings = replayed(ruleset, LOG, load_column_map(BRAMBLE / "logs" / "recorder.toml"))
    assert page == replay_page(ruleset, result, readings, tool="alertlang", digest="d1g3st")


def test_a_browser_shows_and_prints_it(
    bramble: tuple[m.RuleSet, ReplayResult, str], chromium: str, tmp_path: Path
) -> None:
    file = tmp_path / "page.html"
    file.write_text(bramble[2], encoding="utf-8")
    pages = pypdf.PdfReader(io.BytesIO(printed(chromium, file, tmp_path / "profile", tmp_path / "page.pdf"))).pages
    text = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))
    assert "Never exercised" in text
    assert "CHT 3 HOT" in text
    assert "zoom in" not in text
    # What is folded on the screen is open on paper: each of the nineteen has its row.
    assert len(re.findall(r"volts 12\.[34] V at", text)) >= 2 * 19
    assert 3 < len(pages) < 20


PROBE = """<script>
  const box = document.querySelector(".timeline[id]"), told = {}, at = () => [+box.dataset.from, +box.dataset.to];
  const key = (name, more) => box.dispatchEvent(new KeyboardEvent("keydown", {key: name, bubbles: true, ...more}));
  const output = box.querySelector("output"), read = n => box.querySelectorAll(".gauge")[n].querySelector(".read");
  const button = words => [...box.querySelectorAll("button")].find(one => one.textContent === words).click();
  told.whole = at();
  key("End"); told.end = output.textContent;
  key("Home"); told.home = [output.textContent, read(1).textContent];
  for (let n = 0; n < 11; n++) key("n");
  told.eleventh = output.textContent;
  key("p"); told.tenth = output.textContent;
  key("+"); key("+"); told.zoomed = at();
  told.bars = [...box.querySelectorAll(".bar.warning")].map(bar => +bar.getAttribute("width"));
  key("ArrowRight", {shiftKey: true}); told.moved = output.textContent;
  key("Escape"); told.back = [at(), output.textContent];
  button("zoom in"); told.button = at();
  button("whole run");
  document.querySelector('td a[href="#t6"]').click();
  told.linked = [at(), output.textContent, read(1).textContent];
  key("+");
  told.counts = [...box.querySelectorAll(".lane")].map(lane => [...lane.querySelectorAll(".head")]
    .filter(head => head.getAttribute("display") !== "none").map(head => head.querySelector(".count").textContent));
  document.querySelector('a[href="#a12"]').dispatchEvent(new MouseEvent("click", {bubbles: true}));
  told.open = document.getElementById("a12").closest("details").open;
  told.others = document.querySelectorAll("details[open]").length;
  document.body.dataset.told = JSON.stringify(told);
</script>"""


def test_a_browser_zooms_reads_and_follows_links(
    bramble: tuple[m.RuleSet, ReplayResult, str], chromium: str, tmp_path: Path
) -> None:
    """By keys, by buttons and by links; what it reads is what the log says."""
    file = tmp_path / "page.html"
    file.write_text(bramble[2].replace("</body>", PROBE + "</body>"), encoding="utf-8")
    made = dom(chromium, file, tmp_path / "profile")
    told = json.loads(html.unescape(re.findall(r'data-told="([^"]*)"', made)[0]))
    assert told["whole"] == [0, 3000]
    assert told["end"].startswith("50:00  nothing up; Flaps up, ")
    assert told["home"][0].startswith("0:00  nothing up; Flaps ")
    first = [f"{n}: {float(Fraction(value) * 9 / 5 + 32):g}" for n, value in enumerate(("8.4", "8.3", "8.1", "8.4"), 1)]
    assert told["home"][1] == "   ".join(first) + " F"
    alerts = sorted({one.start for one in bramble[1].alerts})
    assert told["eleventh"].startswith(clock(alerts[10]))
    assert told["tenth"].startswith(clock(alerts[9]) + "  up: BATT DRAIN, caution; LOW VOLTS, caution")
    low, high = told["zoomed"]
    assert high - low == pytest.approx(750, abs=1)
    assert low <= alerts[9] <= high
    assert told["moved"].startswith(clock(alerts[9] + Fraction(750, 20)))
    assert told["back"] == [[0, 3000], ""]
    assert told["button"] == [750, 2250]
    # The sixth alert: from 19:31 to 19:32. Its surroundings, and what was read then.
    sixth = next(one for one in bramble[1].alerts if one.text == "CHT 3 HOT")
    assert told["linked"][0] == [float(sixth.start) - 30, float(sixth.end or 0) + 30]
    assert told["linked"][1].startswith("19:31  up: CHT 3 HOT, warning; CHT HIGH, caution")
    assert "3: 460.4" in told["linked"][2]
    # Near by the two that were counted as one stand apart.
    assert told["counts"][0] == ["", ""]
    assert told["open"]
    assert told["others"] == 1


def test_it_is_complete_without_a_script(
    bramble: tuple[m.RuleSet, ReplayResult, str], chromium: str, tmp_path: Path
) -> None:
    file = tmp_path / "page.html"
    inert = re.sub(r"<script>.*?</script>", "", bramble[2], flags=re.DOTALL)
    file.write_text(inert, encoding="utf-8")
    made = dom(chromium, file, tmp_path / "profile")
    assert made.count('class="trace"') == 12
    assert all(re.findall(r'class="trace" data-s="\d+" d="M[0-9. L]{300,}', made))
    assert "zoom in" not in made
    assert [len(re.findall(rf'id="{kind}\d+"', made)) for kind in "at"] == [32, 32]
    wide = re.findall(r'<text class="time"[^>]*>([^<]*)<', made)
    assert wide == [clock(Fraction(300 * n)) for n in range(11)]


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
    assert page.count('<div class="timeline" id=') == 2
    assert page.count("</script>") == 3
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


def test_one_second_in_two_hours_can_be_seen(tmp_path: Path) -> None:
    """A sign at the place, and a bar a few dots wide, in a row that says which alert it is; red behind the reading."""
    log = tmp_path / "log.csv"
    log.write_text("time,rpm\n" + "".join(f"{n},{2800 if n == 3600 else 1000}\n" for n in range(7201)))
    ruleset = loads(BRIEF).model
    result, readings = replayed(ruleset, log, None)
    assert [one.seconds for one in result.alerts] == [1, 1]
    drawn = timeline(replay_page(ruleset, result, readings, tool="t", digest="d"))
    middle = 48 + (960 - 48 - 76) / 2
    for look in ("warning", "caution"):
        [(x, wide)] = re.findall(rf'<rect class="bar {look}" x="([^"]*)" y="[^"]*" width="([^"]*)"', drawn)
        assert float(x) == pytest.approx(middle, abs=1)
        assert float(wide) >= 2
    [(x, wide)] = re.findall(r'fill="url\(#c-red\)" x="([^"]*)" y="[^"]*" width="([^"]*)"', drawn)
    assert float(x) == pytest.approx(middle, abs=1)
    assert float(wide) == 2
    assert "FAST, warning" in drawn
    assert "NEAR, caution" in drawn
    assert 'class="broken"' in drawn


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
    assert "In doubt: look at this first" in head
    assert "is its unit C?" in head
    assert "left-out-limit (time):" in head
    assert "oil 90 F 260 F 0 % oil" in rest
    assert "1 of 1 left-out rows are past a limit" in rest
    assert "red band hot 1 2 oil 260 F, 15 F past it" in rest


def test_what_the_log_could_not_judge_stands_at_the_head(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text("time,rpm\n0,1000\n1,1000\n")
    oil = 'quantity oil from 0 to 300 F\noil above 200 F is red with warning "OIL"\n'
    ruleset = loads(BRIEF + oil).model
    result, readings = replayed(ruleset, log, None)
    head, _, rest = text_of(replay_page(ruleset, result, readings, tool="t", digest="d")).partition(" Timeline ")
    assert 'no column feeds oil: warning "OIL"' in head
    assert "No alert came up of the 2 of 3 that could be judged." in rest


def test_the_clock_of_the_log_stands_beside_the_elapsed_time(tmp_path: Path, chromium: str) -> None:
    """Past midnight too, in the tables, on the axis and under the line that is moved by keys."""
    log = tmp_path / "log.csv"
    begin = datetime(2026, 5, 3, 23, 50)
    rows = [f"{begin + timedelta(seconds=n)},{2800 if n > 590 else 900}" for n in range(1200)]
    log.write_text("time,rpm\n" + "\n".join(rows) + "\n", encoding="utf-8")
    column_map = parse_column_map(
        b'time = {column = "time", format = "%Y-%m-%d %H:%M:%S"}\ncolumns.rpm = "rpm"\n', "map.toml"
    )
    ruleset = loads(BRIEF).model
    result, readings = replayed(ruleset, log, column_map)
    page = replay_page(ruleset, result, readings, tool="t", digest="d")
    shown = text_of(page)
    assert "It began at 2026-05-03 23:50:00, by the clock of the log, which names no zone." in shown
    assert "23:59:51 (9:51) FAST" in shown
    # Clock and elapsed time on the axis, one below the other.
    labels = re.findall(r'<text class="time"[^>]*>([^<]*)<', page)
    assert labels[:4] == ["23:50:00", "0:00", "23:52:00", "2:00"]
    assert "00:00:00" in labels
    probe = """<script>
      const box = document.querySelector(".timeline[id]");
      const key = name => box.dispatchEvent(new KeyboardEvent("keydown", {key: name, bubbles: true}));
      key("n"); const first = box.querySelector("output").textContent;
      key("End"); document.body.dataset.told = [first, box.querySelector("output").textContent].join("|");
    </script>"""
    file = tmp_path / "page.html"
    file.write_text(page.replace("</body>", probe + "</body>"), encoding="utf-8")
    [told] = re.findall(r'data-told="([^"]*)"', dom(chromium, file, tmp_path / "profile"))
    first, last = told.split("|")
    assert first.startswith("23:59:51 (9:51)  up: FAST, warning")
    assert last.startswith("00:09:59 (19:59)  up: ")


def test_more_alerts_than_a_browser_bears_are_all_drawn_and_some_listed(
    bramble: tuple[m.RuleSet, ReplayResult, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ruleset, result, whole = bramble
    monkeypatch.setattr("alertlang.documents.replay_page.MANY", 20)
    monkeypatch.setattr("alertlang.documents.replay_page.FEW", 2)
    monkeypatch.setattr("alertlang.documents.timeline._SLICES", 3)
    _, readings = replayed(ruleset, LOG, load_column_map(BRAMBLE / "logs" / "recorder.toml"))
    page = replay_page(ruleset, result, readings, tool="t", digest="d")
    drawn = r'<rect class="(?:bar|broken)'
    assert len(re.findall(drawn, page)) == len(re.findall(drawn, whole)) > 50
    ids, aims = (re.findall(rf'{name}="#?([^"]+)"', page) for name in (r"\bid", "href"))
    assert len(ids) == len(set(ids))
    assert set(aims) <= set(ids)
    assert len(re.findall(r'id="t\d+"', page)) == 8 + 2 * 3 - 1
    assert "and 16 more, drawn above" in page
    assert "and 17 more, drawn above" in page
    # Slices that are joined are of the worst of their colours: all that was red still is.
    [volts], [before] = (re.findall(r'aria-label="Bus voltage.*?</svg>', one) for one in (page, whole))
    slices = re.findall(r'fill="url\(#c-(\w+)\)" [^>]*data-t="([^"]*)" data-e="([^"]*)"', volts)
    assert len(slices) < len(re.findall("url\\(#c-", before))
    red = [(float(a), float(b)) for colour, a, b in slices if colour == "red"]
    for one in result.colours:
        if one.quantity == "volts" and one.colour == "red":
            assert any(a <= one.start and one.start + one.seconds <= b for a, b in red)


def test_a_mapped_switch_has_a_row_and_what_lies_beyond_does_not_hide_a_trace(tmp_path: Path) -> None:
    ruleset = loads(
        'rules "l" version 1\nsource S common practice\nquantity x from 0 to 900\nswitch master "Master" off, on\n'
        "switch flaps up, down\nlow: limit x at least 20, source S\nx at least 0 is green\n"
    ).model
    log = tmp_path / "log.csv"
    rows = [
        f"{time},{500 + time % 2},{'off' if 100 <= time < 300 else '?' if time == 300 else 'on'}" for time in range(400)
    ]
    log.write_text("time,x,master\n" + "\n".join(rows) + "\n", encoding="utf-8")
    result, readings = replayed(ruleset, log, None)
    page = replay_page(ruleset, result, readings, tool="t", digest="d")
    switches = re.search(r'<svg class="switches".*?</svg>', page)
    assert switches is not None
    assert ">Master</text>" in switches[0]
    assert "flaps" not in switches[0]
    bars = re.findall(r'<rect class="at (\w+)"[^>]* data-t="(\d+)" data-e="(\d+)"', switches[0])
    assert bars == [("p1", "0", "100"), ("p0", "100", "300"), ("unknown", "300", "301"), ("p1", "301", "399")]
    words = re.findall(r'<text class="position"[^>]*?(hidden)?"?>(\w+)<', switches[0])
    assert words == [("", "on"), ("", "off"), ("hidden", "unknown"), ("", "on")]
    gauge = re.search(r'<svg class="gauge" viewBox="0 0 960 (\d+)".*?</svg>', page)
    assert gauge is not None
    beyond = re.search(r'<text class="beyond" x="48" y="(\d+)" >not in the picture: low 20<', gauge[0])
    strip = re.search(r'data-top="(\d+)" data-plot="(\d+)"', gauge[0])
    assert beyond is not None
    assert strip is not None
    assert int(strip[1]) + int(strip[2]) + 10 < int(beyond[1]) < int(gauge[1])
    assert "off 3 min 20 s, on 3 min 18 s, unknown 1 s" in page


def test_what_has_no_telling_name_is_told_in_words_first(tmp_path: Path) -> None:
    ruleset = loads(
        'rules "l" version 1\nquantity x from 0 to 9 psi\nx at least 2 psi is green\nx below 2 psi is red\n'
    ).model
    log = tmp_path / "log.csv"
    log.write_text("Recorder,1\n\ntime,x\n0,5\n1,6\n", encoding="utf-8")
    result, readings = replayed(ruleset, log, None)
    page = re.sub("<[^>]*>", "|", replay_page(ruleset, result, readings, tool="t", digest="d").replace("<wbr>", ""))
    assert re.search(r"\|band\|+x_2 \|\(x below 2 psi: red\)\|+never applied", page)
    [problem] = [problem for problem in result.problems if problem.kind == "leading-lines"]
    assert problem.words in page
    assert page.index(problem.words) < page.index("leading-lines")
