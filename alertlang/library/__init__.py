"""Vetted rule sets in a directory of plain files: pinned by digest, approved by signature, verified."""
