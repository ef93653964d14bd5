"""Constants of nature and of the standards, SI."""

from __future__ import annotations

from typing import Final

STANDARD_GRAVITY: Final = 9.80665
"""Standard acceleration of free fall, exact. [m/s^2]  (bipm-si-2019)"""

GAS_CONSTANT: Final = 8.314462618
"""Molar gas constant. [J/(mol*K)]  (codata-2018)"""

AIR_MOLAR_MASS: Final = 0.0289644
"""Dry air of the standard atmosphere. [kg/mol]  (iso-2533)"""

AIR_GAS_CONSTANT: Final = 287.05287
"""Specific gas constant of dry air. [J/(kg*K)]  (iso-2533)"""

WATER_MOLAR_MASS: Final = 0.018015268
"""Water. [kg/mol]  (memory)"""

STANDARD_PRESSURE: Final = 101325.0
"""Sea level of the standard atmosphere, exact. [Pa]  (iso-2533)"""

STANDARD_TEMPERATURE: Final = 288.15
"""Sea level of the standard atmosphere, exact. [K]  (iso-2533)"""

STANDARD_LAPSE_RATE: Final = 0.0065
"""Fall of temperature with height in the troposphere, exact. [K/m]  (iso-2533)"""

ZERO_CELSIUS: Final = 273.15
"""0 degC, exact. [K]  (bipm-si-2019)"""

STEFAN_BOLTZMANN: Final = 5.670374419e-8
"""Radiation constant. [W/(m^2*K^4)]  (codata-2018)"""

METRIC_THREAD_DEPTH: Final = 0.938194
"""What a metric thread takes off its diameter where it carries tension, over its pitch.  (iso-898-1)"""

INCH_THREAD_DEPTH: Final = 0.974279
"""The same of a unified inch thread, whose core is taken to a flat root: 9 sqrt(3) / 16.  (asme-b1-1)"""

FUEL_PER_POUND_AN_HOUR: Final = 10.5e-6 / 60.0
"""Volume flow that the trade reads into 1 lb/h of an injector: 10.5 cc/min. [m^3/s]  (common-practice)"""
