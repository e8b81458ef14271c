"""`alertlang library key`: making, trusting, listing and retiring keys."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli.common import usable_date
from alertlang.output.library import columns
from alertlang.output.style import write

app = typer.Typer(help="Keys of reviewers: make one, trust one, list them, retire one.", no_args_is_help=True)

_Library = Annotated[
    Path, typer.Option("--library", metavar="DIR", help="The folder of the library.", show_default="library")
]
_Date = Annotated[str | None, typer.Option("--date", help="The day (YYYY-MM-DD).", show_default="today")]


def day(given: str | None) -> str:
    """A date as given, or today's: the one place where the clock is read."""
    if given is not None:
        return usable_date(given) or given
    from datetime import date

    return date.today().isoformat()


def asked_passphrase() -> str:
    """Asked for without being shown."""
    return str(typer.prompt("passphrase of the key", hide_input=True, err=True))


@app.command("new")
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The private key to write; the public one is FILE.pub.")],
    passphrase: Annotated[bool, typer.Option("--passphrase", help="Ask for a passphrase to lock it with.")] = False,
) -> None:
    """Make a key. The private one stays with you and never goes into a library."""
    from alertlang.api.library import new_key
    from alertlang.cli.library import told

    secret = None
    if passphrase:
        secret = str(typer.prompt("passphrase", hide_input=True, confirmation_prompt=True, err=True))
    with told():
        keyid = new_key(file, secret)
    write([[("good", f"key {keyid[:16]}: {file} (private, keep it) and {file}.pub (give it to the library)")]])


@app.command("trust")
def trust(
    file: Annotated[Path, typer.Argument(metavar="FILE.pub", help="A public key.")],
    reviewer: Annotated[str, typer.Option("--reviewer", help="Whose it is: a name or role.")],
    another: Annotated[
        bool, typer.Option("--another", help="The reviewer has a key in use, and this one is theirs too.")
    ] = False,
    library: _Library = Path("library"),
) -> None:
    """Let a library trust a reviewer's public key. Make sure first, in person, that it is really theirs."""
    from alertlang.api.library import trust_key
    from alertlang.cli.library import told

    with told():
        one = trust_key(library, file, reviewer, another=another)
    write([[("good", f"the library trusts the key {one.short} as that of {one.name}")]])


@app.command("list")
def list_keys(library: _Library = Path("library")) -> None:
    """The keys that a library trusts, and those that are retired."""
    from alertlang.api.library import library_keys
    from alertlang.cli.library import told

    with told():
        found = library_keys(library)
    if not found:
        sys.stdout.write("no key is trusted: alertlang library key trust adds one\n")
        return
    rows = []
    for one in found:
        word = "in use"
        if one.retired is not None:
            word = f"{'compromised' if one.compromised else 'retired'} {one.retired}: {one.reason}"
        rows.append((one.short, one.name, word))
    write(columns(rows, ("key", "reviewer", "state")))


@app.command("retire")
def retire(
    which: Annotated[str, typer.Argument(metavar="KEY", help="The start of a key's id, or whose it is.")],
    why: Annotated[str, typer.Option("--reason", help="Why, in a few words.")],
    compromised: Annotated[
        bool, typer.Option("--compromised", help="Others may have it: nothing it ever signed counts from now on.")
    ] = False,
    date: _Date = None,
    library: _Library = Path("library"),
) -> None:
    """Mark a key as used no more: it signs nothing from now on. What it signed with a date until that day stays good
    unless it is --compromised. Nothing but its signer's word proves a date: if others may have the key, say so."""
    from alertlang.api.library import retire_key
    from alertlang.cli.library import told

    with told():
        one = retire_key(library, which, day(date), why, compromised=compromised, today=day(None))
    write([[("good", f"the key {one.short} of {one.name} is retired since {one.retired}")]])
