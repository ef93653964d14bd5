"""What a log of pulls says in the vocabulary's words: ``log.*`` over (pulls, 1, speeds).

Every quantity is worked out pull by pull, on the same even grid of speeds.  What a log does not hold is named: a
channel as ``log.channel.lambda``, an input of the build by its path.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.description.filled import Filled
from enginelimits.measured.held import (
    RPM,
    before,
    covered,
    held_high,
    held_low,
    on_grid,
    speed_grid,
    steadied,
    widened,
)
from enginelimits.measured.log_run import CHANNEL, Lacking, Run
from enginelimits.measured.pull import Pull
from enginelimits.rules.ground import Reading

FloatArray = NDArray[np.float64]
SHORT, HELD, LONG, STEADY = 100.0 * RPM, 200.0 * RPM, 300.0 * RPM, 500.0 * RPM
STRETCH: Final = 1000.0 * RPM
THERE: Final = 0.95  # of the boost asked for: from then on it is there
LEAST_BOOST: Final = 1e4  # Pa; shares of less boost say nothing
STILL: Final = 5e3  # Pa; boost that rises by less over 1000 rpm stands still
VALVE_CLOSED: Final = 0.05  # duty of the boost control valve up to which the spring alone holds the gate
FULL_PEDAL: Final = 0.98
LEAST_FRESH: Final = 12  # rows in which road speed moved, below which its ratio to engine speed says nothing
STATED: Final = ("measured", "documented")


def boost(run: Run) -> FloatArray:
    """Boost, gauge, held over 200 rpm. [Pa]  Needs `boost`, or `manifold_pressure` and `barometer`."""
    return held_high(run.boost(), HELD)


def boost_overshoot(run: Run) -> FloatArray:
    """Boost over that asked for, held over 100 rpm. [Pa]  Needs boost, and `boost_target` or the build's boost."""
    return held_high(run.boost() - run.boost_asked(), SHORT)


def boost_overshoot_share(run: Run) -> FloatArray:
    """The same over the boost asked for. [1]  Infinity marks speeds where less than 10 kPa is asked for."""
    asked = run.boost_asked()
    share = held_high((run.boost() - asked) / np.maximum(asked, LEAST_BOOST), SHORT)
    return np.where(asked < LEAST_BOOST, np.inf, share)


def boost_held(run: Run) -> FloatArray:
    """Boost over that asked for, from where 95 % (or, never reached, the most) of it was there; the worst held over
    300 rpm. [1]"""
    asked = run.boost_asked()
    share = run.boost() / np.maximum(asked, LEAST_BOOST)
    share = np.where(asked < LEAST_BOOST, np.nan, share)
    known = np.isfinite(share)
    if not known.any():
        return np.full(share.shape, np.inf)
    reached = np.flatnonzero(known & (held_high(share, SHORT) >= THERE))
    first = int(reached[0]) if reached.size else int(np.nanargmax(share))
    after = np.arange(share.size) >= first
    found = held_low(np.where(after, share, np.nan), LONG)
    # Too short a stretch above that speed says nothing of holding.
    return np.where(~after | (np.isnan(found) & known), np.inf, found)


def boost_reach(run: Run) -> FloatArray:
    """Boost over that predicted, the worst held over 300 rpm, where 10 kPa or more is predicted. [1]"""
    if run.predicted is None:
        raise Lacking("air.boost")
    some = run.predicted >= LEAST_BOOST
    share = held_low(np.where(some, run.boost() / np.maximum(run.predicted, LEAST_BOOST), np.nan), LONG)
    return np.where(some, share, np.inf)


def boost_delay(run: Run) -> FloatArray:
    """Speed at which 95 % of the boost asked for was there, over that predicted. [rad/s]

    Infinity marks a pull that began later than either, or never got there.
    """
    if run.predicted is None:
        raise Lacking("air.boost")
    asked = run.boost_asked()
    enough = asked >= LEAST_BOOST
    due_at = THERE * (1.0 - 1e-9) * asked
    there = np.flatnonzero((held_high(run.boost(), SHORT) >= due_at) & enough)
    due = np.flatnonzero((run.predicted >= due_at) & enough)
    ran = np.flatnonzero(covered(run.pull, run.speeds))
    if not there.size or not due.size or not ran.size or there[0] <= ran[0] or due[0] <= ran[0]:
        return np.full((1,), np.inf)
    return np.array([run.speeds[there[0]] - run.speeds[due[0]]])


