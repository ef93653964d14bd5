"""The end of the stretch of boosts that passes, looked for on fixed steps of one per cent.

On fixed steps two searches that ask for more and for less look at the same boosts, so that the stricter one never
ends higher.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from enginelimits.decisions.boost_trial import BoostTrial, Draws
from enginelimits.decisions.verdict import Finding

# One step is this much more boost.
STEP = 1.01
# So many steps below the boost asked for there is none; half of it lies this far down.
NONE, HALF = -400, -70
# Upwards without a guess, and downwards at first: about a third, and about a tenth.
UP, DOWN = 26, 10
# A guess leads no further than to twice the boost in one go, nor to less than half of it.
FURTHEST = 70
# A machine that delivers less than this more is at its own end.
RISE = 1e-3

End = Literal["found", "top", "the machine binds", "least reaches", "cut short"]


@dataclass(frozen=True)
class Looked:
    """A boost held against the grade.

    ``excess`` says how far from the end of what passes it is, above zero beyond it, where that can be told.
    """

    step: int
    trial: BoostTrial | None
    passes: bool
    binds: tuple[Finding, ...] = ()
    lost: tuple[str, ...] = ()
    draws: Draws | None = None
    excess: float | None = None


Look = Callable[[int], Looked]
Guess = Callable[[Looked, Looked], float | None]


def scale_of(step: int, top: float) -> float:
    """Boost over that asked for, at a step."""
    return 0.0 if step <= NONE else min(STEP**step, top)


def step_below(scale: float) -> int:
    """The last step at or below a scale."""
    return NONE if scale <= STEP**NONE else math.floor(math.log(scale) / math.log(STEP) + 1e-9)


class Bracket:
    """The highest boost known to pass and the lowest known to fail above it, brought together.

    Interrupted, it keeps what it has; ``end`` says why it ended.
    """

    def __init__(self, look: Look, guess: Guess, top: float) -> None:
        self._look, self._guess, self._top = look, guess, top
        self.best: Looked | None = None
        self.worst: Looked | None = None
        self.end: End = "found"

    def closed(self, start: int, known: tuple[int, ...] = ()) -> Bracket:
        """From ``start`` up while it passes, else down by way of the ``known`` steps."""
        try:
            self._take(self._look(start))
            self._up(known) if self.best is not None else self._down(known)
            if self.best is not None and self.worst is not None:
                self._close(self.best, self.worst)
        except KeyboardInterrupt:
            self.end = "cut short"
        return self

    def _take(self, looked: Looked) -> Looked:
        if looked.passes:
            self.best = looked
        else:
            self.worst = looked
        return looked

    def _up(self, known: tuple[int, ...]) -> None:
        last = step_below(self._top)
        last += scale_of(last, self._top) < self._top * 0.999
        at, tries = self.best, 0
        before = self._look(known[0]) if known else None
        while self.worst is None and at is not None:
            if at.step >= last:
                self.end = "top"
                return
            # Guesses are tried twice; a margin that then still passes bends away from the line.
            aim = None if before is None or tries > 1 else self._guess(before, at)
            step = at.step + UP if aim is None else step_below(aim)
            after = self._take(self._look(min(max(step, at.step + 1), at.step + FURTHEST, last)))
            if after.passes and _ended(at, after):
                self.end = "the machine binds"
                return
            before, at, tries = at, after, tries + 1

    def _down(self, known: tuple[int, ...]) -> None:
        for step in known:
            if self._take(self._look(step)).passes:
                return
        reach, above = DOWN, None
        while self.worst is not None and self.worst.step > NONE:
            under = self.worst
            aim = None if above is None else self._guess(under, above)
            step = under.step - reach if aim is None else step_below(aim)
            above, reach = under, 2 * reach
            step = max(min(step, under.step - 2), under.step - FURTHEST)
            if self._take(self._look(NONE if step < NONE / 2 else step)).passes:
                return
        self.end = "least reaches"

    def _close(self, best: Looked, worst: Looked) -> None:
        sides: list[bool] = []
        while worst.step - best.step > 1:
            aim = self._guess(best, worst)
            low, high = scale_of(best.step, self._top), scale_of(worst.step, self._top)
            # Twice the same side, and the guess leads nowhere.
            if aim is None or not low < aim < high or (len(sides) > 1 and sides[-1] == sides[-2]):
                aim, sides = (low + high) / 2.0, []
            step = min(max(step_below(aim), best.step + 1), worst.step - 1)
            middle = self._take(self._look(step))
            sides.append(middle.passes)
            best, worst = (middle, worst) if middle.passes else (best, middle)


def _ended(before: Looked, after: Looked) -> bool:
    if before.trial is None or after.trial is None:
        return False
    return after.trial.delivered_pa < before.trial.delivered_pa * (1.0 + RISE)
