"""From profiles to a complete first rule set.

Decisions:

- A draft's choice on an unsaid stretch between normal and a limit is a precaution of its own with source DRAFT: it
  can be found, checked and taken out. Elsewhere an unsaid stretch is unmarked, with a question.
- A draft accepts only nuisance, thin-band and silent-danger, each with a reason and a question; never an error. An
  advisory that a limit needs is drafted as a caution: it stands on red.
- A draft does not yet fill what a calm band leaves blank where its moving end is elsewhere while a sensor has failed:
  blank-on-failure says so of it.
- An unmarked band in a draft lies under the narrower bands of its gauge instead of excluding each. An array with a
  moving end is drafted element by element, since a context can only ask an element whether it is past it. A failed
  end is red as far as it can reach.
- A draft's claims with a sensor failed leave out the parts of the context that cannot be told then (they would be
  vacuous), and an end that cannot be told counts as far as it can reach.
- A draft leaves half a second of what a limit allows (at most half of it) for the display's scan: else no draft would
  fit any display.
"""
