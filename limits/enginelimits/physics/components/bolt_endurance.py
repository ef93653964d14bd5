"""Endurance of a tightened thread: what its amplitude may be hardly depends on how hard it is tightened."""

from __future__ import annotations

from enginelimits.physics.components.fastener import bolt_load
from enginelimits.physics.numerics.arrays import Array
from enginelimits.physics.numerics.validity import valid


@valid(
    preload_n=(0.0, 500e3),
    opening_load_n=(0.0, 500e3),
    bolts=(1.0, 4.0),
    joint_share=(0.0, 0.99),
    stress_area_m2=(1e-6, 1e-3),
    endurance_amplitude_pa=(10e6, 300e6),
)
def thread_endurance_margin(
    preload_n: Array,
    opening_load_n: Array,
    bolts: Array,
    joint_share: Array,
    stress_area_m2: Array,
    endurance_amplitude_pa: Array,
) -> Array:
    """Endurance amplitude of the thread over the amplitude that the coming and going load gives it.

    VDI 2230 gives the endurance of a tightened bolt as an amplitude that holds for any preload between 20 and
    80 % of the proof load and beyond, so that no line to ultimate strength is drawn a second time.  While the joint
    is closed the bolt feels a share of the load; once it opens, all that goes beyond the clamp, and the margin falls.

    Parameters
    ----------
    preload_n : array
        Clamp of one bolt. [N] Valid 0 to 500e3.
    opening_load_n : array
        Greatest load that opens the joint, all bolts together; it returns to nil each turn. [N] Valid 0 to 500e3.
    bolts : array
        Bolts that share it. [1] Valid 1 to 4.
    joint_share : array
        Part of an outside load that the bolt takes while the joint is closed. [1] Valid 0 to 0.99.
    stress_area_m2 : array
        Of the thread. [m^2] Valid 1e-6 to 1e-3.
    endurance_amplitude_pa : array
        Of the thread. [Pa] Valid 10e6 to 300e6.

    Returns
    -------
    margin : array
        Broadcast of the arguments; without load it is infinite. [1]

    Equation
    --------
    load_each = opening_load_n / bolts
    peak = max(preload_n + joint_share * load_each, load_each)
    amplitude = (peak - preload_n) / (2 * stress_area_m2)
    endurance_amplitude_pa / amplitude

    Source
    ------
    vdi-2230, section 5.5.3, and full load after opening: own-computation

    Examples
    --------
    >>> round(float(thread_endurance_margin(30e3, 20e3, 2, 0.2, 39.17e-6, 53e6)), 2)
    2.08
    >>> round(float(thread_endurance_margin(30e3, 80e3, 2, 0.2, 39.17e-6, 53e6)), 2)  # open beyond 75 kN
    0.42
    """
    peak = bolt_load(preload_n, opening_load_n / bolts, joint_share)
    return endurance_amplitude_pa * 2.0 * stress_area_m2 / (peak - preload_n)
