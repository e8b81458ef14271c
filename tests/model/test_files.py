"""Files that use files: found or not, broken, in circles, twice."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from alertlang.findings.finding import Finding
from alertlang.model.load import Loaded, load_ruleset, parse_ruleset
from tests.model.conftest import PROFILE, Load

HEAD = 'rules "t" version 1\n'


def _only(loaded: Loaded) -> Finding:
    assert [f.message for f in loaded.findings][1:] == []
    assert loaded.ruleset is None
    return loaded.findings[0]


def _place(found: Finding) -> tuple[int, int, str]:
    assert found.where is not None
    return found.where.line, found.where.column, found.where.text


# ---- headers


@pytest.mark.parametrize(
    ("text", "message", "place"),
    [
        ("", "the file is empty", (1, 1, "")),
        ("\n\n  \n", "the file is empty", (1, 1, "")),
        ("# one\n\n  # two", "the file holds nothing but comments", (1, 1, "")),
        ('about "x"\n', "the file has no header", (1, 1, 'about "x"')),
        (
            HEAD + 'rules "u" version 2\n',
            "a file has one header, and it stands in line 1",
            (2, 1, 'rules "u" version 2'),
        ),
        ('about "x"\n' + HEAD, "the header must be the first statement", (2, 1, HEAD.strip())),
        ('rules "t" version 1.5\n', "a version is a whole number", (1, 19, "1.5")),
        ('rules " " version 1\n', "the name is empty", (1, 7, '" "')),
        ('rules "t" versoin 1\n', "did you mean version?", (1, 11, "versoin")),
        ('ruels "t" version 1\n', "did you mean rules?", (1, 1, "ruels")),
    ],
)
def test_header(load: Load, text: str, message: str, place: tuple[int, int, str]) -> None:
    found = _only(load({"t.alert": text}))
    assert message in found.message
    assert _place(found) == place
    assert found.path == "t.alert"
    assert found.advice or "did you mean" in found.message


def test_broken_statement_neither_hides_nor_adds_a_missing_header(load: Load) -> None:
    loaded = load({"t.alert": 'about "x"\nrpm abve 5 is red\n'})
    assert [f.code.code for f in loaded.findings] == ["AL109", "AL102"]
    loaded = load({"t.alert": 'about "x"\nrpm abve 5 is red\n' + HEAD})
    assert [f.code.code for f in loaded.findings] == ["AL102", "AL109"]


def test_a_broken_header_is_one_mistake_also_with_another_further_down(load: Load) -> None:
    found = _only(load({"t.alert": 'rules "t" versoin 1\nabout "x"\n' + HEAD}))
    assert _place(found) == (1, 11, "versoin")
    found = _only(load({"t.alert": 'about x\nabout "x"\n' + HEAD}))
    assert _place(found) == (1, 7, "x")


def test_mistakes_after_a_broken_header_are_found(load: Load) -> None:
    loaded = load({"t.alert": 'rules t version 1\nuse profile "osier"\nrmp above 5 is red\n'})
    assert [f.code.code for f in loaded.findings] == ["AL102", "AL104"]
    assert loaded.origin is not None


@pytest.mark.parametrize("data", [b"\x00\x01", (HEAD + 'about "x"').encode("utf-16"), b"\xff"])
def test_no_text(load: Load, data: bytes) -> None:
    found = _only(load({"t.alert": data}))
    assert found.code.code == "AL101"
    assert found.path == "t.alert"


def test_line_ends_do_not_matter(load: Load) -> None:
    text = HEAD + 'use profile "osier"\nrmp above 5 is red'
    for ending in ("\n", "\r\n", "\r"):
        found = _only(load({"t.alert": b"\xef\xbb\xbf" + text.replace("\n", ending).encode()}))
        assert _place(found) == (3, 1, "rmp")


def test_file_that_is_not_there() -> None:
    found = _only(load_ruleset(Path("no-such-file.alert")))
    assert (found.code.code, found.path) == ("AL101", "no-such-file.alert")


# ---- used files


@pytest.mark.parametrize(
    ("use", "message", "advice"),
    [
        ('use profile "nothing"', "there is no nothing.profile", "looked in: ., profiles, the shipped profiles"),
        ('use profile "oseir"', "there is no oseir.profile", 'did you mean "osier"?'),
        ('use profile "osier.profile"', "there is no osier.profile.profile", 'use profile "osier"'),
        ('use rules "osier"', "there is no osier.alert", 'use profile "osier"'),
        ('use rules "nothing"', "there is no nothing.alert", "looked in: ., rules"),
        ('use profile "profiles/osier"', '"profiles/osier" is not the name of a file', "--path"),
        ('use profile "..\\osier"', "is not the name of a file", "--path"),
        ('use profile ".."', "is not the name of a file", "--path"),
        ('use profile ""', "is not the name of a file", "--path"),
        ('use profile "' + "n" * 5_000 + '"', "there is no nnn", "looked in"),
    ],
)
def test_not_found(load: Load, use: str, message: str, advice: str) -> None:
    # Every name might have been in the missing file, so none of them is a mistake of its own.
    found = _only(load({"t.alert": f'{HEAD}{use}\nrpm above 5 is red\nwhen cold then warning "A"\n'}))
    assert found.code.code == "AL107"
    assert message in found.message
    assert advice in " ".join(found.advice)
    assert _place(found) == (2, use.index('"') + 1, use[use.index('"') :])


def test_found_beside_it_in_the_folder_and_on_the_path(load: Load, tmp_path: Path) -> None:
    named = PROFILE.replace("osier", "p")
    for place in ("p.profile", "profiles/p.profile"):
        loaded = load({place: named, "t.alert": HEAD + 'use profile "p"\n'})
        assert loaded.ruleset is not None
        (tmp_path / place).unlink()
    assert load({"t.alert": HEAD + 'use profile "p"\n'}).ruleset is None
    loaded = load({"far/off/p.profile": named, "t.alert": HEAD + 'use profile "p"\n'}, search=(Path("far/off"),))
    assert loaded.ruleset is not None
    assert [o.path for o in loaded.ruleset.profiles] == ["far/off/p.profile"]


def test_folder_of_that_name(load: Load, tmp_path: Path) -> None:
    (tmp_path / "p.profile").mkdir()
    found = _only(load({"t.alert": HEAD + 'use profile "p"\nzzz above 1 is red'}))
    assert (found.code.code, found.path) == ("AL101", "p.profile")
    assert "a folder, not a file" in found.message


def test_used_file_that_may_not_be_read(load: Load, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "p.profile").write_text(PROFILE)
    opened = Path.open

    def refuse(self: Path, *arguments: Any, **more: Any) -> Any:
        # Taking the right to read away would not stop root, who may run the tests.
        if self.name == "p.profile":
            raise PermissionError
        return opened(self, *arguments, **more)

    monkeypatch.setattr(Path, "open", refuse)
    found = _only(load({"t.alert": HEAD + 'use profile "p"\nzzz above 1 is red'}))
    assert (found.code.code, found.path) == ("AL101", "p.profile")


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        (b"\x00", "AL101", None),
        (b'profile "p" version 1\nabout "\xff"\n', "AL101", (2, 8, "\ufffd")),
        (b'about "x"\n', "AL109", (1, 1, 'about "x"')),
        (b"", "AL109", (1, 1, "")),
        (b'profile "p" version 1\nquantity q form 0 to 1\n', "AL102", (2, 12, "form")),
        (b'profile "p" version 1\nquantity q from 1 to 0\n', "AL112", (2, 17, "1 to 0")),
        (b'profile "p" version 1\nquantity q from 0 to 1\nrpm above 5 is red\n', "AL109", (3, 1, "rpm above 5 is red")),
    ],
)
def test_findings_in_a_used_file_carry_its_path(
    load: Load, text: bytes, code: str, place: tuple[int, int, str] | None
) -> None:
    found = _only(load({"p.profile": text, "t.alert": HEAD + 'use profile "p"\nq above 0 is red\n'}))
    assert (found.code.code, found.path) == (code, "p.profile")
    assert (found.where is None) if place is None else (_place(found) == place)


def test_broken_file_that_is_used_twice_is_said_once(load: Load) -> None:
    files: dict[str, str] = {"p.profile": 'about "x"\n'}
    for name in ("a", "b"):
        files[f"{name}.alert"] = f'rules "{name}" version 1\nuse profile "p"\n'
    files["t.alert"] = HEAD + 'use rules "a"\nuse rules "b"\nuse profile "p"\n'
    assert _only(load(files)).path == "p.profile"


def test_wrong_kind_of_file(load: Load) -> None:
    found = _only(load({"p.profile": HEAD.replace("t", "p", 1), "t.alert": HEAD + 'use profile "p"\nq above 0 is red'}))
    assert found.code.code in {"AL102", "AL113"}
    loaded = load({"p.profile": 'rules "p" version 1\n', "t.alert": HEAD + 'use profile "p"\nq above 0 is red'})
    found = _only(loaded)
    assert found.message == '"p" is a file of rules, and a profile is asked for'
    assert found.advice == ('write: use rules "p"',)
    assert _place(found) == (2, 13, '"p"')


def test_profile_cannot_use_rules(load: Load) -> None:
    found = _only(load({"b.alert": 'rules "b" version 1\n', "p.profile": 'profile "p" version 1\nuse rules "b"\n'}))
    assert found.code.code == "AL109"
    assert _place(found) == (2, 1, 'use rules "b"')


def test_other_name_in_the_header_is_a_warning(load: Load) -> None:
    loaded = load({"p.profile": PROFILE, "t.alert": HEAD + 'use profile "p"\n'})
    [found] = loaded.findings
    assert (found.code.code, found.severity.word) == ("AL115", "warning")
    assert 'calls itself "osier"' in found.message
    assert loaded.ruleset is not None


# ---- circles and diamonds


def test_circles_of_files(load: Load) -> None:
    a = 'rules "a" version 1\nuse rules "b"\n'
    b = 'rules "b" version 1\nuse rules "c"\nzzz above 1 is red\n'
    c = 'rules "c" version 1\nuse rules "b"\n'
    found = _only(load({"c.alert": c, "b.alert": b, "a.alert": a}))
    assert (found.code.code, found.path) == ("AL108", "c.alert")
    assert "b -> c -> b" in found.message
    assert _place(found) == (2, 1, 'use rules "b"')


def test_file_that_uses_itself(load: Load) -> None:
    found = _only(load({"a.alert": 'rules "a" version 1\nuse rules "a"\n'}))
    assert found.code.code == "AL108"
    assert "a -> a" in found.message


def test_profile_used_on_two_ways_counts_once(load: Load) -> None:
    files = {
        f"{name}.alert": f'rules "{name}" version 1\nuse profile "osier"\n{name}: rpm above {number} is red\n'
        for name, number in (("a", 5), ("b", 6))
    }
    files["t.alert"] = HEAD + 'use rules "a"\nuse rules "b"\nuse profile "osier"\nuse profile "osier"\n'
    loaded = load(files)
    assert loaded.findings == ()
    assert loaded.ruleset is not None
    assert [o.path for o in loaded.ruleset.origins] == ["osier.profile", "a.alert", "b.alert", "t.alert"]
    assert [o.depth for o in loaded.ruleset.origins] == [2, 1, 1, 0]
    assert [band.label for band in loaded.ruleset.bands] == ["a", "b"]
    assert len(loaded.ruleset.ranges) == 1


def test_text_that_is_in_no_file_looks_in_its_folder(tmp_path: Path) -> None:
    (tmp_path / "osier.profile").write_text(PROFILE)
    text = (HEAD + 'use profile "osier"\nrpm above 5 is red\n').encode()
    assert parse_ruleset(text, shown="-", folder=tmp_path).ruleset is not None
    assert parse_ruleset(text, shown="-", folder=tmp_path / "elsewhere").ruleset is None
