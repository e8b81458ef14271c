"""What is proposed against findings: tried in the whole rule set, told so, and written into files.

A proposal is good only if it mends and takes nothing away. That is decided in one place (`trial`), for what `check`
shows (`judged`) as for what `--fix` writes (`fix`): the whole is checked again, and compared with what it was.

Decisions:

- A proposal is good if by a new check its finding is gone and none of any severity is new, by comparison nothing is
  less strict (but where a nuisance or normal-not-green is, or between the numbers of a slip, which is told), and no
  band is red inside a time that a limit allows. One place decides (`fixing.trial`). Checks propose; whether it is
  enough they do not say. `check` tries ten, fewer where the rule set is large; an API caller gets proposals that were
  not tried, and they say so.
- The red for a limit with `except for` counts the limit's own context, region and time: a part of it would be a clock
  of its own.
- A proposal that asks for another reading also holds while that reading has failed: else it would be lost with it.
- A number is a slip only for bands in the limit's own context, on the side on which the limit is broken, and if no
  limit or range has it: such a number is there on purpose.
- Of two good proposals the one that mends all the other does, and more, stands for both, at the first finding.
- An alert that shares a band's end is kept where it was as a statement of its own when the band is ended earlier.
- Advice of the standards pack on the rule set as a whole may name other statements after a proposal, not more of
  them.
- `--fix` brings nothing back that a `drop` took away (same colour on regions that meet, or same level on a shared
  quantity). What a base says is changed by a `replace` in one's own file.
- `--fix` changes only the named file, never a shipped one, and leaves a statement with a comment inside alone.
"""

from alertlang.fixing.fix import MOST_TRIES, Fixed, Setting, Tried, fix
from alertlang.fixing.judged import judged

__all__ = ["MOST_TRIES", "Fixed", "Setting", "Tried", "fix", "judged"]
