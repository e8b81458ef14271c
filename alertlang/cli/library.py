"""`alertlang library`: vetted rule sets, pinned, approved and verified."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from alertlang.cli import common
from alertlang.cli.library_text import affected_lines, entry_lines, list_lines, signing_lines, state_lines
from alertlang.output.library import columns, points
from alertlang.output.style import write
from alertlang.output.text import caution_lines

app = typer.Typer(
    help="Vetted rule sets in a folder of plain files: pinned by digest, signed by the shop's reviewers, verified.",
    no_args_is_help=True,
)
key_app = typer.Typer(help="Keys of reviewers: make one, trust one, list them, retire one.", no_args_is_help=True)
app.add_typer(key_app, name="key")

Library = Annotated[
    Path, typer.Option("--library", metavar="DIR", help="The folder of the library.", show_default="library")
]
Names = Annotated[
    list[str] | None, typer.Argument(metavar="[NAME]...", help="Entries; none: all of them.", show_default=False)
]


def day(given: str | None) -> str:
    """A date as given, or today's: the one place where the clock is read."""
    if given is not None:
        return common.usable_date(given) or given
    from datetime import date

    return date.today().isoformat()


def at_a_terminal() -> bool:
    """Whether somebody can be asked."""
    return sys.stdin.isatty()


def asked_passphrase() -> str:
    """Asked for without being shown."""
    return str(typer.prompt("passphrase of the key", hide_input=True, err=True))


@contextmanager
def told() -> Iterator[None]:
    """Errors of a library as messages: 1 for an approval that is refused, 2 for what cannot be done."""
    from alertlang.api.library import LibraryError, RefusedError

    try:
        yield
    except LibraryError as problem:
        common.unreadable(problem.findings)
        common.complain(f"{problem.message}: {problem.way_out}")
        raise typer.Exit(1 if isinstance(problem, RefusedError) else 2) from None


@app.command("add")
def add(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A rule file.")],
    library: Library = Path("library"),
    replace: Annotated[bool, typer.Option("--replace", help="Put it in the place of the entry of that name.")] = False,
    path: common.SearchPath = None,
    today: common.Today = None,
    work_limit: common.WorkLimit = None,
) -> None:
    """Take a rule set in: it and all it uses are copied and pinned by digest, with what the checks find. Starts the
    library in a new or empty folder."""
    from alertlang.api.library import SHORT, add_to_library, open_points, say_finding

    date = common.usable_date(today)
    with told():
        entry = add_to_library(file, library, search=path or (), replace=replace, today=date, work_limit=work_limit)
    count = len(entry.files)
    size = f"{count} file{'' if count == 1 else 's'}"
    lines = [[("good", f"added {entry.name} version {entry.version} ({size}): {entry.rules_digest[:SHORT]}")]]
    lines += points(
        (say_finding(finding) for finding in entry.findings if finding["name"] == "altered-copy"), common.width()
    )
    in_the_way = open_points(entry)
    lines += points(
        (f"stands in the way of a reviewer's approval: {text}" for text in in_the_way), common.width(), style="warning"
    )
    write([*lines, *caution_lines(common.width())])


@app.command("list")
def list_entries(library: Library = Path("library"), output: common.Output = common.OutputFormat.TEXT) -> None:
    """The entries: version, digest, findings, and which reviewer of the shop approves them."""
    from alertlang.api.library import list_library

    with told():
        found = list_library(library)
    common.say(found, output, lambda: list_lines(found.states, found.leftovers, found.problems, common.width()))


@app.command("show")
def show(
    name: Annotated[str, typer.Argument(help="An entry.")],
    library: Library = Path("library"),
    output: common.Output = common.OutputFormat.TEXT,
    work_limit: common.WorkLimit = None,
) -> None:
    """All that is pinned of an entry, its reviewers' approvals, and where it departs from the rules it builds on."""
    from alertlang.api.library import library_entry

    with told():
        found = library_entry(library, name, work_limit=work_limit)
    common.say(
        found,
        output,
        lambda: [
            *entry_lines(found.state, found.bases, found.numbers, common.width()),
            *caution_lines(common.width()),
        ],
    )


