"""Where the files that ship with alertlang are: the grammar and the standard profiles.

An installed package carries them inside itself. A checkout, and so an editable install, has them as
folders of their own beside the package.
"""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


def grammar_dir() -> Path:
    """The folder that holds the grammar and its catalogues; RuntimeError if the install lacks it."""
    return _shipped("grammar")


def profiles_dir() -> Path:
    """The folder that holds the shipped profiles; RuntimeError if the install lacks it."""
    return _shipped("stdlib_profiles")


def examples_dir() -> Path:
    """The folder that holds the examples; RuntimeError if the install lacks it."""
    return _shipped("examples")


def _shipped(name: str) -> Path:
    packaged = _PACKAGE / "_data" / name
    if packaged.is_dir():
        return packaged
    checkout = _PACKAGE.parent
    # Without this look, any folder of the same name beside an incomplete install would be taken.
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    raise RuntimeError(
        f"alertlang cannot find its folder '{name}': neither {packaged} nor {checkout / name} "
        "in a checkout exists. Install alertlang again."
    )


def tool_version() -> str:
    """The version of alertlang that is installed, for layers that must not import the package itself."""
    from importlib.metadata import version

    return version("alertlang")