def boost_creep(run: Run) -> FloatArray:
    """Rise of boost over the last 1000 rpm on the spring alone, from 500 rpm above where its pressure was there. [Pa]

    On the spring: the build's control is a spring, or `boost_control_duty` stays below 5 %, where nil leaves the
    gate to its spring.  Infinity marks speeds without 1000 rpm of that behind them.
    """
    control = run.described.get("forced_induction.control.kind")
    boosted = steadied(run.boost(), HELD)
    if control is not None and control.value == "spring":
        alone = np.ones(boosted.shape, dtype=bool)
    else:
        alone = run.channel("boost_control_duty") <= VALVE_CLOSED
    spring = run.described.get("forced_induction.wastegate.spring")
    holds = run.number("forced_induction.wastegate.spring") if spring is not None and spring.value is not None else (
        run.boost_asked())
    there = np.flatnonzero((boosted >= THERE * holds) & alone)
    if not there.size:
        return np.full(boosted.shape, np.inf)
    # As boost comes in it still rises, gate or no gate.
    on_spring = np.where(alone & (run.speeds >= run.speeds[there[0]] + STEADY * (1.0 - 1e-9)), boosted, np.nan)
    # The valve must have stayed closed all the way.
    unbroken = np.isfinite(held_high(on_spring, STRETCH))
    rise = np.where(unbroken, on_spring - before(on_spring, STRETCH), np.nan)
    return np.where(np.isnan(rise) & np.isfinite(boosted), np.inf, rise)


def manifold_pressure_use(run: Run) -> FloatArray:
    """Manifold pressure held over 200 rpm, over the sensor's range. [1]  Needs `manifold_pressure`."""
    return held_high(run.recorded("manifold_pressure"), HELD) / run.number("sensors.manifold_pressure_range")


def air_meter_use(run: Run) -> FloatArray:
    """Air flow held over 200 rpm, over the meter's range. [1]  Needs `air_mass_flow`."""
    return held_high(run.recorded("air_mass_flow"), HELD) / run.number("sensors.air_meter_range")


def air_meter_flat(run: Run) -> FloatArray:
    """Speeds run through while the meter stood still at its highest reading, row after row. [rad/s]"""
    flow, speed = run.raw("air_mass_flow"), run.raw("engine_speed")
    known = np.isfinite(flow) & np.isfinite(speed)
    flow, speed = flow[known], speed[known]
    if flow.size == 0:
        raise Lacking(CHANNEL + "air_mass_flow")
    widest, start = 0.0, None
    for row, top in enumerate(flow >= flow.max() * (1.0 - 1e-6)):
        start = (row if start is None else start) if top else None
        if start is not None:
            widest = max(widest, float(speed[row] - speed[start]))
    return np.array([widest])


def lambda_(run: Run) -> FloatArray:
    """Lambda, the leanest held over 200 rpm. [1]"""
    return held_high(run.channel("lambda"), HELD)


def lambda_richest(run: Run) -> FloatArray:
    """Lambda, the richest held over 500 rpm. [1]"""
    return held_low(run.channel("lambda"), STEADY)


def lambda_error(run: Run) -> FloatArray:
    """Lambda less that asked for (`lambda_target`, else the build's), held over 200 rpm. [1]"""
    measured = run.channel("lambda")
    target = run.channel("lambda_target") if run.has("lambda_target") else run.number("fuel.lambda_target")
    return held_high(measured - target, HELD)


def lambda_disagreement(run: Run) -> FloatArray:
    """Between `lambda` and `lambda_second`, in one direction, held over 500 rpm. [1]"""
    apart = run.channel("lambda") - run.channel("lambda_second")
    return np.maximum(held_high(apart, STEADY), held_high(-apart, STEADY))


def fuel_pressure_drop(run: Run) -> FloatArray:
    """Drop of fuel pressure from what the pull began with, the median of its first 200 rpm, held over 200 rpm. [Pa]

    Pressure over the port where the regulator is referenced to boost, over the air outside where it is fixed and the
    pressure does not follow boost.
    """
    pressure = _fuel_pressure(run)
    return held_high(_began_with(pressure, run) - pressure, HELD)


