"""Keys: new ones, those that sign, and those that a library trusts.

A private key never lands in a library. A public one does, in `reviewers/`, with whose it is and, once it is no longer
used, since when:

    Reviewer: chief inspector
    Retired: 2027-03-01
    Reason: laptop lost
    -----BEGIN PUBLIC KEY-----
"""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.library.errors import LibraryError
from alertlang.library.store import (
    RESTORE,
    inside_library,
    locked,
    names_in,
    read_plain,
    reason,
    write_new,
    writing,
)
from alertlang.text.write_file import put

if TYPE_CHECKING:
    from securesystemslib.signer import CryptoSigner, SSlibKey  # type: ignore[attr-defined]

REVIEWERS = "reviewers"
_BEGIN = "-----BEGIN PUBLIC KEY-----"
_SHORT = 16


@dataclass(frozen=True, slots=True)
class Reviewer:
    """A trusted key. `retired`: an ISO date since when it signs nothing more; `compromised`: from the first day on
    nothing that it signed counts, for anybody who has the key can write any date."""

    name: str
    keyid: str
    pem: str
    retired: str | None = None
    reason: str = ""
    compromised: bool = False

    @property
    def file(self) -> str:
        return f"{self.keyid[:_SHORT]}.pub"

    @property
    def short(self) -> str:
        return self.keyid[:_SHORT]

    def written(self) -> bytes:
        lines = [f"Reviewer: {self.name}"]
        if self.retired is not None:
            lines += [f"{'Compromised' if self.compromised else 'Retired'}: {self.retired}", f"Reason: {self.reason}"]
        return ("\n".join(lines) + "\n" + self.pem).encode("utf-8")


def new_key(path: Path, passphrase: str | None = None) -> str:
    """A new Ed25519 key: the private one in `path` (PEM, PKCS 8, readable by its owner alone), the public one beside
    it as `path.pub`; its id. Nothing is overwritten."""
    from cryptography.hazmat.primitives.serialization import (
        BestAvailableEncryption,
        Encoding,
        KeySerializationEncryption,
        NoEncryption,
        PrivateFormat,
        PublicFormat,
        load_pem_private_key,
    )
    from securesystemslib.signer import CryptoSigner  # type: ignore[attr-defined]

    library = inside_library(path)
    if library is not None:
        raise LibraryError(f"{path} is inside the library {library}", "keep private keys elsewhere, out of its folder")
    public = path.with_name(f"{path.name}.pub")
    for one in (path, public):
        if os.path.lexists(one):
            raise LibraryError(f"{one} is there already", "a key is never overwritten: name another file")
    signer = CryptoSigner.generate_ed25519()
    how: KeySerializationEncryption = NoEncryption()
    if passphrase:
        how = BestAvailableEncryption(passphrase.encode("utf-8"))
    private = load_pem_private_key(signer.private_bytes, None)
    data = private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, how)
    try:
        # The public one first: a private key never stands alone, wherever this is interrupted.
        put(public, private.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo), new=True)
        try:
            put(path, data, 0o600, new=True)
        except BaseException as problem:
            if not isinstance(problem, FileExistsError):
                path.unlink(missing_ok=True)
            public.unlink(missing_ok=True)
            raise
    except OSError as problem:
        raise LibraryError(
            f"the key {path} could not be written ({reason(problem)})", "name a folder of yours"
        ) from None
    return str(signer.public_key.keyid)


def _pem(data: bytes) -> str:
    """A public key that could be read, in the one way it is written."""
    from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat, load_pem_public_key

    key = load_pem_public_key(data)
    return key.public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo).decode("ascii")


