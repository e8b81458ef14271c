"""The frame of every PDF: set by typst, which is told all text as data, so that nothing in it is ever markup."""

from __future__ import annotations

import json

from alertlang.documents.page import About
from alertlang.output.text import CAUTION
from alertlang.text.resources import tool_version

_FRAME = """
#let doc = json(bytes(sys.inputs.at("document")))
#let data = doc.data
#set document(title: doc.title + ": " + doc.name, date: none)
#set page(paper: doc.paper, margin: (x: 14mm, top: 15mm, bottom: 17mm), footer: context [
  #set text(size: 7pt)
  #grid(columns: (1fr, auto),
    [#doc.name version #str(doc.version), digest #doc.digest.slice(0, 16)],
    [page #counter(page).display() of #counter(page).final().first()])
])
#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"), size: 10pt, lang: "en", hyphenate: true)
#set par(leading: 0.5em)
#text(size: 17pt, weight: "bold", doc.title)
#v(-2mm)
#strong(doc.name), version #str(doc.version)
#for line in doc.lines { par(text(size: 9pt, line)) }
#text(size: 8pt)[alertlang #doc.tool; digest of the rules: #raw(doc.digest)]
#block(stroke: 0.6mm, inset: 2mm, width: 100%, doc.caution)
"""


def paper(about: About, body: str, data: object, *, size: str = "a4") -> bytes:
    """A PDF. `body` is typst that reads `data` (what JSON can hold) and has no text of a user in it; `size`: a4 or
    us-letter."""
    import typst

    document = {
        "title": about.title,
        "name": about.name,
        "version": about.version,
        "digest": about.digest,
        "lines": list(about.lines),
        "tool": tool_version(),
        "caution": CAUTION,
        "paper": size,
        "data": data,
    }
    source = (_FRAME + body).encode("utf-8")
    told = {"document": json.dumps(document, ensure_ascii=False)}
    made = typst.compile(source, format="pdf", sys_inputs=told, ignore_system_fonts=True)
    assert isinstance(made, bytes)
    return made