def fuel_pressure_offset(run: Run) -> FloatArray:
    """Between the fuel pressure that the pull began with and the base that somebody stated, either way. [Pa]"""
    base = run.described.get("fuel_system.base_pressure")
    if base is None or base.basis not in STATED or not isinstance(base.value, float):
        raise Lacking("fuel_system.base_pressure")
    return np.array([abs(_began_with(_fuel_pressure(run), run) - base.value)])


def _fuel_pressure(run: Run) -> FloatArray:
    """Fuel pressure over what its regulator is referenced to. [Pa]

    Pressure that rises as boost does is referenced to it, whatever the build says; over the air outside its sag would
    be hidden by that rise.
    """
    pressure = run.channel("fuel_pressure")
    if run.text("fuel_system.regulator") == "boost-referenced":
        return pressure - run.boost()
    try:
        boosted = run.boost()
    except Lacking:
        return pressure
    return pressure - boosted if _follows(pressure, boosted) else pressure


def _follows(pressure: FloatArray, boosted: FloatArray) -> bool:
    """Whether pressure rose with boost by more than half of it, from where boost was least to where it was there."""
    known = np.flatnonzero(np.isfinite(pressure + boosted))
    if not known.size:
        return False
    least = known[np.argmin(boosted[known])]
    there = known[np.argmax(boosted[known] >= THERE * boosted[known].max())]
    rise = float(boosted[there] - boosted[least])
    return there > least and rise > LEAST_BOOST and float(pressure[there] - pressure[least]) > 0.5 * rise


def _began_with(values: FloatArray, run: Run) -> float:
    """The median over the first 200 rpm in which anything is known."""
    known = np.flatnonzero(np.isfinite(values))
    if not known.size:
        return float("nan")
    first = run.speeds[known[0]]
    return float(np.nanmedian(values[(run.speeds >= first) & (run.speeds <= first + HELD * (1.0 + 1e-9))]))


def injector_duty(run: Run) -> FloatArray:
    """Duty of the port injectors, held over 200 rpm; by `injector_duty`, or by `injector_time` once a cycle. [1]"""
    if run.has("injector_duty") or not run.has("injector_time"):
        return held_high(run.channel("injector_duty"), HELD)
    return held_high(run.channel("injector_time") * run.speeds / (4.0 * np.pi), HELD)


def rail_deviation(run: Run) -> FloatArray:
    """What rail pressure lacks of that asked for, over that asked for, held over 200 rpm. [1]"""
    asked = run.channel("rail_pressure_target")
    return held_high((asked - run.channel("rail_pressure")) / asked, HELD)


def ethanol_difference(run: Run) -> FloatArray:
    """Between `ethanol` and the build's content, either way. [1]"""
    return np.abs(steadied(run.channel("ethanol"), HELD) - run.number("fuel.ethanol"))


def knock_retard(run: Run) -> FloatArray:
    """Retard for knock that is not one event: of one cylinder, held over 300 rpm, or as much of it within 100 rpm in
    another pull. [rad]  Needs `knock_retard_1` and so on, or `knock_retard` of the worst cylinder."""
    names = [f"knock_retard_{n}" for n in range(1, 13)]
    own = [name for name in names if run.has(name)] or ["knock_retard"]
    worst = np.full(run.speeds.shape, np.nan)
    for name in own:
        here = run.channel(name)
        found = held_high(here, LONG)
        for pull in run.all:
            beside = run.another(pull)
            if pull is not run.pull and beside.has(name):
                found = np.fmax(found, np.minimum(here, widened(beside.channel(name), 2.0 * SHORT)))
        worst = np.fmax(worst, found)
    return worst


def charge_temperature(run: Run) -> FloatArray:
    """Charge temperature, median over 200 rpm. [K]"""
    return steadied(run.channel("charge_temperature"), HELD)


def charge_temperature_rise(run: Run) -> FloatArray:
    """Rise of charge temperature over the last 1000 rpm, boost not rising. [K]

    Infinity marks speeds with less behind them, or over which boost rose by 5 kPa and more.
    """
    charge, boosted = charge_temperature(run), steadied(run.boost(), HELD)
    start = np.flatnonzero(np.isfinite(charge))
    early = run.speeds < (run.speeds[start[0]] if start.size else np.inf) + STRETCH * (1.0 - 1e-9)
    more = boosted - before(boosted, STRETCH)
    rise = np.where(np.isnan(more), np.nan, charge - before(charge, STRETCH))
    return np.where(early | (more >= STILL), np.inf, rise)


