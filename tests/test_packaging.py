"""What is built from the checkout is whole, works anywhere, and says nothing of the machine that built it."""

import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest
from hatchling.builders.sdist import SdistBuilder
from hatchling.builders.wheel import WheelBuilder

import alertlang

DATA_FOLDERS = ("grammar", "stdlib_profiles")


@pytest.fixture(scope="module")
def sdist(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The unpacked source distribution, which has no git and no sibling folders to lean on."""
    built, unpacked = tmp_path_factory.mktemp("sdist"), tmp_path_factory.mktemp("unpacked")
    [archive] = SdistBuilder(str(checkout)).build(directory=str(built), versions=["standard"])
    with tarfile.open(archive) as opened:
        opened.extractall(unpacked, filter="data")
    [top] = unpacked.iterdir()
    return top


@pytest.fixture(scope="module")
def wheel(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel built from the checkout, unpacked."""
    return _wheel_from(checkout, tmp_path_factory.mktemp("wheel"))


def _wheel_from(source: Path, work: Path) -> Path:
    [archive] = WheelBuilder(str(source)).build(directory=str(work), versions=["standard"])
    unpacked = work / "unpacked"
    with zipfile.ZipFile(archive) as opened:
        opened.extractall(unpacked)
    return unpacked


def _files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts and path.name != ".DS_Store"
    }


@pytest.mark.parametrize("name", DATA_FOLDERS)
def test_wheel_holds_every_file_of_the_data_folders(checkout: Path, wheel: Path, name: str) -> None:
    expected = _files(checkout / name)
    assert expected
    assert _files(wheel / "alertlang" / "_data" / name) == expected


@pytest.mark.parametrize("name", DATA_FOLDERS)
def test_sdist_holds_every_file_of_the_data_folders(checkout: Path, sdist: Path, name: str) -> None:
    assert _files(sdist / name) == _files(checkout / name)


def test_wheel_built_from_the_sdist_is_the_same(sdist: Path, wheel: Path, tmp_path: Path) -> None:
    assert _files(_wheel_from(sdist, tmp_path)) == _files(wheel)


def test_wheel_holds_every_module_the_type_marker_and_the_licence(checkout: Path, wheel: Path) -> None:
    shipped = {name for name in _files(wheel) if not name.startswith("alertlang/_data/")}
    package = {f"alertlang/{name}" for name in _files(checkout / "alertlang")}
    meta = f"alertlang-{alertlang.__version__}.dist-info"
    assert package <= shipped
    assert "alertlang/py.typed" in shipped
    assert f"{meta}/licenses/LICENSE" in shipped
    assert all(name.startswith(("alertlang/", f"{meta}/")) for name in shipped)


def test_unpacked_wheel_finds_its_own_data(wheel: Path, tmp_path: Path) -> None:
    program = (
        f"import sys; sys.path.insert(0, {str(wheel)!r})\n"
        "from alertlang.text.resources import grammar_dir, profiles_dir\n"
        "print(grammar_dir()); print(profiles_dir())"
    )
    run = subprocess.run(
        [sys.executable, "-I", "-c", program], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    found = [Path(line) for line in run.stdout.splitlines()]
    assert found == [(wheel / "alertlang" / "_data" / name).resolve() for name in DATA_FOLDERS]


def test_unpacked_wheel_explains_words_of_the_language(wheel: Path, tmp_path: Path) -> None:
    program = (
        f"import sys; sys.path.insert(0, {str(wheel)!r})\n"
        "from alertlang.syntax.language import find_word, page_of\n"
        "print(page_of(find_word('except for')))"
    )
    run = subprocess.run(
        [sys.executable, "-I", "-c", program], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    assert "a violation only when it has lasted *longer* than D" in run.stdout


def test_version_has_one_source(checkout: Path) -> None:
    project = tomllib.loads((checkout / "pyproject.toml").read_text("utf-8"))["project"]
    assert project["dynamic"] == ["version"]
    assert "version" not in project


# Written with one-letter classes so that this file does not match itself.
UNWANTED = {
    "a package registry": re.compile(
        r"\bpyp[i]\.org|pytho[n]hosted|registry\.np[m]js|registry\.yar[n]|crate[s]\.io|deb\.debia[n]"
        r"|index[-_]ur[l]|find[-_]link[s]",
        re.IGNORECASE,
    ),
    "a path of somebody's machine": re.compile(
        r"(?<![\w.~}$/-])(?:file:/[/])?/(?:home|root|work|Users|opt|mnt|srv|private|var/folders)/\w"
        r"|\b[A-Za-z]:[\\]{1,2}Users\b"
    ),
}


def _published(checkout: Path, sdist: Path, wheel: Path) -> dict[str, bytes]:
    """Everything that leaves this machine: what git tracks, and what the two archives hold."""
    contents = {f"wheel: {name}": data for name, data in _files(wheel).items()}
    contents |= {f"sdist: {name}": data for name, data in _files(sdist).items()}
    if (checkout / ".git").exists() and (git := shutil.which("git")):
        listed = subprocess.run([git, "ls-files", "-z"], cwd=checkout, capture_output=True, check=True)
        tracked = [checkout / name for name in listed.stdout.decode().split("\0") if name]
        contents |= {str(path.relative_to(checkout)): path.read_bytes() for path in tracked if path.is_file()}
    return contents


@pytest.mark.parametrize("what", UNWANTED)
def test_no_published_text_names(what: str, checkout: Path, sdist: Path, wheel: Path) -> None:
    found = []
    for name, data in _published(checkout, sdist, wheel).items():
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            continue
        found += [
            f"{name}:{number}: {line.strip()[:120]}"
            for number, line in enumerate(text.splitlines(), start=1)
            if UNWANTED[what].search(line)
        ]
    assert not found


@pytest.mark.parametrize(
    ("what", "line", "unwanted"),
    [
        ("a package registry", "https://" + "pyp" + "i.org/simple", True),
        ("a package registry", "--index" + "-url", True),
        ("a package registry", "pip install alertlang", False),
        ("a path of somebody's machine", "see " + "/ho" + "me/ann/x.alert", True),
        ("a path of somebody's machine", "file:" + "///wo" + "rk/x.alert", True),
        ("a path of somebody's machine", "C:" + "\\Users\\ann", True),
        ("a path of somebody's machine", "profiles/mnt/x, $HOME/srv/x, ../opt/x, a/home/b", False),
        ("a path of somebody's machine", "#!/usr/bin/env bash", False),
    ],
)
def test_the_search_finds_what_it_should(what: str, line: str, unwanted: bool) -> None:
    assert bool(UNWANTED[what].search(line)) is unwanted
