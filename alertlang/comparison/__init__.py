"""Two rule sets by what they do: where colours, alerts, times and limits differ, each difference with a witness.

Decisions:

- What means the same on both sides has one name, so its clock and memory are shared; what differs is there twice.
  Clocks are tied where one is proved, over every recording, to hold only with another. What is left open then is
  searched for a recording of a few samples (`logic.history`, confirmed by the stepper); neither proof nor recording
  is *undecided*, never *stricter*.
- What one sensor's failure does is asked with that sensor alone failed, told values worked out; the change names it.
- The net (`written`): canonical statements that differ in a part no told change covers are told as "other". Parts are
  fields of the tree, so a new word cannot be forgotten. Files count by what they say: `use` and headers of used files
  only by name and version.
- States that either side allows are compared; a new assumption is less strict.
- Gauges and alerts whose statements are the same formulas are asked nothing, and the result says so.
- An alert that is down sooner because it was acknowledged sooner was seen: "other", and it says so.
- A statement keeps its identity by its rest, then by its label: another text of it is a change of text, no loss and
  gain.
- A claim (limit, assumption) that another one implies is no gain or loss; `within` less is stricter.
"""

from alertlang.comparison.compare import compare as compare
from alertlang.results.comparison import Change as Change
from alertlang.results.comparison import Comparison as Comparison
from alertlang.results.comparison import Direction as Direction