def charge_temperature_soak(run: Run) -> FloatArray:
    """Charge temperature over that two pulls before in the same log, at the same speed. [K]  Infinity without one."""
    same = [pull for pull in run.all if pull.log.digest == run.pull.log.digest]
    place = next((i for i, pull in enumerate(same) if pull is run.pull), 0)
    if place < 2:
        return np.full(run.speeds.shape, np.inf)
    earlier = run.another(same[place - 2])
    shared = covered(earlier.pull, run.speeds)
    return np.where(shared, charge_temperature(run) - charge_temperature(earlier), np.inf)


def exhaust_temperature(run: Run) -> FloatArray:
    """Exhaust temperature before the turbine as the probe reads, held over 300 rpm. [K]"""
    return held_high(run.channel("exhaust_temperature"), LONG)


def catalyst_temperature(run: Run) -> FloatArray:
    """Catalyst temperature, median over 200 rpm. [K]"""
    return steadied(run.channel("catalyst_temperature"), HELD)


def drive_pressure_ratio(run: Run) -> FloatArray:
    """`exhaust_pressure` over boost, both gauge, held over 200 rpm. [1]  Infinity below 10 kPa of boost."""
    boosted = run.boost()
    some = boosted >= LEAST_BOOST
    ratio = run.channel("exhaust_pressure") / np.maximum(boosted, LEAST_BOOST)
    held = held_high(np.where(some | np.isnan(boosted), ratio, -np.inf), HELD)
    return np.where(np.isneginf(held) | (boosted < LEAST_BOOST), np.inf, held)


def wheel_speed_use(run: Run) -> FloatArray:
    """Tip speed of the compressor wheel by `turbocharger_speed`, held over 200 rpm, over its limit. [1]"""
    tip = held_high(run.channel("turbocharger_speed"), HELD) * run.number("forced_induction.compressor.exducer") / 2.0
    return tip / run.number("forced_induction.compressor.speed_limit")


def oil_pressure_per_thousand(run: Run) -> FloatArray:
    """Oil pressure for each 1000 rpm, median over 200 rpm. [Pa]"""
    return steadied(run.channel("oil_pressure"), HELD) * STRETCH / run.speeds


def oil_pressure_drop(run: Run) -> FloatArray:
    """Drop of oil pressure from the most that was there at a lower speed of the pull, held over 200 rpm. [Pa]"""
    pressure = run.channel("oil_pressure")
    so_far = np.fmax.accumulate(steadied(pressure, HELD))
    return held_high(so_far - pressure, HELD)


def oil_temperature(run: Run) -> FloatArray:
    """Oil temperature, median over 200 rpm. [K]"""
    return steadied(run.channel("oil_temperature"), HELD)


def coolant_temperature(run: Run) -> FloatArray:
    """Coolant temperature, median over 200 rpm. [K]"""
    return steadied(run.channel("coolant_temperature"), HELD)


def drive_slip(run: Run) -> FloatArray:
    """Engine speed over that of the road or the roller, more than the least that it was at a lower speed, held over
    200 rpm. [1]  By `road_speed`, else `roller_speed`, in the rows in which that moved."""
    names = [name for name in ("road_speed", "roller_speed") if run.has(name)]
    if not names:
        raise Lacking(CHANNEL + "road_speed")
    driven, engine = run.raw(names[0]), run.raw("engine_speed")
    # a speed that comes less often than rows do stands still between them
    fresh = np.flatnonzero(np.isfinite(driven) & np.isfinite(engine) & (driven > 0.0))
    fresh = fresh[np.diff(driven[fresh], prepend=driven[fresh][:1]) != 0.0]
    if fresh.size < LEAST_FRESH:
        raise Lacking(CHANNEL + names[0])
    order = fresh[np.argsort(engine[fresh], kind="stable")]
    ratio = steadied(on_grid(engine[order], engine[order] / driven[order], run.speeds, run.pull.speeds), LONG)
    least = np.fmin.accumulate(ratio)
    return held_high(ratio / least - 1.0, HELD)


def crankcase_pressure(run: Run) -> FloatArray:
    """Crankcase pressure, gauge, held over 200 rpm. [Pa]"""
    return held_high(run.channel("crankcase_pressure"), HELD)


