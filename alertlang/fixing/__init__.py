"""What is proposed against findings: tried in the whole rule set, told so, and written into files.

A proposal is good only if it mends and takes nothing away. That is decided in one place (`trial`), for what `check`
shows (`judged`) as for what `--fix` writes (`fix`): the whole is checked again, and compared with what it was.
"""

from alertlang.fixing.fix import MOST_TRIES, Fixed, Setting, Tried, fix
from alertlang.fixing.judged import judged

__all__ = ["MOST_TRIES", "Fixed", "Setting", "Tried", "fix", "judged"]