@app.command("approve")
def approve(
    name: Annotated[str, typer.Argument(help="An entry.")],
    key: Annotated[Path, typer.Option("--key", metavar="FILE", help="Your private key.")],
    reviewer: Annotated[str, typer.Option("--reviewer", help="Your name or role, as the library knows your key.")],
    library: Library = Path("library"),
    date: Annotated[
        str | None, typer.Option("--date", help="The day of your approval (YYYY-MM-DD).", show_default="today")
    ] = None,
    digest: Annotated[
        str | None,
        typer.Option("--digest", metavar="PREFIX", help="The digest of the rules you looked at: 8 digits or more."),
    ] = None,
    version: Annotated[int | None, typer.Option("--version", metavar="N", help="The version you looked at.")] = None,
    work_limit: common.WorkLimit = None,
) -> None:
    """Sign, as a reviewer of the shop, that you approve an entry as it is. It is shown first, with what changed since
    the last approval; on a terminal you are asked, elsewhere --digest or --version says what you have looked at.
    Refused while an error is open, a claim is not proved, or an exception has no reason. The date is what you write:
    nothing in what you sign proves it."""
    from alertlang.api.library import approve_entry, to_be_signed

    when = day(date)
    with told():
        signing = to_be_signed(library, name, work_limit=work_limit).signing
        write(signing_lines(signing, common.width()))
        if digest is None and (version is not None or at_a_terminal()):
            if version is None and not typer.confirm("sign this?", err=True):
                raise typer.Exit(1)
            # What was shown, and nothing that took its place since.
            digest = signing.entry.rules_digest
        file, new = approve_entry(
            library,
            name,
            key,
            reviewer,
            when,
            digest=digest,
            version=version,
            today=day(None),
            passphrase=asked_passphrase,
            work_limit=work_limit,
        )
    word = "approved" if new else "was approved already"
    write(
        [
            [("good", f"{name} {word} by {reviewer.strip()}, reviewer of the shop, on {when} ({file[:16]})")],
            *caution_lines(common.width()),
        ]
    )


@app.command("verify")
def verify(
    names: Names = None,
    library: Library = Path("library"),
    recheck: Annotated[
        bool, typer.Option("--recheck", help="Run the checks again, on all cores, and compare what they find.")
    ] = False,
    require_approval: Annotated[
        int,
        typer.Option(
            "--require-approval",
            metavar="N",
            min=0,
            help='An entry that fewer reviewers approve counts as a finding. The library may ask for more: "approvals" '
            "in its library.json.",
            show_default=False,
        ),
    ] = 0,
    expect: Annotated[
        Path | None,
        typer.Option(
            "--expect",
            metavar="FILE",
            help="What `library list --output json` printed some time ago, kept elsewhere: what is gone since (an "
            "entry, an approval, a version, the word that a key is compromised) counts as a finding.",
        ),
    ] = None,
    output: common.Output = common.OutputFormat.TEXT,
    today: common.Today = None,
    work_limit: common.WorkLimit = None,
) -> None:
    """Whether entries are what they were: what changed since, and what that means; reviewers' approvals that no longer
    cover it; signatures that are bad and keys that are not known. Ends with code 1 if anything is not as it should
    be."""
    from alertlang.api.library import verify_library

    date = common.usable_date(today)
    with told():
        found = verify_library(
            library,
            names or (),
            recheck=recheck,
            require_approval=require_approval,
            expect=expect,
            today=date,
            work_limit=work_limit,
            jobs=common.cores(),
        )
    problems = (*found.problems, *found.private_keys)
    lines = partial(state_lines, found.states, found.wrong, found.leftovers, problems, common.width())
    common.say(found, output, lambda: [*lines(), *caution_lines(common.width())])
    raise typer.Exit(0 if found.good else 1)


@app.command("derive")
def derive(
    name: Annotated[str, typer.Argument(help="The entry to start from.")],
    new_file: Annotated[Path, typer.Argument(metavar="NEWFILE", help="The rule file to write.")],
    aircraft: Annotated[
        str | None, typer.Option("--name", help="What the new rules are called.", show_default="as the file")
    ] = None,
    library: Library = Path("library"),
) -> None:
    """Start the rules of a new aircraft from an entry. Nothing is copied: the new file uses the entry where it is."""
    from alertlang.api.library import derive_entry

    with told():
        folder = derive_entry(library, name, new_file, aircraft or new_file.stem)
    write([[("good", f"written: {new_file}")], [("", f"check it:  alertlang check {new_file} --path {folder}")]])


