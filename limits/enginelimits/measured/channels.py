"""The channels that a log may hold: our names, SI units and what they mean."""

from __future__ import annotations

from typing import NamedTuple


class ChannelKind(NamedTuple):
    """A channel by our name.  ``pressure`` is gauge (to the site barometer), absolute or a difference."""

    name: str
    unit: str
    meaning: str
    pressure: str = ""


_KINDS = (
    ChannelKind("time", "s", "time of the row"),
    ChannelKind("engine_speed", "rad/s", "crankshaft speed"),
    ChannelKind("throttle", "1", "throttle opening, 1 is full"),
    ChannelKind("pedal", "1", "accelerator, 1 is full"),
    ChannelKind("gear", "1", "gear engaged"),
    ChannelKind("road_speed", "m/s", "of the car or the roller's surface"),
    ChannelKind("roller_speed", "rad/s", "of the roller or hub"),
    ChannelKind("roller_torque", "N*m", "at the roller or hub"),
    ChannelKind("wheel_torque", "N*m", "as displayed, referred to engine speed"),
    ChannelKind("wheel_power", "W", "as displayed"),
    ChannelKind("manifold_pressure", "Pa", "in the intake manifold", "absolute"),
    ChannelKind("boost", "Pa", "in the intake manifold", "gauge"),
    ChannelKind("boost_target", "Pa", "what the controller asks for", "gauge"),
    ChannelKind("barometer", "Pa", "of the site", "absolute"),
    ChannelKind("exhaust_pressure", "Pa", "before the turbine", "gauge"),
    ChannelKind("boost_control_duty", "1", "of the control valve"),
    ChannelKind("turbocharger_speed", "rad/s", "of the shaft"),
    ChannelKind("air_mass_flow", "kg/s", "as the air meter reads it"),
    ChannelKind("air_temperature", "K", "at the inlet, before compression"),
    ChannelKind("charge_temperature", "K", "in the manifold"),
    ChannelKind("coolant_temperature", "K", ""),
    ChannelKind("oil_temperature", "K", ""),
    ChannelKind("oil_pressure", "Pa", "in the gallery", "gauge"),
    ChannelKind("exhaust_temperature", "K", "before the turbine"),
    ChannelKind("lambda", "1", "air over what the fuel needs"),
    ChannelKind("lambda_second", "1", "of a second sensor"),
    ChannelKind("lambda_target", "1", "what the controller asks for"),
    ChannelKind("fuel_pressure", "Pa", "before the port injectors", "gauge"),
    ChannelKind("rail_pressure", "Pa", "of direct injection", "gauge"),
    ChannelKind("rail_pressure_target", "Pa", "what the controller asks for", "gauge"),
    ChannelKind("injector_duty", "1", "of the port injectors, dead time included"),
    ChannelKind("injector_time", "s", "pulse of the port injectors, dead time included"),
    ChannelKind("ethanol", "1", "content of the fuel by volume"),
    ChannelKind("ignition_angle", "rad", "before top dead centre"),
    ChannelKind("knock_retard", "rad", "taken out for knock, worst cylinder"),
    *(ChannelKind(f"knock_retard_{n}", "rad", f"taken out for knock, cylinder {n}") for n in range(1, 13)),
    ChannelKind("crankcase_pressure", "Pa", "", "gauge"),
    ChannelKind("voltage", "V", "of the system"),
    ChannelKind("misfire_share", "1", "of the firings, as the control counts them"),
    ChannelKind("catalyst_temperature", "K", "in the brick"),
    ChannelKind("cam_phase", "rad", "of the intake camshaft"),
    ChannelKind("cam_phase_target", "rad", "what the controller asks for"),
    ChannelKind("air_humidity", "1", "relative, of the site"),
)
CHANNELS: dict[str, ChannelKind] = {kind.name: kind for kind in _KINDS}
