"""Files beyond all measure end in a result or in a clear word, and a link that leads out is not quoted."""

from __future__ import annotations

from pathlib import Path

import pytest

import alertlang
from alertlang.model.files import DEEPEST_USE
from alertlang.model.resolve import MOST_BANDS
from alertlang.output.text import finding_lines
from alertlang.syntax.limits import MOST_STATEMENTS

QUANTITY = 'quantity rpm "Engine speed" from 0 to 3500 rpm, step 1 rpm\n'
BANDS = "rpm at most 2700 rpm is green\nrpm above 2700 rpm is red\n"


def refused(text: str) -> list[str]:
    with pytest.raises(alertlang.UnreadableError) as caught:
        alertlang.loads(text)
    return [f"{one.code.name}: {one.message}" for one in caught.value.findings]


def chain(folder: Path, length: int) -> Path:
    for i in range(length):
        rest = f'use rules "c{i + 1}"\n' if i < length - 1 else QUANTITY + BANDS
        (folder / f"c{i}.alert").write_text(f'rules "c{i}" version 1\n{rest}', encoding="utf-8")
    return folder / "c0.alert"


def test_files_that_use_each_other_very_deep(tmp_path: Path) -> None:
    assert not alertlang.load(chain(tmp_path, DEEPEST_USE)).check().findings
    with pytest.raises(alertlang.UnreadableError) as caught:
        alertlang.load(chain(tmp_path, DEEPEST_USE + 40))
    [found] = caught.value.findings
    assert found.message == f"these files use each other more than {DEEPEST_USE} deep"


def test_very_many_statements() -> None:
    text = 'rules "s" version 1\n' + QUANTITY + "rpm above 7 rpm is green\n" * 100_000
    assert refused(text) == [
        f"unreadable-file: the file has 100,002 statements: at most {MOST_STATEMENTS:,} are read",
    ]


def test_very_many_bands_of_one_quantity() -> None:
    text = 'rules "s" version 1\n' + QUANTITY + "rpm above 7 rpm is green\n" * (MOST_BANDS + 1)
    assert refused(text) == [f"bad-value: rpm has {MOST_BANDS + 1} bands: at most {MOST_BANDS} are read"]


def test_very_many_positions() -> None:
    positions = ", ".join(f"p{i}" for i in range(5_000))
    text = f'rules "s" version 1\n{QUANTITY}{BANDS}switch s "S" {positions}\n'
    assert [one.code.name for one in alertlang.loads(text).check().findings] == ["unused"]


def test_a_link_that_leads_out_is_not_quoted(tmp_path: Path) -> None:
    secret = tmp_path / "elsewhere" / "secret"
    secret.parent.mkdir()
    secret.write_text('root:x:0:0 "hidden word"\n', encoding="utf-8")
    inside = tmp_path / "inside"
    inside.mkdir()
    (inside / "main.alert").write_text('rules "main" version 1\nuse profile "linked"\n', encoding="utf-8")
    (inside / "linked.profile").symlink_to(secret)
    (inside / "linked.alert").symlink_to(secret)
    for name in ("main.alert", "linked.alert"):
        with pytest.raises(alertlang.UnreadableError) as caught:
            alertlang.load(inside / name)
        said = str(caught.value.report and caught.value.report.to_json()) + "".join(
            "".join(text for _, text in line) for one in caught.value.findings for line in finding_lines(one, 80)
        )
        assert "nothing of it is quoted" in " ".join(said.split())
        assert "root:" not in said
        assert "hidden" not in said
    # One that can be read is taken as what it is, and one that stays inside is quoted as ever.
    secret.write_text('profile "linked" version 1\n' + QUANTITY, encoding="utf-8")
    assert alertlang.load(inside / "main.alert").kind == "rules"
    (inside / "broken").write_text("nonsense here\n", encoding="utf-8")
    (inside / "linked.alert").unlink()
    (inside / "linked.alert").symlink_to("broken")
    with pytest.raises(alertlang.UnreadableError) as caught:
        alertlang.load(inside / "linked.alert")
    assert "AL102" in str(caught.value)
