"""Vetted rule sets in a directory of plain files: pinned by digest, approved by signature, verified.

Decisions:

- Approvals are those of the shop's reviewers, and every text says so: "approved" alone could be taken for an
  authority's word. Rules that nobody is known to have signed are called the rules (`readback`).
- Subjects of an approval are the entry and its files by the sha256 of their bytes; it holds by the digest of the
  content, which leaves out raw digests, so that it survives comments. Raw digests are a short cut only where these
  very bytes are signed: otherwise a file and its digest could be edited together. Where no approval holds, everything
  else that the entry's file says of its rules is worked out from them again too.
- `approve` runs all checks again: nothing is signed on the word of a file. It names the rules by digest or version, so
  that nothing is signed unseen, and shows what changed since the last approval, of which `approved/` keeps the rules.
- The reviewer's name must be the one that the library has for the key. A retired key's approvals hold up to that day;
  `--compromised` takes them all away, since whoever has the key can write any date.
- An outdated approval is a fault only if no other holds; a bad signature, an unknown key or a damaged envelope always
  is.
- A lock is waited for; the system frees it when its process dies.
- Nothing in an approval proves its date. So a retired key signs nothing more whatever the date, no approval or
  retirement is dated in the future, and what a retired key signed before holds with a remark.
- Nothing is built on an entry that is not as pinned: `derive`, `add` and `approve` hold every base against its
  digests.
- An entry that cannot be read is one result among the others, never the end of a run and never good. One that a
  killed run had set aside counts as such, and the next that writes puts it back. A damaged file among the reviewers
  ends whatever signs or changes keys: who may sign is not known then. `verify` takes its approvals as those of an
  unknown key, and judges the others.
- A second key in use for a name needs `--another`; a nearly equal name is refused.
- There is one digest of the rules (kind, name and canonical digest of each file) in library and papers; an approval
  is over more: findings, claims, exceptions, versions.

Who can do what, and what is noticed (`tests/library/test_tampering.py` tries it):

- *Who can read the library* learns its rules. A private key that lies in it is theirs too: `verify` looks for one in
  every file that is not the library's own.
- *Who can write to it* can change, add and take out any file; nothing prevents that, version control undoes it.
  Noticed by `verify`: rules, digests, findings, exceptions, versions or bases edited in an entry, alone or together, if
  an approval was about it; edited all alike and unsigned, it is a new entry, which `approve` checks and shows like any
  other. Files that do not belong there, links, damaged or degenerate keys, envelopes that are not as they were written.
  Noticed only with `--expect` and a list that was kept elsewhere: an entry, an approval or a key that was taken out
  whole, a version put back with its old approvals, a key that is no longer called compromised. Not noticed without it.
- *Who can write to `reviewers/`* can trust a key of their own under any name, and sign with it. Noticed only by whoever
  reviews changes of that folder (`key list`), or asks for a second reviewer (`--require-approval 2`, or "approvals" in
  `library.json`, which is written there too: give the number where the library cannot reach, as in CI).
- *Who has a reviewer's private key* is that reviewer, on any date, until it is retired with `--compromised`; then
  nothing that it ever signed counts. A passphrase is what stands between a stolen file and that.
- *A colleague in a hurry* is asked for the digest or version of what is signed and shown all of it; that it is read,
  the tool cannot know.
- *A full disk, a kill, two writers*: a file is whole or not there, an entry old or new; one writer at once.
- *A file made to harm* (rules, profiles, approvals, keys, expectations) is read as data, within a size; it ends in a
  message, and nothing in it is run or reaches a terminal, a page or a spreadsheet as a command.
- *Who can change this program*, its interpreter or the solver, decides what `verify` says. An approval can be checked
  by any DSSE implementation (`tests/outside/test_dsse.py`), what it means cannot.
"""
