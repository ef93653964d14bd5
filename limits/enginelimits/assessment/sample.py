"""Draws of the uncertain inputs: one stream an input path, one draw a stratum, row 0 at the typical value.

A stream is seeded with the seed and the path alone, so that a further unknown moves no other draw.  Inputs that go
together (`description/together.py`) keep their own strata; only the order of one follows the other's stream too.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from contextvars import ContextVar
from functools import lru_cache
from statistics import NormalDist
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.columns import Column
from enginelimits.description.filled import Filled, Input
from enginelimits.errors import InputError, Problem
from enginelimits.physics.airflow.atmosphere import standard_temperature
from enginelimits.physics.cycle.trace import crank_grid
from enginelimits.physics.numerics.normal import normal_quantile

FloatArray = NDArray[np.float64]

# The 95th percentile of the standard normal, which low and high of a value are.
Z95 = NormalDist().inv_cdf(0.95)
AMBIENTS: tuple[str, ...] = ("site", "hot day")
HOT_DAY = {"site.air_temperature": "site.hot_day_temperature"}
MOUNTAIN = "mountain"
HIGHEST_MOUNTAIN = 4500.0  # m; few roads are higher, and boost control is not described beyond 5000 m


class Stretch(NamedTuple):
    """Draws ``first`` to ``stop`` of a large batch, and those of each stream that were asked for so far."""

    first: int
    stop: int
    held: dict[tuple[Any, ...], FloatArray]


class Part(NamedTuple):
    """Draws ``first`` on of ``whole``: a large batch goes through a few at a time, each time with its own.

    A stream is made of the whole batch and cut; the parts of one ``stretch`` share what was cut for the first of them.
    """

    whole: int
    first: int
    stretch: Stretch | None = None


PART: ContextVar[Part | None] = ContextVar("part", default=None)


def _of_part(made: Callable[..., FloatArray], samples: int, *of: Any, then: Any = None) -> FloatArray:
    """What is made of so many draws; in a part of a batch those that it has of the whole, with what ``then`` makes of
    each for itself."""
    part = PART.get()
    if part is None:
        return _kept(made, samples, *of)
    start, stop, held = part.stretch or Stretch(part.first, part.first + samples, {})
    if (made, then, *of) not in held:
        cut = made(part.whole, *of)[start:stop]
        held[made, then, *of] = cut.copy() if then is None else np.asarray(then(cut))
    first = part.first - start
    return held[made, then, *of][first : first + samples]


@lru_cache(maxsize=4096)
def _kept(made: Callable[..., FloatArray], samples: int, *of: Any) -> FloatArray:
    drawn = made(samples, *of)
    drawn.flags.writeable = False
    return drawn


def _made(made: Callable[..., FloatArray], samples: int, *of: Any) -> FloatArray:
    """The same on the way to something else; of a large batch it is not kept."""
    return _kept(made, samples, *of) if PART.get() is None else made(samples, *of)


def placed_by_strata(path: str, samples: int, seed: int) -> FloatArray:
    """One draw in each of ``samples`` equal strata of (0, 1), in an order of the path's own."""
    return _of_part(_placed, samples, seed, path)


def _placed(samples: int, seed: int, path: str) -> FloatArray:
    digest = hashlib.sha256(f"{seed}:{path}".encode()).digest()
    stream = np.random.default_rng(int.from_bytes(digest[:16], "big"))
    places = (np.arange(samples) + stream.random(samples)) / max(samples, 1)
    drawn: FloatArray = stream.permutation(np.minimum(np.maximum(places, 1e-12), 1 - 1e-12))
    return drawn


def normal_by_strata(stream: str, samples: int, seed: int) -> FloatArray:
    """The same draws as deviates of the standard normal."""
    if PART.get() is None:
        return _kept(_deviates, samples, seed, stream)
    return _of_part(_placed, samples, seed, stream, then=normal_quantile)


def _deviates(samples: int, seed: int, stream: str) -> FloatArray:
    return np.asarray(normal_quantile(_made(_placed, samples, seed, stream)))


def placed_together(own: str, streams: tuple[tuple[str, float], ...], samples: int, seed: int) -> FloatArray:
    """The strata of one's own stream, in the order of a weighted sum of the normal deviates of several."""
    return _of_part(_together, samples, seed, own, streams)


