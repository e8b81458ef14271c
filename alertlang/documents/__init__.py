"""Rendering: pictures, pages, paper.

Decisions:

- "Red without an alert" on the pilot's card is red in which no alert of its quantity comes, however late; where one
  comes in some of its states only, it says which. What was not decided is listed.
- On the timeline levels and lamps differ in height first, for a hatch needs room that a short bar has not.
- Every colour but unmarked has a hatch of its own. Text in an SVG stays text; for paper its letters are drawn.
- A template gets its data as JSON and never as markup. No clock and no font of the machine is used: same rules, same
  bytes.
- The pilot's card takes the largest type with which it is one page (pages are counted, not estimated), never under 8
  point; what does not fit then goes over pages, and card and command say so. An end that moves always has numbers.
- No sheet, ground-test card or pilot card is made of rules with open errors or claims that are not proved: a paper is
  taken for good. The review record still is, says so at its top, and ends with 1.
- A picture of many strips is drawn in parts, for what is higher than a page is cut off. Numbers at the sides of a map
  are the corners of its regions and limits. A map holds still what is inside normal ranges rather than at their ends,
  where something else may show.
"""