def throttle(run: Run) -> FloatArray:
    """Throttle opening while `pedal` is at 98 % or more, the least held over 200 rpm. [1]  Infinity elsewhere."""
    pedal = run.channel("pedal")
    asked = pedal >= FULL_PEDAL
    found = held_low(np.where(asked, run.channel("throttle"), np.inf), HELD)
    return np.where(asked, found, np.where(np.isnan(pedal), np.nan, np.inf))


def cam_phase_error(run: Run) -> FloatArray:
    """Between `cam_phase` and `cam_phase_target`, either way, held over 200 rpm. [rad]"""
    return held_high(np.abs(run.channel("cam_phase") - run.channel("cam_phase_target")), HELD)


def misfire_share(run: Run) -> FloatArray:
    """Share of firings that missed, held over 200 rpm. [1]"""
    return held_high(run.channel("misfire_share"), HELD)


def voltage(run: Run) -> FloatArray:
    """Voltage of the system, the least held over 200 rpm. [V]"""
    return held_low(run.channel("voltage"), HELD)


def duration(run: Run) -> FloatArray:
    """Time that the pull takes. [s]"""
    return np.array([float(run.pull.time[-1] - run.pull.time[0])])


def row_interval(run: Run) -> FloatArray:
    """Median time between rows that hold boost, else between those that hold engine speed. [s]"""
    for name in ("boost", "manifold_pressure", "engine_speed"):
        values = run.pull.raw(name)
        if values is not None and np.isfinite(values).sum() > 1:
            return np.array([float(np.median(np.diff(run.pull.time[np.isfinite(values)])))])
    raise Lacking(CHANNEL + "engine_speed")


QUANTITY_OF: Final[Mapping[str, Callable[[Run], FloatArray]]] = {
    f"log.{of.__name__.rstrip('_')}": of
    for of in (
        boost, boost_overshoot, boost_overshoot_share, boost_held, boost_reach, boost_delay, boost_creep,
        manifold_pressure_use, air_meter_use, air_meter_flat, lambda_, lambda_richest, lambda_error,
        lambda_disagreement, fuel_pressure_drop, fuel_pressure_offset, injector_duty, rail_deviation,
        ethanol_difference, knock_retard,
        charge_temperature, charge_temperature_rise, charge_temperature_soak, exhaust_temperature,
        catalyst_temperature, drive_pressure_ratio, wheel_speed_use, oil_pressure_per_thousand, oil_pressure_drop,
        oil_temperature, drive_slip, coolant_temperature, crankcase_pressure, throttle, cam_phase_error, misfire_share,
        voltage, duration, row_interval,
    )
}  # fmt: skip


def log_columns(
    pulls: Sequence[Pull],
    described: Filled,
    *,
    predicted_boost: tuple[Sequence[float], Sequence[float]] | None = None,
) -> dict[str, Reading]:
    """Every ``log.*`` quantity of the pulls, over (pulls, 1, speeds) on :func:`speed_grid`.

    ``predicted_boost`` is (speeds [rad/s], boost [Pa]) of the assessment of the build as described, not of one that
    was given the measured boost.  A quantity means nothing at speeds that a pull did not run through, nor where its
    function gives infinity; ``missing`` names the channels and inputs that any of the pulls lacks.
    """
    speeds = speed_grid(pulls)
    predicted = None
    if predicted_boost is not None:
        predicted = np.interp(speeds, *predicted_boost, left=np.nan, right=np.nan)
    runs = [Run(pull, speeds, described, predicted, tuple(pulls)) for pull in pulls]
    return {id_: _reading(id_, of, runs) for id_, of in QUANTITY_OF.items()}


def _reading(id_: str, of: Callable[[Run], FloatArray], runs: Sequence[Run]) -> Reading:
    kind = QUANTITIES[id_]
    width = runs[0].speeds.size if kind.varies else 1
    values = np.full((len(runs), 1, width), np.nan)
    means = np.ones(values.shape, dtype=bool)
    missing: set[str] = set()
    for row, run in enumerate(runs):
        try:
            found = of(run)
        except Lacking as lacking:
            missing |= lacking.names
            found = values[row, 0]
        here = covered(run.pull, run.speeds) if kind.varies else np.ones(1, dtype=bool)
        means[row, 0] = here & ~np.isinf(found)
        values[row, 0] = np.where(np.isinf(found), np.nan, found)
    if not np.isfinite(values).any() and missing:
        return Reading(None, kind.unit, frozenset(missing), False, means)
    return Reading(values, kind.unit, frozenset(missing), False, means)