def _together(samples: int, seed: int, own: str, streams: tuple[tuple[str, float], ...]) -> FloatArray:
    deviates: FloatArray = np.zeros(samples)
    for stream, weight in streams:
        deviates = deviates + weight * _made(_deviates, samples, seed, stream)
    placed = np.empty(samples)
    placed[np.argsort(deviates, kind="stable")] = np.sort(_made(_placed, samples, seed, own))
    return placed


def drawn(given: Input, samples: int, seed: int) -> FloatArray:
    """Row 0 and ``samples`` draws of one number, cut at its physical bounds."""
    centre = float(given.value)  # type: ignore[arg-type]
    rows = np.full(1 + samples, centre)
    if not samples or given.low is None or given.high is None or given.shape == "point":
        return rows
    if given.pool:
        u = placed_by_strata(given.pool_of, samples, seed)
        rows[1:] = np.array(given.pool)[(u * len(given.pool)).astype(int)]
        return rows
    own = given.drawn_with[0] if given.drawn_with else given.path
    u = placed_together(own, given.streams, samples, seed) if given.streams else placed_by_strata(own, samples, seed)
    if given.shape == "uniform":
        rows[1:] = given.low + u * (given.high - given.low)
    else:
        z = normal_quantile(u) if given.streams else normal_by_strata(own, samples, seed)
        below, above = (centre - given.low) / Z95, (given.high - centre) / Z95
        rows[1:] = centre + z * np.where(z < 0, below, above)
    if given.floor is not None or given.ceiling is not None:
        low = -np.inf if given.floor is None else given.floor
        high = np.inf if given.ceiling is None else given.ceiling
        rows[1:] = np.minimum(np.maximum(rows[1:], low), high)
    return rows


def _curves(
    points: tuple[Input, ...], at: FloatArray, typical: FloatArray, speeds: FloatArray, samples: int, seed: int
) -> FloatArray:
    """Row 0 and draws of a curve, straight between its drawn points; one stream moves all points of a draw."""
    knots = np.stack([drawn(point, samples, seed) for point in points], axis=-1)
    after = np.clip(np.searchsorted(at, speeds), 1, max(at.size - 1, 1))
    first, last = knots[:, after - 1], knots[:, np.minimum(after, at.size - 1)]
    width = at[np.minimum(after, at.size - 1)] - at[after - 1]
    share = np.clip((speeds - at[after - 1]) / np.where(width > 0.0, width, 1.0), 0.0, 1.0)
    rows: FloatArray = first + (last - first) * share
    rows[0] = typical
    return rows


def ambients_with(mountain_m: float | None) -> tuple[str, ...]:
    """The ambients of a batch: those of every batch, and the mountain where one is asked for."""
    return AMBIENTS if mountain_m is None else (*AMBIENTS, MOUNTAIN)


def checked_mountain(mountain_m: float, site_m: float = 0.0) -> float:
    """The height of a mountain [m], not lower than the site.  Raises InputError for any other."""
    least = max(site_m, 0.0)
    if least <= mountain_m <= HIGHEST_MOUNTAIN:
        return mountain_m
    mend = "The mountain cannot lie lower than the site." if 0.0 <= mountain_m < least else ""
    wanted = f"a height from {least:g} to {HIGHEST_MOUNTAIN:g} m"
    raise InputError([Problem(wanted, f"{mountain_m:g} m", mend, key="--mountain", file="command line")])


def checked_samples(samples: int) -> int:
    """A number of draws, or none.  Raises InputError for less than none."""
    if samples < 0:
        wanted = "a number of draws, or 0 for none"
        raise InputError([Problem(wanted, str(samples), key="--samples", file="command line")])
    return samples