def load_key(path: Path, root: Path, ask: Callable[[], str] | None = None) -> CryptoSigner:
    """The private key in a file, for signing in a library. `ask` gives its passphrase if it has one."""
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key
    from securesystemslib.signer import CryptoSigner  # type: ignore[attr-defined]

    within = inside_library(path)
    if within is not None or Path(os.path.realpath(path)).is_relative_to(os.path.realpath(root)):
        raise LibraryError(
            f"the key {path} is inside a library",
            "move it out: a key that lies with what it signs is anybody's (if others could read it, retire it)",
        )
    try:
        data = path.read_bytes()
    except OSError as problem:
        raise LibraryError(f"the key {path} cannot be read ({reason(problem)})", "name the file of your key") from None
    new = "name the private key that alertlang library key new wrote"
    try:
        private = load_pem_private_key(data, None)
    except TypeError:
        # It has a passphrase.
        if ask is None:
            raise LibraryError(f"the key {path} has a passphrase", "give it when asked, on a terminal") from None
        try:
            private = load_pem_private_key(data, ask().encode("utf-8"))
        except (ValueError, TypeError):
            raise LibraryError(f"the passphrase does not open the key {path}", "try again") from None
    except (ValueError, UnsupportedAlgorithm):
        raise LibraryError(f"{path} holds no private key", new) from None
    if not isinstance(private, Ed25519PrivateKey):
        raise LibraryError(f"the key {path} is of another kind than Ed25519", new)
    return CryptoSigner(private)


def public_key(pem: bytes, what: str) -> SSlibKey:
    """A public key that is Ed25519; LibraryError otherwise."""
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import load_pem_public_key
    from nacl.bindings import crypto_core_ed25519_is_valid_point
    from securesystemslib.signer import SSlibKey  # type: ignore[attr-defined]

    try:
        key = load_pem_public_key(pem)
    except (ValueError, UnsupportedAlgorithm):
        raise LibraryError(f"{what} holds no public key", "name the .pub file that came with the key") from None
    if not isinstance(key, Ed25519PublicKey):
        raise LibraryError(f"{what} is a key of another kind than Ed25519", "make one with alertlang library key new")
    if not crypto_core_ed25519_is_valid_point(key.public_bytes_raw()):
        # Of low order, off the curve, or written otherwise than keys are: anybody may sign with it, or nobody can.
        raise LibraryError(f"{what} is a key that nobody can hold", "make one with alertlang library key new")
    return SSlibKey.from_crypto(key)


# ---- those that a library trusts


def reviewers(root: Path) -> dict[str, Reviewer]:
    """The trusted keys by id; LibraryError if any of their files is damaged: who may sign is not known then."""
    found, damaged = readable_reviewers(root)
    if damaged:
        raise damaged[0]
    return found


def readable_reviewers(root: Path) -> tuple[dict[str, Reviewer], tuple[LibraryError, ...]]:
    """The trusted keys by id, and what is wrong with the files that do not say whose key they hold."""
    found: dict[str, Reviewer] = {}
    damaged = []
    for file in names_in(root / REVIEWERS):
        if file.endswith(".pub"):
            try:
                reviewer = _read(root / REVIEWERS / file)
            except LibraryError as problem:
                damaged.append(problem)
                continue
            # Two files with one key: what takes it away counts.
            other = found.get(reviewer.keyid)
            if other is None or _weaker(reviewer) > _weaker(other):
                found[reviewer.keyid] = reviewer
    return found, tuple(damaged)


def _weaker(reviewer: Reviewer) -> tuple[bool, bool]:
    return reviewer.compromised, reviewer.retired is not None


def _read(path: Path) -> Reviewer:
    what = f"the reviewer's key {path.name}"
    text = read_plain(path, what).decode("utf-8", "replace")
    head, begin, rest = text.partition(_BEGIN)
    said = {}
    for line in head.splitlines():
        word, colon, value = line.partition(":")
        if not colon or word in said or word not in {"Reviewer", "Retired", "Compromised", "Reason"}:
            raise LibraryError(f"{what} is damaged at: {line}", RESTORE)
        said[word] = value.strip()
    if not said.get("Reviewer"):
        raise LibraryError(
            f"{what} does not say whose it is", "let its first line be, for example, Reviewer: inspector"
        )
    key = public_key((begin + rest).encode("utf-8"), what)
    since = said.get("Compromised", said.get("Retired"))
    if since is not None and not is_date(since):
        raise LibraryError(f"{what} is retired on {since!r}, which is no date", "write it as 2027-06-30")
    return Reviewer(
        said["Reviewer"],
        key.keyid,
        _pem((begin + rest).encode("utf-8")),
        since,
        said.get("Reason", ""),
        "Compromised" in said,
    )


