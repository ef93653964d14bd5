"""The unit that the end of an argument's name stands for."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

SUFFIXES: Mapping[str, str] = MappingProxyType(
    {
        "m": "m",
        "m2": "m^2",
        "m3": "m^3",
        "m4": "m^4",
        "s": "s",
        "kg": "kg",
        "k": "K",
        "rad": "rad",
        "n": "N",
        "pa": "Pa",
        "nm": "N*m",
        "j": "J",
        "w": "W",
        "v": "V",
        "m_s": "m/s",
        "m_s2": "m/s^2",
        "rad_s": "rad/s",
        "kg_s": "kg/s",
        "m2_s": "m^2/s",
        "m3_s": "m^3/s",
        "kg_m3": "kg/m^3",
        "m3_kg": "m^3/kg",
        "kg_mol": "kg/mol",
        "kg_j": "kg/J",
        "j_kg": "J/kg",
        "j_kgk": "J/(kg*K)",
        "n_m": "N/m",
        "pa_s": "Pa*s",
        "pa_s_m": "Pa*s/m",
        "w_k": "W/K",
        "w_m2": "W/m^2",
        "w_m3": "W/m^3",
        "w_m2k": "W/(m^2*K)",
        "w_mk": "W/(m*K)",
        "per_k": "1/K",
        "per_pa": "1/Pa",
    }
)

_LONGEST_FIRST = sorted(SUFFIXES, key=len, reverse=True)


def unit_of_argument(name: str) -> str:
    """SI unit that an argument's name ends in; "1" when it ends in none.

    >>> unit_of_argument("mass_flow_kg_s"), unit_of_argument("torque_nm"), unit_of_argument("stiffness_n_m")
    ('kg/s', 'N*m', 'N/m')
    >>> unit_of_argument("compression_ratio")
    '1'
    """
    for suffix in _LONGEST_FIRST:
        if name.endswith("_" + suffix):
            return SUFFIXES[suffix]
    return "1"
