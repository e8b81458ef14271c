"""Results as text and for JSON: one file per result, and one per other format of a report.

Decisions:

- A baseline matches by fingerprint and by extent: a known finding that grows is a new one. Claims and undecided
  findings are never in it.
- Undecided is level `error` in SARIF, not kind "open", whose level must be "none" and would pass for nothing found.
- In JSON `version` of a file is a whole number (an identifier); values of quantities are strings. A switch in
  `region` is `{"positions": [...]}`. A finding on a file as a whole stands at line 1.
"""