def is_date(text: str) -> bool:
    from datetime import date

    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def check_reviewer_name(name: str) -> str:
    """A name or role as it can stand in a file; LibraryError for none or one of more than one line."""
    short = name.strip()
    if not short or any(not c.isprintable() for c in short):
        raise LibraryError(f"{name!r} is not a name", 'give a name or role on one line, for example "chief inspector"')
    return short


def trust(root: Path, public: Path, name: str, *, another: bool = False) -> Reviewer:
    """Takes a public key in as that of a reviewer. `another`: beside one of the same name that is in use."""
    whose = check_reviewer_name(name)
    try:
        data = public.read_bytes()
    except OSError as problem:
        raise LibraryError(f"{public} cannot be read ({reason(problem)})", "name the .pub file of the key") from None
    if b"PRIVATE KEY" in data:
        raise LibraryError(f"{public} is a private key", f"give the public one: {public}.pub")
    key = public_key(data, str(public))
    reviewer = Reviewer(whose, key.keyid, _pem(data))
    with locked(root), writing(root):
        trusted = reviewers(root)
        known = trusted.get(reviewer.keyid)
        if known is not None:
            raise LibraryError(
                f"the key {reviewer.short} is there already, as that of {known.name}", "nothing is to be done"
            )
        _no_second(trusted.values(), whose, another)
        (root / REVIEWERS).mkdir(exist_ok=True)
        write_new(root / REVIEWERS / reviewer.file, reviewer.written())
    return reviewer


def _no_second(trusted: Iterable[Reviewer], whose: str, another: bool) -> None:
    """LibraryError for a key under the name of a reviewer who has one in use: it could be anybody's."""
    for other in trusted:
        if other.retired is not None or _alike(other.name) != _alike(whose):
            continue
        if other.name != whose:
            raise LibraryError(
                f'the key {other.short} is in use as that of "{other.name}", which is nearly the same name',
                f'for the same person write "{other.name}"; for somebody else give a name that nobody mixes up',
            )
        if not another:
            raise LibraryError(
                f"{whose} has a key in use already ({other.short})",
                f"ask {whose} in person whether this one is theirs too: then give --another, or retire the old one "
                "first (alertlang library key retire)",
            )


def _alike(name: str) -> str:
    """A name without what is easily overlooked: case, spaces, and characters that look the same."""
    return "".join(unicodedata.normalize("NFKC", name).casefold().split())


def retire(
    root: Path, which: str, date: str, why: str, *, compromised: bool = False, today: str | None = None
) -> Reviewer:
    """Marks a trusted key as used no more; it stays, so that what it signed can still be told. The day is not after
    `today` if that is given: what is dated until then would still hold."""
    said = check_reviewer_name(why)
    if today is not None and date > today:
        raise LibraryError(f"{date} is still to come: today is {today}", "a key is retired on the day it is given up")
    with locked(root), writing(root):
        fitting = [
            one
            for one in reviewers(root).values()
            if which == one.name or (len(which) >= 6 and one.keyid.startswith(which))
        ]
        open_ones = [one for one in fitting if one.retired is None or (compromised and not one.compromised)]
        if not fitting:
            raise LibraryError(f"no trusted key is or belongs to {which}", "alertlang library key list shows them")
        if not open_ones:
            raise LibraryError(
                f"the key of {which} is retired already, since {fitting[0].retired}", "nothing is to be done"
            )
        if len(open_ones) > 1:
            ids = ", ".join(open_one.short for open_one in open_ones)
            raise LibraryError(f"{which} has more than one key", f"name one of {ids}")
        old = open_ones[0]
        reviewer = Reviewer(old.name, old.keyid, old.pem, date, said, compromised)
        # The file may have been renamed by hand.
        path = next(p for p in sorted((root / REVIEWERS).glob("*.pub")) if _read(p).keyid == old.keyid)
        put(path, reviewer.written())
    return reviewer
