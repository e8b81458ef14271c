"""A second solver that answers recorded questions again: cvc5, from the SMT-LIB 2 scripts.

Neither the solver nor the translation for it is shared with the first one. It is an optional extra and imported only
where it is asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from alertlang.findings.errors import AlertlangError

# cvc5's own measure of work; questions of rule sets take some hundreds of it. A clock would make the answer depend on
# the machine.
SECOND_WORK_LIMIT = 200_000
EXTRA = "second-solver"


class NoSecondSolverError(AlertlangError):
    """cvc5 is not installed. Says how to get it."""

    def __init__(self) -> None:
        super().__init__(f'the second solver, cvc5, is not installed: pip install "alertlang[{EXTRA}]"')


class SecondSolver:
    """cvc5 under a limit of work for each question. NoSecondSolverError if it is not installed."""

    def __init__(self, work_limit: int = SECOND_WORK_LIMIT) -> None:
        try:
            self._cvc5: Any = import_module("cvc5")
        except ImportError as problem:
            raise NoSecondSolverError from problem
        self._work_limit = work_limit

    @property
    def version(self) -> str:
        """For example `cvc5 1.2.0`."""
        return f"cvc5 {self._cvc5.__version__}"

    def answer(self, script: str) -> str:
        """What it says to the one `check-sat` of a script that states no status: `sat`, `unsat` or something else,
        which is no answer (`unknown` with the reason, or an error)."""
        solver = self._cvc5.Solver()
        solver.setOption("rlimit", str(self._work_limit))
        parser = self._cvc5.InputParser(solver)
        parser.setStringInput(self._cvc5.InputLanguage.SMT_LIB_2_6, script, "question")
        symbols = parser.getSymbolManager()
        said = ""
        try:
            while not (command := parser.nextCommand()).isNull():
                said += command.invoke(solver, symbols)
        except RuntimeError as problem:
            # Its parser raises what is no answer either.
            return f"error: {problem}"
        return " ".join(said.split())
