"""Viscosity of engine oil in a bearing, from what its grade promises.

Kinematic viscosity at 100 degC and viscosity index give that at 40 degC (ASTM D2270), both give it at any
temperature (Walther's line, ASTM D341), density makes it dynamic, and the viscosity at high shear that the grade
promises at 150 degC says how much of it is left between journal and shell.
"""

from __future__ import annotations

import numpy as np

from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid

# ASTM D2270: kinematic viscosity at 40 degC of an oil of index 100 over Y, that at 100 degC, both in mm^2/s:
# a Y^2 + b Y + c from each lower bound of Y on.  The coefficients from memory; they give the printed examples.
_REFERENCE_FROM = np.array((3.8, 4.4, 5.0, 6.4, 7.0, 7.7, 9.0, 12.0, 15.0, 18.0, 22.0))
_REFERENCE_OIL = np.array(
    (
        (0.78571, 1.7929, -0.183),
        (0.82143, 1.5679, 0.119),
        (0.04985, 9.1613, -18.557),
        (0.22619, 7.7369, -16.656),
        (0.79762, -0.7321, 14.610),
        (0.05794, 10.5156, -28.240),
        (0.26665, 6.7015, -10.810),
        (0.20073, 8.4658, -22.490),
        (0.28889, 5.9741, -4.930),
        (0.24504, 7.4160, -16.730),
        (0.20323, 9.1267, -34.230),
    )
)
_MM2_S = 1e-6  # m^2/s
_COLD, _HOT, _SHEARED = 313.15, 373.15, 423.15  # K: 40, 100 and 150 degC


def _walther(viscosity_m2_s: Array) -> Array:
    return np.log10(np.log10(np.asarray(viscosity_m2_s, dtype=float) / _MM2_S + 0.7))


@valid(viscosity_100_m2_s=(3.8e-6, 2.8e-5), viscosity_index=(100.0, 250.0))
def viscosity_at_40(viscosity_100_m2_s: Array, viscosity_index: Array) -> Array:
    """Kinematic viscosity at 40 degC of an oil whose viscosity index is 100 or more.

    Parameters
    ----------
    viscosity_100_m2_s : array
        Kinematic, at 100 degC. [m^2/s] Valid 3.8e-6 to 2.8e-5.
    viscosity_index : array
        By ASTM D2270. [1] Valid 100 to 250.

    Returns
    -------
    viscosity_40_m2_s : array
        Broadcast of the arguments. [m^2/s]

    Equation
    --------
    Solved: H / Y**N in mm^2/s, Y the viscosity at 100 degC in mm^2/s, N = log10(0.00715 (viscosity_index - 100) + 1)
    and H the viscosity at 40 degC of an oil of index 100 with the same viscosity_100_m2_s, a quadratic in Y by pieces

    Source
    ------
    astm-d2270, procedure B, the quadratics from memory

    Examples
    --------
    >>> round(float(viscosity_at_40(5.05e-6, 156.37)) * 1e6, 2)
    22.84
    """
    hot = np.asarray(viscosity_100_m2_s, dtype=float) / _MM2_S
    piece = np.clip(np.searchsorted(_REFERENCE_FROM, hot, side="right") - 1, 0, None)
    a, b, c = np.moveaxis(_REFERENCE_OIL[piece], -1, 0)
    power = np.log10(0.00715 * (np.asarray(viscosity_index, dtype=float) - 100.0) + 1.0)
    return _MM2_S * ((a * hot + b) * hot + c) / hot**power


@valid(
    viscosity_40_m2_s=(1e-5, 5e-4), viscosity_100_m2_s=(3e-6, 5e-5), temperature_k=(253.15, 473.15)
)
def kinematic_viscosity(viscosity_40_m2_s: Array, viscosity_100_m2_s: Array, temperature_k: Array) -> Array:
    """Kinematic viscosity of an oil at any temperature, on Walther's line through two.

    Parameters
    ----------
    viscosity_40_m2_s : array
        At 40 degC. [m^2/s] Valid 1e-5 to 5e-4.
    viscosity_100_m2_s : array
        At 100 degC. [m^2/s] Valid 3e-6 to 5e-5.
    temperature_k : array
        Of the oil. [K] Valid 253.15 to 473.15.

    Returns
    -------
    kinematic_viscosity_m2_s : array
        Broadcast of the arguments. [m^2/s]

    Equation
    --------
    cold = log10(log10(viscosity_40_m2_s * 1e6 + 0.7))
    hot = log10(log10(viscosity_100_m2_s * 1e6 + 0.7))
    share = log10(temperature_k / 313.15) / log10(373.15 / 313.15)
    1e-6 * (10**(10**(cold + (hot - cold) * share)) - 0.7)

    Source
    ------
    astm-d341, for more than 2 mm^2/s

    Examples
    --------
    >>> round(float(kinematic_viscosity(93e-6, 10.8e-6, 423.15)) * 1e6, 2)
    4.09
    """
    cold, hot = _walther(viscosity_40_m2_s), _walther(viscosity_100_m2_s)
    share = np.log10(np.asarray(temperature_k, dtype=float) / _COLD) / np.log10(_HOT / _COLD)
    return _MM2_S * (10.0 ** (10.0 ** (cold + (hot - cold) * share)) - 0.7)


