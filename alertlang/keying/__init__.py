"""The lines that an installer keys in, the record that is read back, and what the box then holds.

Decisions:

- The cards and the pilot's card have the edges of the sheet (`keying.as_keyed`), rounded where the display cannot
  hold an exact number, and the unit of the gauge: else a box that is keyed in as the sheet says would fail its test.
  A condition whose number the display cannot hold has no safe side to be rounded to, so such a line of the sheet
  cannot be confirmed.
- A line of a sheet is confirmed by a few words and ticks alone; any other text there confirms nothing.
- In a filled sheet a decimal comma is read only where semicolons part the cells: elsewhere it may mean thousands and
  is refused. A text that a spreadsheet would write in its own way has an apostrophe, which is taken off again. A cell
  that says no, asks, or is a zero confirms nothing.
"""
