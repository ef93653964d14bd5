"""A description in which every gap has been filled or left open on purpose."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import wraps
from typing import TYPE_CHECKING, Any, Literal, TypeVar, cast

from enginelimits.errors import InputError

if TYPE_CHECKING:
    from enginelimits.description.calibration import Calibration
    from enginelimits.description.models import Build

Basis = Literal["measured", "documented", "assumed"]
Shape = Literal["point", "split-normal", "uniform"]
Scalar = float | str | bool


@dataclass(frozen=True, slots=True)
class Input:
    """One value that the computation may use, at the path it has in a build file.

    Numbers are SI (``unit`` says which; "1" for none).  ``value`` is a float, a string, a boolean, a tuple of
    floats (leak-down by cylinder) or None when nothing is known; a curve over engine speed stands in ``curve``
    as (speed [rad/s], value) pairs.  ``low`` and ``high`` are the 5th and 95th percentile ("split-normal") or the
    ends ("uniform"); ``floor`` and ``ceiling`` are physical bounds at which a draw is cut.  ``probability`` is
    the chance of yes of a yes or no that is not known.  ``drawn_with`` names the inputs that this one is the
    sum of, or was before an edit, so that their draws are shared.  ``pool`` holds draws that were kept, from which
    samples are taken in the place of ``low`` and ``high``; inputs of the same ``pool_of`` are taken from one place.
    ``streams`` are those that the order of its draws follows, each with its weight, where it is drawn together with
    others; its own is among them.  ``together`` says so in words.  ``points`` are the points of a curve, or the entries
    of a list, each as an input with its range, where any has one: those of a curve are drawn with one deviate, so that
    it is high or low as a whole; those of a list each with its own.
    """

    path: str
    value: Scalar | tuple[float, ...] | None
    unit: str = "1"
    low: float | None = None
    high: float | None = None
    shape: Shape = "point"
    basis: Basis = "assumed"
    source: str = ""
    kind: str = ""
    note: str = ""
    floor: float | None = None
    ceiling: float | None = None
    probability: float | None = None
    curve: tuple[tuple[float, float], ...] | None = None
    from_class: str = ""
    drawn_with: tuple[str, ...] = ()
    pool: tuple[float, ...] = ()
    pool_of: str = ""
    streams: tuple[tuple[str, float], ...] = ()
    together: str = ""
    points: tuple[Input, ...] = ()


@dataclass(frozen=True)
class Filled:
    """A build with its inputs by path.  ``inputs`` also holds what classes supply under ``class.``.

    ``calibration`` is what measured pulls said of this engine family, where there is such a thing.
    """

    build: Build
    inputs: Mapping[str, Input]
    calibration: Calibration | None = None

    def get(self, path: str) -> Input | None:
        return self.inputs.get(path)

    @property
    def assumed(self) -> tuple[Input, ...]:
        """The inputs that nobody stated, in path order."""
        return tuple(i for _, i in sorted(self.inputs.items()) if i.basis == "assumed" and i.value is not None)


Filling = TypeVar("Filling", bound="Callable[..., Filled]")


def told_at_its_place(filling: Filling) -> Filling:
    """The same, but what is wrong with a key of the build is told with the file and the line that hold it."""

    @wraps(filling)
    def told(build: Build, *args: Any, **kwargs: Any) -> Filled:
        try:
            return filling(build, *args, **kwargs)
        except InputError as error:
            from enginelimits.description.paths import place

            problems = []
            for problem in error.problems:
                at = None if problem.file or not problem.key else place(build, problem.key)
                problems.append(problem if at is None else replace(problem, file=build.file, line=at.line,
                                                                   column=at.column))
            raise InputError(problems) from None

    return cast(Filling, told)
