"""The page of a fleet: every number leads to the runs that make it up, in a browser and without a script."""

from __future__ import annotations

import html
import json
import re
from collections import Counter
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.api import loads
from alertlang.cli.app import app
from alertlang.documents.fleet_page import fleet_page
from alertlang.fleet.run import fleet
from alertlang.logs.column_map import parse_column_map
from alertlang.results.fleet import FleetResult
from tests.helpers.browser import dom, printed

RULES = """rules "shop" version 1
source S common practice
quantity rpm from 0 to 3500 rpm
quantity cht[2] from 0 to 600 F
redline: limit rpm at most 2700 rpm, needs warning, source S
rpm below 2500 is green
rpm from 2500 to 2700 is yellow
fast: rpm above 2700 is red with warning "FAST"
hot: cht above 450 is red with caution "CHT {n} <HOT>"
burnt: cht above 590 is red with warning "BURNS"
"""
MAP = """time = {column = "t", format = "%Y-%m-%d %H:%M:%S"}
[columns]
rpm = {column = "rpm"}
"cht[1]" = {column = "c1"}
"cht[2]" = {column = "c2"}
"""
# By aircraft and run: at which seconds of a hundred rpm is too high, and for how long cht[2] is hot.
FLEET = {
    ("hazel", "2026-03-02"): ((10, 20, 30), 0),
    ("hazel", "2026-03-01"): ((70,), 40),
    ("rowan", "2026-03-05"): ((50,), 5),
    ("rowan", "2026-03-09"): ((), 0),
}