@app.command("affected")
def affected(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="The new profile or rules; or a shipped profile by name.")
    ],
    names: Names = None,
    library: Library = Path("library"),
    output: common.Output = common.OutputFormat.TEXT,
    work_limit: common.WorkLimit = None,
) -> None:
    """What a new version of a profile does: the entries it touches, what changes by meaning, and what their findings
    become. Nothing is written. Ends with code 1 if it touches any, or if one cannot be read."""
    from alertlang.api.library import affected_entries

    with told():
        found = affected_entries(library, file, names or (), work_limit=work_limit, jobs=common.cores())
    lines = partial(affected_lines, file, found.affected, found.unchanged, found.broken, common.width())
    common.say(found, output, lambda: [*lines(), *caution_lines(common.width())])
    raise typer.Exit(1 if found.affected or found.broken else 0)


# ---- keys


@key_app.command("new")
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The private key to write; the public one is FILE.pub.")],
    passphrase: Annotated[bool, typer.Option("--passphrase", help="Ask for a passphrase to lock it with.")] = False,
) -> None:
    """Make a key. The private one stays with you and never goes into a library."""
    from alertlang.api.library import new_key

    secret = None
    if passphrase:
        secret = str(typer.prompt("passphrase", hide_input=True, confirmation_prompt=True, err=True))
    with told():
        keyid = new_key(file, secret)
    write([[("good", f"key {keyid[:16]}: {file} (private, keep it) and {file}.pub (give it to the library)")]])


@key_app.command("trust")
def trust(
    file: Annotated[Path, typer.Argument(metavar="FILE.pub", help="A public key.")],
    reviewer: Annotated[str, typer.Option("--reviewer", help="Whose it is: a name or role.")],
    another: Annotated[
        bool, typer.Option("--another", help="The reviewer has a key in use, and this one is theirs too.")
    ] = False,
    library: Library = Path("library"),
) -> None:
    """Let a library trust a reviewer's public key. Make sure first, in person, that it is really theirs."""
    from alertlang.api.library import trust_key

    with told():
        one = trust_key(library, file, reviewer, another=another)
    write([[("good", f"the library trusts the key {one.short} as that of {one.name}")]])


@key_app.command("list")
def list_keys(library: Library = Path("library")) -> None:
    """The keys that a library trusts, and those that are retired."""
    from alertlang.api.library import library_keys

    with told():
        found = library_keys(library)
    if not found:
        sys.stdout.write("no key is trusted: alertlang library key trust adds one\n")
        return
    rows = []
    for reviewer in found:
        word = "in use"
        if reviewer.retired is not None:
            word = f"{'compromised' if reviewer.compromised else 'retired'} {reviewer.retired}: {reviewer.reason}"
        rows.append((reviewer.short, reviewer.name, word))
    write(columns(rows, ("key", "reviewer", "state")))


@key_app.command("retire")
def retire(
    which: Annotated[str, typer.Argument(metavar="KEY", help="The start of a key's id, or whose it is.")],
    why: Annotated[str, typer.Option("--reason", help="Why, in a few words.")],
    compromised: Annotated[
        bool, typer.Option("--compromised", help="Others may have it: nothing it ever signed counts from now on.")
    ] = False,
    date: Annotated[str | None, typer.Option("--date", help="The day (YYYY-MM-DD).", show_default="today")] = None,
    library: Library = Path("library"),
) -> None:
    """Mark a key as used no more: it signs nothing from now on. What it signed with a date until that day stays good
    unless it is --compromised. Nothing but its signer's word proves a date: if others may have the key, say so."""
    from alertlang.api.library import retire_key

    with told():
        reviewer = retire_key(library, which, day(date), why, compromised=compromised, today=day(None))
    write([[("good", f"the key {reviewer.short} of {reviewer.name} is retired since {reviewer.retired}")]])
