"""Vetted rule sets in a directory of plain files: pinned by digest, approved by signature, verified.

Decisions:

- Approvals are those of the shop's reviewers, and every text says so: "approved" alone could be taken for an
  authority's word. Rules that nobody is known to have signed are called the rules (`readback`).
- Subjects of an approval are the entry and its files by the sha256 of their bytes; it holds by the digest of the
  content, which leaves out raw digests, so that it survives comments. Raw digests are a short cut only where these
  very bytes are signed: otherwise a file and its digest could be edited together.
- `approve` runs all checks again: nothing is signed on the word of a file.
- The reviewer's name must be the one that the library has for the key. A retired key's approvals hold up to that day;
  `--compromised` takes them all away, since whoever has the key can write any date.
- An outdated approval is a fault only if no other holds; a bad signature, an unknown key or a damaged envelope always
  is.
- A lock is waited for and never broken: the message names the process and the file to remove.
- Nothing in an approval proves its date. So a retired key signs nothing more whatever the date, no approval or
  retirement is dated in the future, and what a retired key signed before holds with a remark.
- Nothing is built on an entry that is not as pinned: `derive`, `add` and `approve` hold every base against its
  digests.
- An entry that cannot be read is one result among the others, never the end of a run and never good. One that a
  killed run had set aside counts as such, and the next that writes puts it back. A damaged file among the reviewers
  ends everything: who may sign is not known then.
- A second key in use for a name needs `--another`; a nearly equal name is refused.
- There is one digest of the rules (kind, name and canonical digest of each file) in library and papers; an approval
  is over more: findings, claims, exceptions, versions.
"""
