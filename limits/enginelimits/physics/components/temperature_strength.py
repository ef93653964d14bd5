"""What heat takes off the strength of a part."""

from __future__ import annotations

from typing import Final

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

TABLE_TEMPERATURE: Final = 293.15
"""The room temperature that strengths of materials are given for. [K]"""


@valid(strength_pa=(1.0e7, 4.0e9), temperature_k=(233.15, 573.15), strength_loss_per_k=(0.0, 0.003))
def strength_at_temperature(strength_pa: Array, temperature_k: Array, strength_loss_per_k: Array) -> Array:
    """Strength when warm: it falls evenly above room temperature, and below nothing is gained.

    Yield strengths printed for quenched and tempered bolting steels lose 4 per cent at 100 degC and 12 at 200
    (42CrMo4), or 7 at 93 and 10 at 150 (the same steel by the boiler code): 4.8e-4 to 9e-4 a kelvin; from memory.
    Fatigue strength of steels hardly moves up to 200 degC and is left as it is.

    Parameters
    ----------
    strength_pa : array
        At room temperature. [Pa] Valid 1.0e7 to 4.0e9.
    temperature_k : array
        Of the part. [K] Valid 233.15 to 573.15.
    strength_loss_per_k : array
        Share of the strength lost a kelvin. [1/K] Valid 0 to 0.003.

    Returns
    -------
    strength_pa : array
        Broadcast of the arguments. [Pa]

    Equation
    --------
    strength_pa * (1 - strength_loss_per_k * max(temperature_k - 293.15, 0))

    Source
    ------
    en-10269, from memory; asme-section-ii-d, from memory

    Examples
    --------
    >>> round(float(strength_at_temperature(620e6, 398.15, 5.5e-4)) / 1e6)
    584
    """
    return strength_pa * (1.0 - strength_loss_per_k * np.maximum(np.asarray(temperature_k) - TABLE_TEMPERATURE, 0.0))