def input_columns(
    filled: Filled,
    speeds: FloatArray,
    samples: int,
    seed: int,
    ambients: tuple[str, ...] = AMBIENTS,
    mountain_m: float | None = None,
) -> dict[str, Column]:
    """Every input as a column, shape (ambients, 1 + samples, speeds) or broadcastable.

    ``mountain_m`` is the altitude of the ambient "mountain" and is needed where that is among ``ambients``.
    """
    columns: dict[str, Column] = {}
    for path, given in filled.inputs.items():
        columns[path] = Column(_array(given, speeds, samples, seed), _missing(given), rests=frozenset((path,)))
    _tie(filled, columns)
    # the hot day holds the water of the ordinary one: its air is drier, not wetter
    if "site.air_temperature" in columns:
        columns["ambient.ordinary_temperature"] = columns["site.air_temperature"]
    for path, hot_path in HOT_DAY.items():
        if path not in columns or hot_path not in columns:
            continue
        rows = {"site": columns[path], "hot day": columns[hot_path], MOUNTAIN: columns[path]}
        stacked = np.concatenate(np.broadcast_arrays(*(np.asarray(rows[name].si) for name in ambients)), axis=0)
        columns[path] = Column(stacked, rests=frozenset((path, hot_path)))
    if mountain_m is not None:
        _climb(columns, ambients, mountain_m)
    columns["engine.speed"] = Column(speeds[None, None, :])
    columns["crank.angle"] = Column(crank_grid())
    return columns


def _climb(columns: dict[str, Column], ambients: tuple[str, ...], mountain_m: float) -> None:
    """Set the mountain's altitude, and the ordinary day's air there: cooler by the standard atmosphere's lapse rate.

    Relative humidity stays, so that the water follows from the cooler air.
    """
    altitude, ordinary = columns["site.altitude"], columns["ambient.ordinary_temperature"]
    checked_mountain(mountain_m, float(altitude.si.flat[0]))
    height = np.full_like(altitude.si, mountain_m)
    air = ordinary.si + standard_temperature(height) - standard_temperature(altitude.si)
    for path, there in (
        ("site.altitude", height), ("ambient.ordinary_temperature", air), ("site.air_temperature", air)
    ):
        home = columns[path]
        shape = (len(ambients), *home.si.shape[1:])
        on_mountain = np.array([name == MOUNTAIN for name in ambients])[:, None, None]
        rests = home.rests | altitude.rests
        columns[path] = Column(np.where(on_mountain, there, np.broadcast_to(home.si, shape)), rests=rests)


def _tie(filled: Filled, columns: dict[str, Column]) -> None:
    """Give an input that was copied from others their draws, not draws of its own."""
    for path, given in filled.inputs.items():
        if _is_sum(filled, given):
            total: Any = sum(columns[part].si for part in given.drawn_with)
            columns[path] = columns[path]._replace(si=total)


def _is_sum(filled: Filled, given: Input) -> bool:
    """Whether an input still is the sum of those it is drawn with; an edit may have changed them since."""
    parts = [filled.inputs.get(path) for path in given.drawn_with]
    values = [p.value for p in parts if p is not None and isinstance(p.value, float)]
    if not parts or len(values) < len(parts) or not isinstance(given.value, float):
        return False
    return abs(sum(values) - given.value) <= 1e-9 * abs(given.value)


def _missing(given: Input) -> frozenset[str]:
    absent = given.value is None and given.curve is None and given.probability is None
    return frozenset((given.path,)) if absent else frozenset()


def _array(given: Input, speeds: FloatArray, samples: int, seed: int) -> Any:
    """The values of one input: text as it is, numbers as an array."""
    if given.curve is not None:
        at, values = (np.array(side) for side in zip(*given.curve, strict=True))
        typical: FloatArray = np.interp(speeds, at, values)
        if not given.points or not samples:
            return typical[None, None, :]
        return _curves(given.points, at, typical, speeds, samples, seed)[None]
    if given.probability is not None:
        yes = np.empty(1 + samples, dtype=bool)
        yes[0] = given.probability >= 0.5
        if samples:
            yes[1:] = placed_by_strata(given.path, samples, seed) < given.probability
        return yes[None, :, None]
    if isinstance(given.value, tuple):
        if not given.points or not samples:
            return np.array(given.value, dtype=float)
        # the entries lie on the last axis
        return np.stack([drawn(point, samples, seed) for point in given.points], axis=-1)[None, :, None, :]
    if given.value is None or isinstance(given.value, str | bool):
        return given.value
    rows = drawn(given, 0 if given.shape == "point" else samples, seed)
    return rows[None, :, None]