@valid(sump_temperature_k=(273.15, 453.15), temperature_rise_k=(0.0, 80.0))
def film_temperature(sump_temperature_k: Array, temperature_rise_k: Array) -> Array:
    """Temperature of the oil between journal and shell.

    Parameters
    ----------
    sump_temperature_k : array
        Of the oil as it is fed. [K] Valid 273.15 to 453.15.
    temperature_rise_k : array
        That shear in the bearing adds. [K] Valid 0 to 80.

    Returns
    -------
    film_temperature_k : array
        Broadcast of the arguments. [K]

    Equation
    --------
    sump_temperature_k + temperature_rise_k

    Source
    ------
    own-computation, definition

    Examples
    --------
    >>> round(float(film_temperature(378.15, 20.0)), 2)
    398.15
    """
    return sump_temperature_k + temperature_rise_k


@valid(
    viscosity_40_m2_s=(1e-5, 5e-4),
    viscosity_100_m2_s=(3e-6, 5e-5),
    temperature_k=(313.15, 473.15),
    density_15_kg_m3=(750.0, 1000.0),
    expansion_per_k=(4e-4, 1e-3),
    high_shear_viscosity_pa_s=(1e-3, 1.2e-2),
)
def film_viscosity(
    viscosity_40_m2_s: Array,
    viscosity_100_m2_s: Array,
    temperature_k: Array,
    density_15_kg_m3: Array,
    expansion_per_k: Array,
    high_shear_viscosity_pa_s: Array,
) -> Array:
    """Dynamic viscosity of oil in a bearing's film, with what high shear takes of it for the time being.

    The share lost is that at 150 degC and a million a second, where grades are tested; at other temperatures it
    is taken as the same.  What film pressure adds is left out.

    Parameters
    ----------
    viscosity_40_m2_s : array
        Kinematic, at 40 degC. [m^2/s] Valid 1e-5 to 5e-4.
    viscosity_100_m2_s : array
        Kinematic, at 100 degC. [m^2/s] Valid 3e-6 to 5e-5.
    temperature_k : array
        Of the film. [K] Valid 313.15 to 473.15.
    density_15_kg_m3 : array
        At 15 degC. [kg/m^3] Valid 750 to 1000.
    expansion_per_k : array
        Of the oil's volume. [1/K] Valid 4e-4 to 1e-3.
    high_shear_viscosity_pa_s : array
        Dynamic, at 150 degC and a million a second. [Pa*s] Valid 1e-3 to 1.2e-2.

    Returns
    -------
    film_viscosity_pa_s : array
        Broadcast of the arguments. [Pa*s]

    Equation
    --------
    cold = log10(log10(viscosity_40_m2_s * 1e6 + 0.7))
    hot = log10(log10(viscosity_100_m2_s * 1e6 + 0.7))
    share = log10(temperature_k / 313.15) / log10(373.15 / 313.15)
    tested_share = log10(423.15 / 313.15) / log10(373.15 / 313.15)
    kinematic = 1e-6 * (10**(10**(cold + (hot - cold) * share)) - 0.7)
    kinematic_tested = 1e-6 * (10**(10**(cold + (hot - cold) * tested_share)) - 0.7)
    dynamic = kinematic * density_15_kg_m3 / (1 + expansion_per_k * (temperature_k - 288.15))
    dynamic_tested = kinematic_tested * density_15_kg_m3 / (1 + expansion_per_k * (423.15 - 288.15))
    dynamic * min(1, high_shear_viscosity_pa_s / dynamic_tested)

    Source
    ------
    astm-d341; sae-j300; the share carried from 150 degC is common practice

    Examples
    --------
    >>> round(float(film_viscosity(85e-6, 14e-6, 398.15, 855.0, 7e-4, 3.6e-3)) * 1e3, 2)
    5.43
    """

    def dynamic(at_k: Array) -> Array:
        density = density_15_kg_m3 / (1.0 + expansion_per_k * (at_k - 288.15))
        return kinematic_viscosity(viscosity_40_m2_s, viscosity_100_m2_s, at_k) * density

    return dynamic(temperature_k) * np.minimum(1.0, high_shear_viscosity_pa_s / dynamic(_SHEARED))
