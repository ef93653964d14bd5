"""Weather factors of dyno standards for spark ignition.

No factor is the default.  A control that holds manifold pressure has made up for thin air already, and a
factor for an engine that breathes by itself would credit it twice; UN Regulation 85 rules that out.  None of
these standards has a factor of its own for boosted spark ignition.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(barometer_pa=(30e3, 110e3), vapour_pressure_pa=(0.0, 20e3), temperature_k=(240.0, 335.0))
def no_correction(barometer_pa: Array, vapour_pressure_pa: Array, temperature_k: Array) -> Array:
    """Factor of a figure that is shown as measured: one.

    Parameters
    ----------
    barometer_pa : array
        Total. [Pa] Valid 30e3 to 110e3.
    vapour_pressure_pa : array
        Water in it. [Pa] Valid 0 to 20e3.
    temperature_k : array
        Of the intake air. [K] Valid 240 to 335.

    Returns
    -------
    factor : array
        Broadcast of the arguments. [1]

    Equation
    --------
    1 + 0 * (barometer_pa + vapour_pressure_pa + temperature_k)

    Source
    ------
    common-practice

    Examples
    --------
    >>> no_correction(95e3, 1e3, 305.0)
    1.0
    """
    return 1.0 + 0.0 * (barometer_pa + vapour_pressure_pa + temperature_k)


@valid(barometer_pa=(30e3, 110e3), vapour_pressure_pa=(0.0, 20e3), temperature_k=(240.0, 335.0))
def sae_j1349_factor(barometer_pa: Array, vapour_pressure_pa: Array, temperature_k: Array) -> Array:
    """Factor of SAE J1349: 99 kPa dry, 25 degC, friction taken as 15 % of indicated and left alone.

    Parameters
    ----------
    barometer_pa : array
        Total. [Pa] Valid 30e3 to 110e3.
    vapour_pressure_pa : array
        Water in it. [Pa] Valid 0 to 20e3.
    temperature_k : array
        Of the intake air. [K] Valid 240 to 335.

    Returns
    -------
    factor : array
        Corrected over measured power. [1]

    Equation
    --------
    dry = barometer_pa - vapour_pressure_pa
    1.180 * 99000 / dry * sqrt((temperature_k - 0.15) / 298) - 0.180

    Source
    ------
    sae-j1349, spark ignition, June 1990

    Examples
    --------
    >>> round(float(sae_j1349_factor(97e3, 0.0, 303.15)), 4)
    1.0344
    """
    dry = barometer_pa - vapour_pressure_pa
    return 1.180 * 99e3 / dry * np.sqrt((temperature_k - 0.15) / 298.0) - 0.180


@valid(barometer_pa=(30e3, 110e3), vapour_pressure_pa=(0.0, 20e3), temperature_k=(240.0, 335.0))
def sae_j607_factor(barometer_pa: Array, vapour_pressure_pa: Array, temperature_k: Array) -> Array:
    """Factor of SAE J607, long withdrawn and still shown: 29.92 inHg dry, 60 degF.

    It reads 3.5 to 4.8 % above J1349 for the same run, the more the colder and denser the day.

    Parameters
    ----------
    barometer_pa : array
        Total. [Pa] Valid 30e3 to 110e3.
    vapour_pressure_pa : array
        Water in it. [Pa] Valid 0 to 20e3.
    temperature_k : array
        Of the intake air. [K] Valid 240 to 335.

    Returns
    -------
    factor : array
        Corrected over measured power. [1]

    Equation
    --------
    dry = barometer_pa - vapour_pressure_pa
    101320.8 / dry * sqrt(temperature_k / 288.7056)

    Source
    ------
    sae-j607

    Examples
    --------
    >>> round(float(sae_j607_factor(97e3, 0.0, 303.15)), 4)
    1.0704
    """
    dry = barometer_pa - vapour_pressure_pa
    return 101320.8 / dry * np.sqrt(temperature_k / 288.7056)


@valid(barometer_pa=(30e3, 110e3), vapour_pressure_pa=(0.0, 20e3), temperature_k=(240.0, 335.0))
def din_70020_factor(barometer_pa: Array, vapour_pressure_pa: Array, temperature_k: Array) -> Array:
    """Factor of the old DIN 70020: 1013 mbar of total pressure, 20 degC; it leaves moisture out.

    Parameters
    ----------
    barometer_pa : array
        Total. [Pa] Valid 30e3 to 110e3.
    vapour_pressure_pa : array
        Water in it; not used. [Pa] Valid 0 to 20e3.
    temperature_k : array
        Of the intake air. [K] Valid 240 to 335.

    Returns
    -------
    factor : array
        Corrected over measured power. [1]

    Equation
    --------
    101300 / barometer_pa * sqrt((temperature_k - 0.15) / 293) + 0 * vapour_pressure_pa

    Source
    ------
    din-70020

    Examples
    --------
    >>> round(float(din_70020_factor(97e3, 0.0, 303.15)), 4)
    1.062
    """
    return 101300.0 / barometer_pa * np.sqrt((temperature_k - 0.15) / 293.0) + 0.0 * vapour_pressure_pa


@valid(barometer_pa=(30e3, 110e3), vapour_pressure_pa=(0.0, 20e3), temperature_k=(240.0, 335.0))
def iso_1585_factor(
    barometer_pa: Array,
    vapour_pressure_pa: Array,
    temperature_k: Array,
    reference_dry_pressure_pa: Array = 99e3,
    reference_temperature_k: Array = 298.15,
) -> Array:
    """Factor of ISO 1585 and UN Regulation 85 for spark ignition: 99 kPa dry, 25 degC.

    Parameters
    ----------
    barometer_pa : array
        Total. [Pa] Valid 30e3 to 110e3.
    vapour_pressure_pa : array
        Water in it. [Pa] Valid 0 to 20e3.
    temperature_k : array
        Of the intake air. [K] Valid 240 to 335.
    reference_dry_pressure_pa : array
        To which the figure is brought. [Pa]
    reference_temperature_k : array
        To which the figure is brought. [K]

    Returns
    -------
    factor : array
        Corrected over measured power. [1]

    Equation
    --------
    dry = barometer_pa - vapour_pressure_pa
    temperature_ratio = (temperature_k - 0.15) / (reference_temperature_k - 0.15)
    (reference_dry_pressure_pa / dry) ** 1.2 * temperature_ratio ** 0.6

    Source
    ------
    iso-1585

    Examples
    --------
    >>> round(float(iso_1585_factor(97e3, 0.0, 303.15)), 4)
    1.0351
    """
    dry = barometer_pa - vapour_pressure_pa
    temperature_ratio = (temperature_k - 0.15) / (reference_temperature_k - 0.15)
    return (reference_dry_pressure_pa / dry) ** 1.2 * temperature_ratio**0.6


@dataclass(frozen=True, slots=True)
class Correction:
    """One weather correction and the factors within which it may be used."""

    name: str
    factor: Callable[[Array, Array, Array], Array]
    dry: bool
    reference_pressure_pa: float
    reference_temperature_k: float
    lowest: float
    highest: float
    evidence: str

    def holds(self, factor: Array) -> Array:
        """Whether a factor lies where the standard lets it be used."""
        return (np.asarray(factor) >= self.lowest) & (np.asarray(factor) <= self.highest)


# Names as written in a build file.  The ranges of both old standards are common practice: beyond about one
# tenth a reading is better repeated on another day.
CORRECTIONS: Mapping[str, Correction] = MappingProxyType(
    {
        "none": Correction("none", no_correction, False, 0.0, 0.0, 1.0, 1.0, "common practice"),
        "SAE J1349": Correction("SAE J1349", sae_j1349_factor, True, 99e3, 298.15, 0.93, 1.07, "memory"),
        "J607": Correction("J607", sae_j607_factor, True, 101320.8, 288.7056, 0.90, 1.09, "common practice"),
        "DIN 70020": Correction(
            "DIN 70020", din_70020_factor, False, 101300.0, 293.15, 0.90, 1.09, "common practice"
        ),
        "ISO 1585": Correction("ISO 1585", iso_1585_factor, True, 99e3, 298.15, 0.93, 1.07, "memory"),
    }
)
