"""Smallest oil film of a plain bearing of finite length under a steady load.

The load on an engine's bearing is anything but steady.  A peak that lasts a few milliseconds squeezes the film
and is carried by that, so that real films under it are several times thicker than the steady load would leave,
while a load that turns at half the speed of the crank carries less.  Film pressure thickens the oil as well, and
shells give way.  All of this is left out: the figure compares one build with another and one oil with another; it
is no measured thickness.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.components.film_table import LOGITS, RATIOS, SOMMERFELD
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.interpolation import hermite
from enginelimits.physics.numerics.validity import valid

_LOG_RATIOS, _LOG_SOMMERFELD = np.log(RATIOS), np.log(SOMMERFELD)
ROUND_OFF = 1e-9  # by which width over diameter may exceed the table


@valid(
    viscosity_pa_s=(5e-4, 1.0),
    speed_rad_s=(0.0, 2000.0),
    diameter_m=(0.01, 0.20),
    clearance_m=(5e-6, 5e-4),
    specific_load_pa=(1e4, 3e8),
)
def sommerfeld_number(
    viscosity_pa_s: Array, speed_rad_s: Array, diameter_m: Array, clearance_m: Array, specific_load_pa: Array
) -> Array:
    """What the film of a plain bearing hangs on: viscosity times speed over load, by clearance.

    Parameters
    ----------
    viscosity_pa_s : array
        Dynamic, of the oil in the film. [Pa*s] Valid 5e-4 to 1.
    speed_rad_s : array
        Of the journal against shell and load. [rad/s] Valid 0 to 2000.
    diameter_m : array
        Of the journal. [m] Valid 0.01 to 0.20.
    clearance_m : array
        Diametral. [m] Valid 5e-6 to 5e-4.
    specific_load_pa : array
        Over the projected area. [Pa] Valid 1e4 to 3e8.

    Returns
    -------
    sommerfeld_number : array
        Broadcast of the arguments. [1]

    Equation
    --------
    (diameter_m / clearance_m)**2 * viscosity_pa_s * speed_rad_s / (2 * pi) / specific_load_pa

    Source
    ------
    raimondi-boyd-1958, its S with both radius and clearance doubled

    Examples
    --------
    >>> round(float(sommerfeld_number(0.030, 1440 * np.pi / 30, 0.060, 0.120e-3, 3000.0 / 0.060**2)), 3)
    0.216
    """
    slenderness = diameter_m / clearance_m
    return slenderness**2 * viscosity_pa_s * speed_rad_s / (2.0 * np.pi) / specific_load_pa


@valid(sommerfeld_number=(1e-4, 5.0), width_over_diameter=(0.2, 1.0))
def film_ratio(sommerfeld_number: Array, width_over_diameter: Array) -> Array:
    """Thinnest film over the radial clearance, by a finite solution of Reynolds' equation.

    Full bearing, constant viscosity, no pressure below nil, the film ending without slope of pressure.

    Parameters
    ----------
    sommerfeld_number : array
        Of a steady load. [1] Valid 1e-4 to 5.
    width_over_diameter : array
        Of the bearing. [1] Valid 0.2 to 1.

    Returns
    -------
    film_ratio : array
        Broadcast of the arguments, 1 less the eccentricity. [1]

    Equation
    --------
    Solved: the eccentricity at which Reynolds' equation gives this number, from a table over eccentricity and
    width_over_diameter, in the logarithm of sommerfeld_number

    Source
    ------
    own-computation, tools/bearing_film_table.py; raimondi-boyd-1958

    Examples
    --------
    >>> [round(float(film_ratio(s, 1.0)), 2) for s in (0.264, 0.121, 0.0446)]
    [0.6, 0.4, 0.2]
    """
    aim, ratio = np.log(np.asarray(sommerfeld_number, dtype=float)), np.asarray(width_over_diameter, dtype=float)
    # ln S of every eccentricity at this ratio of width, falling along the last axis
    right = np.clip(np.searchsorted(RATIOS, ratio), 1, RATIOS.size - 1)
    share = (np.log(ratio) - _LOG_RATIOS[right - 1]) / (_LOG_RATIOS[right] - _LOG_RATIOS[right - 1])
    nodes = _LOG_SOMMERFELD[right - 1] * (1.0 - share[..., None]) + _LOG_SOMMERFELD[right] * share[..., None]
    slopes = np.gradient(LOGITS) / np.gradient(nodes, axis=-1)
    shape = np.broadcast_shapes(aim.shape, ratio.shape)
    aim = np.broadcast_to(aim, shape)
    left = np.clip((nodes > aim[..., None]).sum(axis=-1) - 1, 0, LOGITS.size - 2)

    def at(table: Array, place: Array) -> Array:
        return np.take_along_axis(np.broadcast_to(table, (*shape, LOGITS.size)), place[..., None], -1)[..., 0]

    low, high = at(nodes, left), at(nodes, left + 1)
    logit = hermite(
        (aim - low) / (high - low), high - low, LOGITS[left], LOGITS[left + 1], at(slopes, left), at(slopes, left + 1)
    )
    return 1.0 / (1.0 + np.exp(-logit))


@valid(sommerfeld_number=(1e-4, 5.0), diameter_m=(0.01, 0.20), width_m=(0.003, 0.20), clearance_m=(5e-6, 5e-4))
def smallest_film(sommerfeld_number: Array, diameter_m: Array, width_m: Array, clearance_m: Array) -> Array:
    """Thinnest film of a plain bearing whose greatest load is taken as steady: to compare builds by.

    Parameters
    ----------
    sommerfeld_number : array
        At the greatest load of the cycle. [1] Valid 1e-4 to 5.
    diameter_m : array
        Of the journal. [m] Valid 0.01 to 0.20.
    width_m : array
        That bears, 0.2 to 1 times the diameter. [m] Valid 0.003 to 0.20.
    clearance_m : array
        Diametral. [m] Valid 5e-6 to 5e-4.

    Returns
    -------
    film_m : array
        Not a number where width over diameter is beyond what was solved. Broadcast of the arguments. [m]

    Equation
    --------
    Solved: half of clearance_m times the film_ratio of sommerfeld_number at width_m / diameter_m

    Source
    ------
    own-computation, tools/bearing_film_table.py; raimondi-boyd-1958

    Examples
    --------
    >>> round(float(smallest_film(0.216, 0.060, 0.060, 0.120e-3)) * 1e3, 3)
    0.033
    """
    ratio = np.asarray(width_m, dtype=float) / diameter_m
    # beyond one diameter the table drawn out would tell a film up to a fifth too thick
    solved = (ratio > RATIOS[0] - ROUND_OFF) & (ratio < RATIOS[-1] + ROUND_OFF)
    return clearance_m / 2.0 * film_ratio(sommerfeld_number, np.where(solved, ratio, np.nan)[()])
