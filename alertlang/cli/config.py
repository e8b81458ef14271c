"""Settings from a project's `pyproject.toml`: the table `[tool.alertlang]`.

Of the files `pyproject.toml` in the working folder and those above it the nearest counts that has such a table. What
is given on the command line wins (a list of folders too: it is not added to); `--no-config` leaves the file alone.
What is not a setting, or is not of its type, is an error: nothing is ignored in silence. Paths in it are seen from the
folder of the file.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any

import typer

from alertlang.cli.common import CheckFormat, FailOn, complain

FILE = "pyproject.toml"
_TABLE = "[tool.alertlang]"


class ConfigError(ValueError):
    """Settings that cannot be used; one line for each mistake, with file and key."""


def find(start: Path) -> tuple[Path, Mapping[str, Any]] | None:
    """The nearest file with our table, from a folder upwards, and what is in the table; none if there is none.

    ConfigError if the file cannot be read.
    """
    for folder in (start, *start.parents):
        path = folder / FILE
        try:
            data = path.read_bytes()
        except (FileNotFoundError, NotADirectoryError):
            continue
        except OSError as problem:
            raise ConfigError(f"{shown(path)}: cannot be read: {(problem.strerror or str(problem)).lower()}") from None
        # A file that does not name us is not ours to judge, and need not be parsed.
        if b"alertlang" not in data:
            continue
        table = _table(path, data)
        if table is not None:
            return path, table
    return None


def _table(path: Path, data: bytes) -> Mapping[str, Any] | None:
    import tomllib

    try:
        whole = tomllib.loads(data.decode("utf-8"))
    except UnicodeDecodeError:
        raise ConfigError(f"{shown(path)}: is not UTF-8") from None
    except (tomllib.TOMLDecodeError, RecursionError) as problem:
        raise ConfigError(f"{shown(path)}: is not TOML: {problem}") from None
    tool = whole.get("tool")
    if not isinstance(tool, dict) or "alertlang" not in tool:
        return None
    table = tool["alertlang"]
    if not isinstance(table, dict):
        raise ConfigError(f"{shown(path)}: tool.alertlang must be a table")
    return table


def settings(path: Path, table: Mapping[str, Any]) -> dict[str, Any]:
    """The settings under the names of the parameters of the commands. ConfigError if one is wrong."""
    from alertlang.text.suggest import nearest

    found: dict[str, Any] = {}
    wrong: list[str] = []
    for key, value in table.items():
        if key in _SETTINGS:
            try:
                found[key.replace("-", "_")] = _SETTINGS[key](value, path.parent)
            except ValueError as problem:
                wrong.append(f"{key} {problem}")
            continue
        if key in _ONLY_ARGUMENTS:
            wrong.append(f"{key} cannot be set here: {_ONLY_ARGUMENTS[key]}")
            continue
        close = nearest(key, _SETTINGS)
        wrong.append(f"{key} is no setting: " + (f"did you mean {close}?" if close else f"there are {_listed()}"))
    if wrong:
        raise ConfigError("\n".join(f"{shown(path)}: {_TABLE} {text}" for text in wrong))
    return found


def shown(path: Path) -> str:
    """A path from the working folder, so that no more of the machine is shown than is needed."""
    try:
        return os.path.relpath(path).replace(os.sep, "/")
    except ValueError:
        # On another drive.
        return str(path)


# ---- one function for each setting -------------------------------------------------------------------------------


def _folders(value: Any, folder: Path) -> list[str]:
    if isinstance(value, str):
        raise ValueError(f'must be a list of folders: write ["{value}"]')
    if not isinstance(value, list) or not all(isinstance(one, str) and one for one in value):
        raise ValueError('must be a list of folders, for example ["profiles"]')
    return [shown(folder / one) for one in value]


def _file(value: Any, folder: Path) -> str:
    if not isinstance(value, str) or not value:
        raise ValueError('must be the path of a file, for example "baseline.json"')
    return shown(folder / value)


def _one_of(*words: str) -> Callable[[Any, Path], str]:
    def check(value: Any, _: Path) -> str:
        if isinstance(value, str) and value in words:
            return value
        from alertlang.text.suggest import nearest

        close = nearest(value, words) if isinstance(value, str) else None
        hint = f"; did you mean {close}?" if close else ""
        raise ValueError(f"must be one of {', '.join(words)}, not {_said(value)}{hint}")

    return check


def _work(value: Any, _: Path) -> int:
    # To Python a truth value is a number.
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise ValueError(f"must be a whole number from 1, not {_said(value)}")
    return value


def _said(value: Any) -> str:
    """A value about as it is written in TOML."""
    return str(value).lower() if isinstance(value, bool) else f'"{value}"' if isinstance(value, str) else str(value)


_SETTINGS: Mapping[str, Callable[[Any, Path], Any]] = {
    "path": _folders,
    "fail-on": _one_of(*FailOn),
    "output": _one_of(*CheckFormat),
    "work-limit": _work,
    "baseline": _file,
}
_ONLY_ARGUMENTS = {
    "today": "a day in a file is soon another day; give --today on the command line",
    "write-baseline": "a check must not write files by itself; give --write-baseline on the command line",
    "fix": "a check must not change files by itself; give --fix on the command line",
}


def _listed() -> str:
    return ", ".join(_SETTINGS)


# ---- the option --------------------------------------------------------------------------------------------------

# What every command has that reads rules; the other settings are of `check` alone.
_OF_ALL = frozenset({"path", "work_limit"})


def _apply(ctx: typer.Context, leave: bool) -> bool:
    """Makes the settings the defaults of the options of `check`, before those are looked at."""
    return _set(ctx, leave, _OF_ALL | {"fail_on", "output", "baseline"})


def _apply_some(ctx: typer.Context, leave: bool) -> bool:
    """The same for other commands."""
    return _set(ctx, leave, _OF_ALL)


def _set(ctx: typer.Context, leave: bool, names: frozenset[str]) -> bool:
    if leave or ctx.resilient_parsing:
        return leave
    try:
        found = find(Path.cwd())
        values = settings(*found) if found is not None else {}
    except FileNotFoundError:
        # The working folder is gone, and with it the way up.
        return leave
    except ConfigError as problem:
        for line in str(problem).split("\n"):
            complain(line)
        sys.stderr.write("Mend it, or leave it alone with --no-config.\n")
        raise typer.Exit(2) from None
    kept = {name: value for name, value in values.items() if name in names}
    ctx.default_map = {**(ctx.default_map or {}), **kept}
    return leave


def _option(callback: Callable[[typer.Context, bool], bool]) -> Any:
    return typer.Option(
        "--no-config",
        callback=callback,
        # Before the others, whose defaults it sets.
        is_eager=True,
        help=f"Leave {FILE} alone. Else the nearest one upwards with a table {_TABLE} sets what is not given here.",
    )


NoConfig = Annotated[bool, _option(_apply)]
"""For `check`."""
NoConfigOfPaths = Annotated[bool, _option(_apply_some)]
"""For other commands that read rules: they take the folders and the work limit from the file."""
