"""An approval against the published formats and an independent implementation.

DSSE: https://github.com/secure-systems-lab/dsse, protocol.md (v1): SIGNATURE = Sign(PAE(UTF8(PAYLOAD_TYPE), BODY)),
with PAE(type, body) = "DSSEv1" + SP + LEN(type) + SP + type + SP + LEN(body) + SP + body, LEN in decimal ASCII.
in-toto: https://github.com/in-toto/attestation, spec/v1/statement.md (fields `_type`, `subject`, `predicateType`,
`predicate`), and spec/v1/envelope.md (payload type application/vnd.in-toto+json). Ed25519 by PyNaCl.
"""

from __future__ import annotations

import base64
import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat, load_pem_public_key
from nacl.exceptions import BadSignatureError
from nacl.signing import VerifyKey

from alertlang import __version__
from alertlang.library.adding import add
from alertlang.library.approval import Believed, check_envelope
from alertlang.library.approving import approve
from alertlang.library.keys import new_key, reviewers, trust

RULES = """rules "x" version 1
quantity rpm from 0 to 3000 rpm, step 10 rpm
rpm at most 2000 rpm is green
rpm above 2000 rpm is red with warning "OVERSPEED"
"""


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("dsse")
    (folder / "x.alert").write_text(RULES, encoding="utf-8")
    root = folder / "library"
    add(folder / "x.alert", root, tool=__version__)
    new_key(folder / "key")
    trust(root, folder / "key.pub", "reviewer")
    approve(root, "x", folder / "key", "reviewer", "2027-01-02", tool=__version__, version=1)
    return root


@pytest.fixture(scope="module")
def envelope(library: Path) -> dict[str, Any]:
    (path,) = (library / "entries/x/approvals").iterdir()
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found


@pytest.fixture(scope="module")
def key(library: Path) -> VerifyKey:
    (path,) = (library / "reviewers").iterdir()
    text = path.read_text(encoding="ascii")
    public = load_pem_public_key(text[text.index("-----BEGIN") :].encode())
    return VerifyKey(public.public_bytes(Encoding.Raw, PublicFormat.Raw))


def _pae(payload_type: bytes, body: bytes) -> bytes:
    return b" ".join([b"DSSEv1", str(len(payload_type)).encode(), payload_type, str(len(body)).encode(), body])


def _parts(envelope: dict[str, Any]) -> tuple[bytes, bytes, bytes]:
    (signature,) = envelope["signatures"]
    body, sig = base64.b64decode(envelope["payload"]), base64.b64decode(signature["sig"])
    return envelope["payloadType"].encode(), body, sig


def test_an_independent_implementation_verifies_it(envelope: dict[str, Any], key: VerifyKey) -> None:
    payload_type, body, sig = _parts(envelope)
    key.verify(_pae(payload_type, body), sig)


def test_the_pae_of_the_specification() -> None:
    """The example of protocol.md."""
    expected = b"DSSEv1 29 http://example.com/HelloWorld 11 hello world"
    assert _pae(b"http://example.com/HelloWorld", b"hello world") == expected


def _flipped(data: bytes) -> list[bytes]:
    return [
        data[:place] + bytes([data[place] ^ (1 << bit)]) + data[place + 1 :]
        for place in range(len(data))
        for bit in range(8)
    ]


def test_no_flipped_bit_verifies_independently(envelope: dict[str, Any], key: VerifyKey) -> None:
    parts = _parts(envelope)
    tried = 0
    for which in range(3):
        for flipped in _flipped(parts[which]):
            payload_type, body, sig = [flipped if n == which else part for n, part in enumerate(parts)]
            with pytest.raises(BadSignatureError):
                key.verify(_pae(payload_type, body), sig)
            tried += 1
    assert tried == 8 * sum(map(len, parts))


def test_no_flipped_bit_is_believed_by_us(library: Path, envelope: dict[str, Any]) -> None:
    keys = reviewers(library)

    def written(payload_type: str, body: bytes, sig: bytes) -> bytes:
        one = {"keyid": envelope["signatures"][0]["keyid"], "sig": base64.b64encode(sig).decode()}
        found = {"payload": base64.b64encode(body).decode(), "payloadType": payload_type, "signatures": [one]}
        return (json.dumps(found, indent=2, sort_keys=True, ensure_ascii=False) + "\n").encode("utf-8")

    payload_type, body, sig = _parts(envelope)
    assert isinstance(check_envelope(written(payload_type.decode(), body, sig), keys), Believed)
    changed = [written(payload_type.decode(), one, sig) for one in _flipped(body)]
    changed += [written(payload_type.decode(), body, one) for one in _flipped(sig)]
    changed += [written(one.decode("latin-1"), body, sig) for one in _flipped(payload_type)]
    believed = [one for one in changed if isinstance(check_envelope(one, keys), Believed)]
    assert believed == []
    assert len(changed) == 8 * (len(body) + len(sig) + len(payload_type))


def test_no_flipped_bit_of_the_file_is_taken(library: Path) -> None:
    """Also where the text of an envelope can be written in more than one way: base64, spaces, the id of the key."""
    keys = reviewers(library)
    (path,) = (library / "entries/x/approvals").iterdir()
    data = path.read_bytes()
    believed = [one for one in _flipped(data) if isinstance(check_envelope(one, keys), Believed)]
    assert believed == []


def test_the_statement_has_the_published_fields(library: Path, envelope: dict[str, Any]) -> None:
    payload_type, body, _ = _parts(envelope)
    said = json.loads(body)
    assert payload_type == b"application/vnd.in-toto+json"
    assert set(said) == {"_type", "subject", "predicateType", "predicate"}
    assert said["_type"] == "https://in-toto.io/Statement/v1"
    assert said["predicateType"].startswith("urn:")
    folder = library / "entries/x"
    assert [one["name"] for one in said["subject"]] == ["entry.json", "files/x.alert"]
    for one in said["subject"]:
        assert one["digest"] == {"sha256": hashlib.sha256((folder / one["name"]).read_bytes()).hexdigest()}
    assert (said["predicate"]["reviewer"], said["predicate"]["date"]) == ("reviewer", "2027-01-02")
