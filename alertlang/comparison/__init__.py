"""Two rule sets by what they do: where colours, alerts, times and limits differ, each difference with a witness."""

from alertlang.comparison.compare import compare as compare
from alertlang.diagnostics.comparison import Change as Change
from alertlang.diagnostics.comparison import Comparison as Comparison
from alertlang.diagnostics.comparison import Direction as Direction
