"""What a card has to show of contexts: every condition deciding by itself, and every number in it from both sides."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

from alertlang.groundtest.decisions import Decision, as_term, decides, outcome
from alertlang.groundtest.mcdc import Row, masking, rows, small_set, unique_cause
from alertlang.groundtest.observer import Observer
from alertlang.groundtest.stimulus import Stimuli
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, TRUE, Term, both, conjunction, negate
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m

# A decision of more conditions than this is covered condition by condition, not row by row.
_MOST_CONDITIONS = 6
# So many conditions with `until` are gone through, set and cleared, for what has to be so from before.
_MOST_REMEMBERED = 3


class DecisionGoals(Observer):
    def __init__(self, ruleset: m.RuleSet) -> None:
        super().__init__(ruleset)
        self._covered: set[m.Formula] = set()

    def decision(self, decision: Decision) -> None:
        """Every condition of a decision shown to decide by itself, and every number in it from both sides."""
        leaves = decision.conditions
        encoder = self.context.encoder_for(decision.formula)
        terms = decision.terms(encoder)
        if decision.rule is not None and decision.formula in self._covered:
            # The same words have been shown in full: of this statement, that it waits for them.
            off = both(self.definite(decision.formula, encoder=encoder), negate(as_term(decision.formula, terms)))
            self.show(
                f"{decision.name}: not in its context",
                "context",
                off,
                (self.observed(decision, encoder),),
                self.met(decision, False),
                ("off", decision.formula),
                negate(as_term(decision.formula, terms)),
                wait=self.wait(decision),
            )
            return
        self._covered.add(decision.formula)
        definite = self.definite(decision.formula, encoder=encoder)
        seen = self.observed(decision, encoder)
        words = decision.words(self.ruleset)
        if len(leaves) <= _MOST_CONDITIONS:
            never = self._rows_of(decision, terms, definite, seen, words)
        else:
            never = self._leaves_of(decision, terms, definite, seen, words)
        where = TRUE if decision.rule is None else self.region(decision.rule, encoder)
        for place, leaf in enumerate(leaves):
            if place in never:
                continue
            bare = both(where, decides(decision.formula, terms, place))
            for what, holds, pin in self.leaf_edges(leaf, encoder):
                value = as_term(
                    decision.formula,
                    [TRUE if i == place and holds else FALSE if i == place else t for i, t in enumerate(terms)],
                )
                self._either(decision, what, "context edge", both(bare, pin), definite, value, seen, place)

    def _either(
        self,
        decision: Decision,
        what: str,
        kind: str,
        bare: Term,
        definite: Term,
        value: Term,
        seen: Term,
        place: int,
    ) -> bool:
        """Shows where one condition decides, with whatever the decision comes to there. False: it nowhere does, and
        that has been said."""
        what = f"{decision.name}: {what}"
        proved = True
        for result in (True, False):
            out = value if result else negate(value)
            goal = both(bare, definite, out)
            if self.context.possible(goal) is Answer.YES:
                hint = (decision.name, place)
                met, wait = self.met(decision, result), self.wait(decision)
                goal, first = self._undisturbed(decision, result, goal)
                self.show(what, kind, goal, (seen,), met, hint, wait=wait, first=first)
                return True
            proved = proved and self.context.possible(both(bare, out)) is Answer.NO
        if proved:
            self.made.impossible.append(f"{what}: never decides")
        else:
            self.made.open.append(f"{what}: not shown to decide, and not proved that it never does")
        return False

    def _rows_of(
        self, decision: Decision, terms: tuple[Term, ...], definite: Term, seen: Term, words: tuple[str, ...]
    ) -> set[int]:
        """Shows a smallest set of rows; says which conditions have no pair at all."""

        def decide(row: Row) -> bool:
            return outcome(decision.formula, row)

        def at(row: Row) -> Term:
            return conjunction(term if true else negate(term) for term, true in zip(terms, row, strict=True))

        # Where a band cannot be, its context decides nothing.
        encoder = self.context.encoder_for(decision.formula)
        where = TRUE if decision.rule is None else self.region(decision.rule, encoder)
        answers = {row: self.context.possible(both(at(row), where)) for row in rows(len(terms))}
        possible = [row for row, answer in answers.items() if answer is Answer.YES]
        proved = all(answer is not Answer.UNDECIDED for answer in answers.values())
        pairs = []
        for place, word in enumerate(words):
            found = unique_cause(decide, possible, place)
            if found:
                self.made.pairs += 1
            else:
                found = masking(decide, possible, place)
                said = "with another condition changing too (masking)" if found else "nor with others changing too"
                self.made.masked += bool(found)
                text = f"{decision.name}: {word} cannot decide with all others as they are; {said}"
                if proved:
                    self.made.impossible.append(text)
                else:
                    self.made.open.append(f"{text} (not proved: the solver gave up)")
            pairs.append(found)
        chosen, _ = small_set(pairs, possible)
        for row in chosen:
            said = ", ".join(f"{w} {'yes' if true else 'no'}" for w, true in zip(words, row, strict=True))
            what, is_met = f"{decision.name}: {said}", self.met(decision, decide(row))
            goal = both(definite, at(row), where)
            if self.context.possible(goal) is Answer.NO and self._after(
                decision, what, both(at(row), where), seen, is_met
            ):
                continue
            wait, bare = self.wait(decision), both(at(row), where)
            goal, first = self._undisturbed(decision, decide(row), goal)
            self.show(what, "context", goal, (seen,), is_met, (decision.name, row), bare, wait=wait, first=first)
        return {place for place, found in enumerate(pairs) if not found}

    def _undisturbed(self, decision: Decision, result: bool, goal: Term) -> tuple[Term, Stimuli | None]:
        """A goal in which a condition with `until` is not true: cleared there, or by what is set first; else what it
        was would keep it."""
        condition = None if decision.condition is None else self.ruleset.conditions[decision.condition]
        if result or condition is None or condition.until is None:
            return goal, None
        cleared = both(goal, self.context.encoder_for(decision.formula).formula(condition.until))
        if self.context.possible(cleared) is Answer.YES:
            return cleared, None
        before = both(self.encoder.formula(condition.until), negate(self.encoder.formula(condition.formula)))
        return goal, self.solve(before, (condition.name, "cleared"))[1]

    def _after(self, decision: Decision, what: str, goal: Term, seen: Term, is_met: Callable[[Shown], bool]) -> bool:
        """A goal for which a condition with `until` has to be what it was before: set or cleared first. Whether there
        is a way."""
        reads = self.ruleset.conditions_read(decision.formula)
        names = [name for name in sorted(reads) if self.ruleset.conditions[name].until is not None]
        encoder, now = self.encoder, self.context.encoder_for(decision.formula)
        for values in product((False, True), repeat=min(len(names), _MOST_REMEMBERED)):
            made, kept = [], []
            for name, value in zip(names, values, strict=False):
                condition = self.ruleset.conditions[name]
                is_set, is_cleared = encoder.formula(condition.formula), encoder.formula(condition.until)
                made.append(is_set if value else both(is_cleared, negate(is_set)))
                kept.append(now.condition(name) if value else negate(now.condition(name)))
            before = self.solve(conjunction(made))[1]
            if before is None:
                continue
            for term in (both(goal, *kept, seen), both(goal, *kept)):
                after = self.solve(term, given=before)[1] or self.solve(term)[1]
                if after is not None:
                    parts = (before, {**before, **after})
                    self.add(what, "context", parts, is_met, wait=self.wait(decision))
                    return True
        return False

    def _leaves_of(
        self, decision: Decision, terms: tuple[Term, ...], definite: Term, seen: Term, words: tuple[str, ...]
    ) -> set[int]:
        """Shows each condition deciding both ways, one by one; says which never do."""
        never = set()
        value = as_term(decision.formula, terms)
        where = (
            TRUE if decision.rule is None else self.region(decision.rule, self.context.encoder_for(decision.formula))
        )
        for place, word in enumerate(words):
            bare = both(where, decides(decision.formula, terms, place))
            shown = [
                self._either(
                    decision,
                    f"{word} {way} decides",
                    "context",
                    both(bare, term),
                    definite,
                    value,
                    seen,
                    place,
                )
                for way, term in (("yes", terms[place]), ("no", negate(terms[place])))
            ]
            self.made.masked += all(shown)
            if not all(shown):
                never.add(place)
        return never

    def until(self, condition: m.Condition) -> None:
        """Set, still so one step before it is cleared, and cleared."""
        assert condition.until is not None
        name = condition.name
        if not any(name in self.ruleset.conditions_read(r.when, r.unless) for r in self.ruleset.rules):
            return
        decision = Decision(name, condition.until, condition=name)
        encoder = self.encoder
        seen = self.observed(decision, encoder)
        terms = decision.terms(encoder)
        is_set = encoder.formula(condition.formula)
        answer, before = self.solve(is_set, (name, "set"))
        if before is None:
            (self.made.impossible if answer is Answer.NO else self.made.open).append(f"condition {name} is never set")
            return
        for place, leaf in enumerate(decision.conditions):
            alone = both(decides(condition.until, terms, place), negate(is_set))
            for what, holds, pin in self.leaf_edges(leaf, encoder):
                said = f"condition {name}, set before: {what}"
                until = encoder.formula(condition.until)
                for cleared in (holds, not holds):
                    goal = both(alone, pin, until if cleared else negate(until))
                    stimuli = self.solve(both(goal, seen), (name, "until"))[1] or self.solve(goal)[1]
                    if stimuli is not None:
                        parts = (before, {**before, **stimuli})
                        met, wait = self.met(decision, not cleared), self.wait(decision)
                        self.add(said, "context edge", parts, met, wait=wait)
                        break
                else:
                    goal = both(alone, pin)
                    met = self.met(decision, not holds)
                    # What clears it may be a rise or fall.
                    at, wait = both(goal, until if holds else negate(until)), self.wait(decision)
                    if self.show_moving(said, "context edge", at, [seen], met, wait, (before,)):
                        continue
                    proved = self.context.possible(goal) is Answer.NO
                    (self.made.impossible if proved else self.made.open).append(said)
