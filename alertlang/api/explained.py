"""For everybody who meets a word or a code: what LANGUAGE.md says of it, and the families that codes belong to."""

from __future__ import annotations

from alertlang.findings.codes import BY_NAME, CODES, FAMILIES, RETIRED
from alertlang.syntax.language import Word, find_word, page_of, words

__all__ = ["BY_NAME", "CODES", "FAMILIES", "RETIRED", "Word", "find_word", "page_of", "words"]