def written(folder: Path) -> Path:
    for (aircraft, day), (fast, hot) in FLEET.items():
        (folder / aircraft).mkdir(parents=True, exist_ok=True)
        rows = [
            f"{day} 10:{n // 60:02}:{n % 60:02},{2750 + n if n in fast else 1500},400,{460 if n < hot else 400}"
            for n in range(100)
        ]
        # The name of a file may look like markup.
        path = folder / aircraft / f"<i>{day}.csv"
        path.write_text("t,rpm,c1,c2\n" + "\n".join(rows) + "\n", encoding="utf-8")
    (folder / "rowan" / "again.csv").write_bytes((folder / "rowan" / "<i>2026-03-09.csv").read_bytes())
    (folder / "rowan" / "bad.csv").write_text("nothing\n", encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> tuple[FleetResult, str]:
    top = tmp_path_factory.mktemp("fleet")
    column_map = parse_column_map(MAP.encode(), "map.toml")
    found = fleet([written(top / "logs")], loads(RULES).model, column_map, top / "out", tool="1")
    return found, fleet_page(found, tool="alertlang", digest="d1g3st")


def text_of(page: str) -> str:
    body = re.sub(r"<script.*?</script>|<style.*?</style>", "", page, flags=re.DOTALL).replace("<wbr>", "")
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", body)))


def test_what_it_says_is_what_was_found(shop: tuple[FleetResult, str]) -> None:
    found, page = shop
    shown = text_of(page)
    assert "4 recordings over" in shown
    assert "Came up: 5 warnings, 2 cautions" in shown
    assert "1 could not be used , and stand in no number here" in shown
    assert "rowan/bad.csv: " in shown
    assert re.search(r"rowan/again\.csv is the same as \S+/<i>2026-03-09\.csv", shown)
    # Four runs of 99 s each: 5 warnings are 45.5 an hour; on hazel 4 in half the time.
    assert "FAST fast 5 45.5 3 5 s 1 2 4× 72.7 /h 1× 18.2 /h" in shown
    assert "CHT {n} <HOT> hot 2 18.2 2 45 s · 1 1× 18.2 /h 1× 18.2 /h" in shown
    assert "redline 5 3 5 s 120 rpm rpm 2820 rpm 4× 72.7 /h 1× 18.2 /h" in shown
    for metric in found.metrics:
        assert (f"{metric.words} ({metric.source}; {metric.status})" in shown) is metric.fits_aircraft
    assert "band burnt never applied" in shown
    assert "d1g3st" in shown


def test_every_number_leads_to_the_runs_behind_it(shop: tuple[FleetResult, str]) -> None:
    found, page = shop
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    aims = set(re.findall(r'href="#([^"]+)"', page))
    assert aims <= set(ids)
    cells = re.findall(r'<td class="n" data-v="(\d+)"><a href="#([al]\d+-\d+)">(\d+)×', page)
    assert len(cells) == 6
    for value, aim, times in cells:
        assert value == times
        group = page[page.index(f'id="{aim}"') :]
        rows = re.findall(r'<a href="#r(\d+)">.*?data-v="(\d+)"', group[: group.index("</tbody>")])
        assert sum(int(count) for _, count in rows) == int(times)
        [aircraft] = {found.logs[int(log)].aircraft for log, _ in rows}
        assert aircraft == ("hazel", "rowan")[int(aim.rpartition("-")[2]) - 1]
    assert {one for one in ids if re.fullmatch(r"r\d+", one)} == {
        f"r{place}" for place, log in enumerate(found.logs) if log in found.used
    }


def test_runs_of_an_aircraft_stand_in_order_of_time(shop: tuple[FleetResult, str]) -> None:
    page = shop[1]
    pictures = re.findall(r'<svg class="overtime".*?</svg>', page)
    assert [re.findall(r"<title>([0-9-]+)", picture) for picture in pictures] == [
        ["2026-03-01", "2026-03-02"],
        ["2026-03-05", "2026-03-09"],
    ]
    # On one scale, and with a sign where a warning came up.
    highs = [[float(high) for high in re.findall(r'<rect [^>]*height="([^"]*)"', picture)] for picture in pictures]
    assert highs == [[20, 30], [20, 1]]
    assert [picture.count("<path") for picture in pictures] == [2, 1]
    assert "in order of time" in page


def test_it_refers_to_nothing_outside_and_is_the_same_each_time(shop: tuple[FleetResult, str]) -> None:
    found, page = shop
    links = re.findall(r"""(?:href|src|action)\s*=\s*["']([^"']*)""", page) + re.findall(r"url\(([^)]*)\)", page)
    assert links
    assert all(link.strip("\"'").startswith("#") or link.startswith("a[") for link in links)
    assert not re.findall(r"https?://|@import|fetch|XMLHttp", page)
    assert "<i>" not in page
    assert page == fleet_page(found, tool="alertlang", digest="d1g3st")


PROBE = """<script>
  const told = {}, table = document.querySelectorAll("table.sort")[1];
  const names = () => [...table.tBodies[0].rows].map(row => row.cells[0].querySelector("b").textContent);
  const head = words => [...table.tHead.rows[0].cells].find(cell => cell.textContent.startsWith(words));
  told.before = names();
  head("alert").querySelector("button").click(); told.by_name = names();
  told.sorted = head("alert").getAttribute("aria-sort");
  head("times").querySelector("button").click(); told.by_times = names();
  head("times").querySelector("button").click(); told.up = [names(), head("times").getAttribute("aria-sort")];
  document.querySelector('a[href="#a1-2"]').click();
  told.open = [...document.querySelectorAll("details.behind[open]")].map(one => one.id);
  document.body.dataset.told = JSON.stringify(told);
</script>"""


def test_a_browser_sorts_and_follows_links(shop: tuple[FleetResult, str], chromium: str, tmp_path: Path) -> None:
    file = tmp_path / "page.html"
    file.write_text(shop[1].replace("</body>", PROBE + "</body>"), encoding="utf-8")
    made = dom(chromium, file, tmp_path / "profile")
    told = json.loads(html.unescape(re.findall(r'data-told="([^"]*)"', made)[0]))
    assert told == {
        "before": ["FAST", "CHT {n} <HOT>"],
        "by_name": ["CHT {n} <HOT>", "FAST"],
        "sorted": "ascending",
        "by_times": ["FAST", "CHT {n} <HOT>"],
        "up": [["CHT {n} <HOT>", "FAST"], "ascending"],
        "open": ["a1"],
    }


def test_it_prints_with_all_runs(shop: tuple[FleetResult, str], chromium: str, tmp_path: Path) -> None:
    import io

    import pypdf

    file = tmp_path / "page.html"
    file.write_text(shop[1], encoding="utf-8")
    pages = pypdf.PdfReader(io.BytesIO(printed(chromium, file, tmp_path / "profile", tmp_path / "page.pdf"))).pages
    text = " ".join(page.extract_text() for page in pages)
    # In the list of its alert, in that of its limit and in that of its aircraft, and what is said of it above.
    assert Counter(re.findall(r"2026-03-0\d(?=\.csv)", text))["2026-03-05"] >= 4
    assert len(pages) < 8


def test_the_command_writes_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    written(tmp_path / "logs")
    (tmp_path / "shop.alert").write_text(RULES, encoding="utf-8")
    (tmp_path / "map.toml").write_text(MAP, encoding="utf-8")
    words = ["fleet", "shop.alert", "logs", "--map", "map.toml", "-o", "out", "--jobs", "1", "--page"]
    done = CliRunner().invoke(app, [*words, "page.html", "--aircraft", "rowan|hazel"])
    assert (done.exit_code, done.stderr) == (1, "wrote page.html\n"), done.output
    assert "45.5" in text_of((tmp_path / "page.html").read_text(encoding="utf-8"))
    for wrong, said in (("page.pdf", "its name must end with .html"), ("no/page.html", "cannot be written")):
        ended = CliRunner().invoke(app, [*words, wrong])
        assert ended.exit_code == 2
        assert said in " ".join(ended.stderr.replace("│", " ").split())
    (tmp_path / "mine.html").write_text("mine", encoding="utf-8")
    ended = CliRunner().invoke(app, [*words, "mine.html"])
    assert ended.exit_code == 2
    assert (tmp_path / "mine.html").read_text(encoding="utf-8") == "mine"
