"""Two rule sets by what they do: where colours, alerts, times and limits differ, each difference with a witness."""

from alertlang.comparison.compare import compare as compare
from alertlang.results.comparison import Change as Change
from alertlang.results.comparison import Comparison as Comparison
from alertlang.results.comparison import Direction as Direction
