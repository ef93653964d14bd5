"""The build file, as frozen models: every key, its kind, and the bounds that no real engine leaves.

Bounds are SI and come from memory unless a comment says otherwise; they catch slips of the pen (a unit, a
decimal point), not unusual engines.
"""
# Annotations are not put off here: pydantic asks for every one of them, and as text each would be compiled on import.

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr

from enginelimits.description.fields import Choice, OrNone, Several, Text, ThreadText
from enginelimits.description.nodes import Table
from enginelimits.description.physical import (
    ENGINE_SPEED,
    BySpeed,
    Count,
    Octane,
    Physical,
    Ratio,
    Share,
    YesNo,
)
from enginelimits.description.values import Chance, Curve, Value

Speed = ENGINE_SPEED
Name = Text("a name of small letters, digits and hyphens", r"[a-z0-9][a-z0-9-]*", 60)
Words = Text()
Strength = Text("a property class such as `10.9` or `grade-8`", r"\d{1,2}\.\d|grade-\d", 10)
Power = Physical("power", 1e3, 3e6, "180 hp")
Torque = Physical("torque", 1.0, 1e4, "210 N*m")
Gauge = Physical("pressure", 0.0, 4e5, "10 psi", "gauge")  # as far as the formulas of the air path reach
Drop = Physical("pressure", 0.0, 1e5, "2.5 kPa", "difference")
Air = Physical("temperature", 223.15, 343.15, "25 degC")
Height = Physical("length", -500.0, 5000.0, "200 m")  # as far as boost control is described
CompressionRatio = Ratio("number", 4.0, 20.0, "11.0")
IntakeClosing = Physical("angle", 0.0, 2.1, "50 deg")
SeatLoad = Physical("force", 10.0, 3000.0, "190 N")
Preload = Physical("force", 1e3, 4e5, "30 kN")
Wheel = Physical("length", 0.015, 0.3, "48 mm")
Injection = Physical("volume flow", 1e-7, 2e-4, "630 cc/min", pounds=True)
Voltage = Physical("voltage", 6.0, 30.0, "13.5 V")
SparkAngle = Physical("angle", -0.7, 1.3, "12 deg")
Lambda = Ratio("number", 0.5, 1.5, "0.80")
Gap = Physical("length", 2e-5, 3e-3, "0.25 mm")
Efficiency = Ratio("number", 0.2, 0.95, "0.72")

Dyno = Choice(("load-controlled", "inertia", "hub"))
Correction = Choice(("none", "SAE J1349", "J607", "DIN 70020", "ISO 1585"))
At = Choice(("wheels", "crank"))

YesOrNo = bool | Chance | None
BySpeedValue = Value | Curve | None


class Part(BaseModel):
    """Any mapping of the file: unknown keys are refused, nothing changes after reading."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Goal(Part):
    power: Annotated[Value | None, Power] = None
    at: Annotated[str | None, At] = None
    dyno: Annotated[str | None, Dyno] = None
    correction: Annotated[str | None, Correction] = None
    torque: Annotated[Value | None, Torque] = None
    use: Annotated[str | None, Choice(("street", "spirited", "track", "drag"))] = None


class Baseline(Part):
    power: Annotated[Value | None, Power] = None
    at: Annotated[str | None, At] = None
    dyno: Annotated[str | None, Dyno] = None
    correction: Annotated[str | None, Correction] = None
    torque: Annotated[Value | None, Torque] = None


class Site(Part):
    altitude: Annotated[Value | None, Height] = None
    air_temperature: Annotated[Value | None, Air] = None
    relative_humidity: Annotated[Value | None, Share()] = None
    hot_day_temperature: Annotated[Value | None, Air] = None
    calibrated_altitude: Annotated[Value | None, Height] = None
    calibrated_temperature: Annotated[Value | None, Air] = None


class Standard(Part):
    # The engine as its maker built it.
    compression_ratio: Annotated[Value | None, CompressionRatio] = None
    redline: Annotated[Value | None, Speed] = None
    limiter: Annotated[Value | None, Speed] = None
    piston_and_pin_mass: Annotated[Value | None, Physical("mass", 0.05, 6.0, "410 g")] = None
    intake_closing: Annotated[Value | None, IntakeClosing] = None


class RatedPower(Part):
    value: Annotated[Value, Power]
    at: Annotated[Value, Speed]


class RatedTorque(Part):
    value: Annotated[Value, Torque]
    at: Annotated[Value, Speed]


class StandardFuel(Part):
    octane: Annotated[Value | None, Octane(such_as="95 RON")] = None
    is_: Annotated[str | None, Choice(("minimum", "recommended")), Field(alias="is")] = None


class StandardOutput(Part):
    # The maker's full-load figures.
    power: RatedPower | None = None
    torque: RatedTorque | None = None
    rating: Annotated[str | None, Choice(("ISO 1585", "SAE J1349", "DIN 70020", "gross"))] = None
    fuel: StandardFuel | None = None


class Engine(Part):
    family: Annotated[str | None, Words] = None
    layout: Annotated[str | None, Choice(("inline", "vee", "opposed"))] = None
    cylinders: Annotated[Value, Count(1, 16)]
    valves_per_cylinder: Annotated[Value | None, Count(2, 5)] = None
    bore: Annotated[Value, Physical("length", 0.03, 0.3, "83 mm")]
    stroke: Annotated[Value, Physical("length", 0.02, 0.3, "85 mm")]
    rod_length: Annotated[Value | None, Physical("length", 0.03, 0.7, "139 mm")] = None
    pin_offset: Annotated[Value | None, Physical("length", -0.01, 0.01, "0 mm")] = None
    compression_ratio: Annotated[Value, CompressionRatio]
    intake_closing: Annotated[Value | None, IntakeClosing] = None
    exhaust_opening: Annotated[Value | None, Physical("angle", 0.0, 2.1, "50 deg")] = None
    redline: Annotated[Value, Speed]
    limiter: Annotated[Value | None, Speed] = None
    block_deck: Annotated[str | None, Choice(("open", "semi-closed", "closed"))] = None
    case: Annotated[str | None, Choice(("one-piece", "split"))] = None
    injection: Annotated[str | None, Choice(("port", "direct", "port-and-direct"))] = None
    built_for_boost: Annotated[YesOrNo, YesNo()] = None
    damper: Annotated[str | None, Choice(("standard", "uprated", "removed"))] = None
    oil_pump_rotor: Annotated[str | None, Choice(("sintered", "steel"))] = None
    standard: Standard | None = None
    standard_output: StandardOutput | None = None


class SecondMoments(Part):
    """Of the smallest shank section: bending in the plane of motion, and across it."""

    plane: Annotated[Value | None, Physical("second moment of area", 1e-12, 1e-6, "4200 mm^4")] = None
    across: Annotated[Value | None, Physical("second moment of area", 1e-12, 1e-6, "1500 mm^4")] = None


class Classed(Part):
    """A part that a class can complete."""

    class_: Annotated[str | None, Name, Field(alias="class")] = None


class Rods(Classed):
    mass: Annotated[Value | None, Physical("mass", 0.05, 6.0, "480 g")] = None
    big_end_mass: Annotated[Value | None, Physical("mass", 0.03, 5.0, "340 g")] = None
    shank_area: Annotated[Value | None, Physical("area", 1e-5, 3e-3, "140 mm^2")] = None
    second_moments: SecondMoments | None = None
    material: Annotated[str | None, Name] = None


class RodBolts(Classed):
    thread: Annotated[str | None, ThreadText()] = None
    property_class: Annotated[str | None, Strength] = None
    count: Annotated[Value | None, Count(1, 4)] = None
    preload: Annotated[Value | None, Preload] = None
    tightening: Annotated[str | None, Choice(("torque", "angle", "stretch"))] = None
    grip: Annotated[Value | None, Physical("length", 0.005, 0.15, "40 mm")] = None
    reused: Annotated[YesOrNo, YesNo()] = None


class Pistons(Classed):
    mass: Annotated[Value | None, Physical("mass", 0.04, 5.0, "310 g")] = None
    top_ring_gap: Annotated[Value | None, Gap] = None
    second_ring_gap: Annotated[Value | None, Gap] = None
    land_height: Annotated[Value | None, Physical("length", 1e-3, 0.03, "4.5 mm")] = None
    crown_thickness: Annotated[Value | None, Physical("length", 1e-3, 0.05, "6 mm")] = None
    skirt_clearance: Annotated[Value | None, Physical("length", 1e-6, 1e-3, "0.03 mm")] = None
    oil_jets: Annotated[YesOrNo, YesNo()] = None


class Pins(Classed):
    outer_diameter: Annotated[Value | None, Physical("length", 0.008, 0.08, "20 mm")] = None
    inner_diameter: Annotated[Value | None, Physical("length", 0.0, 0.07, "12 mm")] = None
    length: Annotated[Value | None, Physical("length", 0.02, 0.2, "55 mm")] = None
    mass: Annotated[Value | None, Physical("mass", 0.01, 2.0, "90 g")] = None
    small_end_width: Annotated[Value | None, Physical("length", 0.005, 0.1, "21 mm")] = None
    boss_length: Annotated[Value | None, Physical("length", 0.003, 0.08, "15 mm")] = None


class Bearings(Classed):
    big_end_diameter: Annotated[Value | None, Physical("length", 0.02, 0.15, "45 mm")] = None
    big_end_width: Annotated[Value | None, Physical("length", 0.005, 0.1, "18 mm")] = None
    clearance: Annotated[Value | None, Physical("length", 5e-6, 5e-4, "0.045 mm")] = None
    main_diameter: Annotated[Value | None, Physical("length", 0.02, 0.2, "52 mm")] = None
    main_width: Annotated[Value | None, Physical("length", 0.005, 0.1, "19 mm")] = None


class Head(Classed):
    fasteners: Annotated[Value | None, Count(3, 100)] = None
    thread: Annotated[str | None, ThreadText()] = None
    property_class: Annotated[str | None, Strength] = None
    preload: Annotated[Value | None, Preload] = None
    gasket: Annotated[str | None, Choice(("multi-layer-steel", "composite", "solid-copper", "fire-ring"))] = None
    reused: Annotated[YesOrNo, YesNo()] = None


class Valves(Classed):
    intake_diameter: Annotated[Value | None, Physical("length", 0.01, 0.1, "32 mm")] = None
    exhaust_diameter: Annotated[Value | None, Physical("length", 0.01, 0.1, "27 mm")] = None
    intake_seat_load: Annotated[Value | None, SeatLoad] = None
    exhaust_seat_load: Annotated[Value | None, SeatLoad] = None
    float_speed: Annotated[Value | None, Speed] = None


class Condition(Part):
    # Health: measured or unknown; nothing else may stand in for it.
    leak_down: Annotated[tuple[Value, ...] | None, Several(Share(such_as="4 %"))] = None
    compression: Annotated[
        tuple[Value, ...] | None, Several(Physical("pressure", 0.0, 4e6, "13.1 bar", "gauge"))
    ] = None
    distance: Annotated[Value | None, Physical("length", 0.0, 3e9, "84000 km")] = None


class Internals(Part):
    rods: Rods | None = None
    rod_bolts: RodBolts | None = None
    pistons: Pistons | None = None
    pins: Pins | None = None
    bearings: Bearings | None = None
    head: Head | None = None
    valves: Valves | None = None
    condition: Condition | None = None


class History(Part):
    knock_events: Annotated[str | None, Choice(("none", "some", "many"))] = None
    overheated: Annotated[YesOrNo, YesNo()] = None
    oil_pressure_lost: Annotated[YesOrNo, YesNo()] = None
    deposits: Annotated[str | None, Choice(("none", "light", "heavy"))] = None


class Control(Part):
    kind: Annotated[str | None, Choice(("spring", "open-loop", "closed-loop"))] = None
    holds: Annotated[str | None, Choice(("gauge", "absolute"))] = None


class Compressor(Classed):
    inducer: Annotated[Value | None, Wheel] = None
    exducer: Annotated[Value | None, Wheel] = None
    efficiency: Annotated[Value | None, Efficiency] = None
    map: Annotated[str | None, Text("the name of a map file")] = None
    speed_limit: Annotated[Value | None, Physical("speed", 100.0, 900.0, "530 m/s")] = None


class Turbine(Classed):
    inducer: Annotated[Value | None, Wheel] = None
    exducer: Annotated[Value | None, Wheel] = None
    housing_ratio: Annotated[Value | None, Ratio("number", 0.05, 3.0, "0.64")] = None
    swallowing: Annotated[Value | None, Physical("mass flow", 0.003, 3.0, "0.14 kg/s")] = None
    efficiency: Annotated[Value | None, Efficiency] = None


class Wastegate(Part):
    kind: Annotated[str | None, Choice(("internal", "external"))] = None
    spring: Annotated[Value | None, Gauge] = None
    diameter: Annotated[Value | None, Physical("length", 0.01, 0.12, "38 mm")] = None


class Supercharger(Classed):
    drive_ratio: Annotated[Value | None, Ratio("number", 0.3, 50.0, "3.2")] = None
    displacement_per_rev: Annotated[Value | None, Physical("volume", 5e-5, 0.02, "0.9 L")] = None
    belt_ribs: Annotated[Value | None, Count(2, 30)] = None
    belt_wrap: Annotated[Value | None, Physical("angle", 0.3, 6.0, "150 deg")] = None


class Intercooler(Classed):
    effectiveness: Annotated[Value | None, Ratio("number", 0.0, 1.0, "0.7")] = None
    pressure_drop: Annotated[Value | None, Drop] = None


class Losses(Part):
    filter: Annotated[Value | None, Drop] = None
    after_turbine: Annotated[Value | None, Drop] = None


class BoostOil(Part):
    bearing: Annotated[str | None, Choice(("ball", "journal"))] = None
    feed_pressure: Annotated[Value | None, Physical("pressure", 0.0, 1.5e6, "4 bar", "gauge")] = None
    restrictor: Annotated[YesOrNo, YesNo()] = None
    drain_diameter: Annotated[Value | None, Physical("length", 0.003, 0.06, "19 mm")] = None


class ForcedInduction(Part):
    kind: Annotated[str | None, Choice(("none", "turbocharger", "centrifugal", "positive-displacement"))] = None
    count: Annotated[Value | None, Count(1, 4)] = None
    boost: Annotated[BySpeedValue, BySpeed(Gauge)] = None
    control: Control | None = None
    compressor: Compressor | None = None
    turbine: Turbine | None = None
    wastegate: Wastegate | None = None
    supercharger: Supercharger | None = None
    intercooler: Annotated[Intercooler | Literal["none"] | None, OrNone()] = None
    losses: Losses | None = None
    oil: BoostOil | None = None


class Fuel(Classed):
    octane: Annotated[Value | None, Octane()] = None
    motor_octane: Annotated[Value | None, Octane(such_as="87 MON", scales=("MON",))] = None
    gasoline_ethanol: Annotated[Value | None, Share(such_as="10 %")] = None
    ethanol: Annotated[Value | None, Share(such_as="30 %")] = None
    methanol: Annotated[Value | None, Share(such_as="5 %")] = None
    blend_octane: Annotated[Value | None, Octane(such_as="101 RON")] = None
    lambda_target: Annotated[Value | None, Lambda] = None


class PortInjectors(Part):
    count: Annotated[Value | None, Count(1, 32)] = None
    flow: Annotated[Value | None, Injection] = None
    rated_at: Annotated[Value | None, Physical("pressure", 5e4, 2e6, "3 bar", "difference")] = None
    dead_time: Annotated[Value | None, Physical("time", 0.0, 5e-3, "1.0 ms")] = None


class DirectInjection(Part):
    rail_pressure: Annotated[Value | None, Physical("pressure", 1e6, 1e8, "150 bar", "gauge")] = None
    flow: Annotated[Value | None, Injection] = None
    rated_at: Annotated[Value | None, Physical("pressure", 1e6, 1e8, "100 bar", "difference")] = None
    share: Annotated[Value | None, Share(such_as="40 %")] = None
    window: Annotated[Value | None, Physical("angle", 0.3, 7.0, "220 deg")] = None
    pump_delivery: Annotated[Value | None, Physical("volume", 1e-9, 1e-5, "250 mm^3")] = None  # a crank revolution


class LiftPump(Part):
    flow: Annotated[Value | None, Physical("volume flow", 1e-6, 1e-3, "255 L/h", pounds=True)] = None
    at: Annotated[Value | None, Physical("pressure", 0.0, 2e6, "4 bar", "gauge")] = None
    voltage: Annotated[Value | None, Voltage] = None


class EthanolSensor(Part):
    fitted: Annotated[YesOrNo, YesNo()] = None
    on_failure: Annotated[str | None, Choice(("low-ethanol", "high-ethanol", "last-value"))] = None


class FuelSystem(Part):
    port_injectors: PortInjectors | None = None
    direct_injection: DirectInjection | None = None
    base_pressure: Annotated[Value | None, Physical("pressure", 5e4, 2e6, "3 bar", "difference")] = None
    lift_pump: LiftPump | None = None
    system_voltage: Annotated[Value | None, Voltage] = None
    regulator: Annotated[str | None, Choice(("boost-referenced", "fixed"))] = None
    ethanol_sensor: EthanolSensor | None = None
    compatible_ethanol: Annotated[Value | None, Share(such_as="85 %")] = None
    surge_pot: Annotated[YesOrNo, YesNo()] = None
    auxiliary_injection: Annotated[str | None, Choice(("none", "water", "water-alcohol", "alcohol"))] = None


class Ignition(Part):
    plug_gap: Annotated[Value | None, Physical("length", 1e-4, 3e-3, "0.7 mm")] = None
    heat_steps_colder: Annotated[Value | None, Count(-3, 6)] = None
    timing: Annotated[BySpeedValue, BySpeed(SparkAngle)] = None
    spark_reserve: Annotated[Value | None, Physical("angle", 0.0, 0.5, "2 deg")] = None
    knock_control: Annotated[str | None, Choice(("active", "inactive", "none"))] = None


class KnockPoint(Part):
    """One point at which this engine, on this fuel, was found to be at its knock limit."""

    speed: Annotated[Value, Speed]
    boost: Annotated[Value, Gauge]
    charge_temperature: Annotated[Value, Physical("temperature", 223.15, 473.15, "45 degC")]
    lambda_: Annotated[Value, Lambda, Field(alias="lambda")]
    timing: Annotated[Value, SparkAngle]


class Anchors(Part):
    knock: tuple[KnockPoint, ...] | None = Field(default=None, max_length=64)


class Sensors(Part):
    manifold_pressure_range: Annotated[Value | None, Physical("pressure", 5e4, 1.5e6, "2.5 bar", "absolute")] = None
    air_meter_range: Annotated[Value | None, Physical("mass flow", 0.01, 3.0, "250 g/s")] = None


class Radiator(Part):
    heat: Annotated[Value | None, Physical("power", 1e3, 1e6, "60 kW")] = None
    at_difference: Annotated[Value | None, Physical("temperature difference", 1.0, 150.0, "60 K")] = None
    road_speed: Annotated[Value | None, Physical("speed", 0.0, 120.0, "100 km/h")] = None


class Cooling(Part):
    oil_cooler: Annotated[YesOrNo, YesNo()] = None
    radiator_capacity: Radiator | None = None
    coolant_cap: Annotated[Value | None, Physical("pressure", 0.0, 4e5, "1.1 bar", "gauge")] = None
    coolant_glycol: Annotated[Value | None, Share(such_as="50 %")] = None


class Oil(Part):
    grade: Annotated[str | None, Text("a viscosity grade such as `5W-40`", r"(\d{1,2}W-?)?\d{1,2}", 8)] = None
    category: Annotated[str | None, Words] = None
    sump: Annotated[str | None, Choice(("standard", "baffled", "accumulator", "dry"))] = None
    breather: Annotated[str | None, Choice(("standard", "enlarged"))] = None


class DrivelineLoss(Part):
    fixed: Annotated[Value | None, Physical("power", 0.0, 1e5, "6 kW")] = None
    proportional: Annotated[Value | None, Share("number", 0.0, 0.6, "9 %")] = None


class Driveline(Classed):
    drive: Annotated[str | None, Choice(("rear", "front", "all"))] = None
    gearbox: Annotated[str | None, Choice(("manual", "automatic", "dual-clutch", "sequential"))] = None
    clutch_capacity: Annotated[Value | None, Torque] = None
    gearbox_rating: Annotated[Value | None, Torque] = None
    axles: Annotated[str | None, Choice(("standard", "uprated"))] = None
    loss: DrivelineLoss | None = None


class Vehicle(Part):
    mass: Annotated[Value | None, Physical("mass", 50.0, 2e4, "1240 kg")] = None
    tyre: Annotated[str | None, Choice(("road", "semi-slick", "slick"))] = None
    lateral_acceleration: Annotated[Value | None, Physical("acceleration", 0.5, 60.0, "1.0 g")] = None
    road_registered: Annotated[YesOrNo, YesNo()] = None


class Approvals(Part):
    emissions: Annotated[str | None, Choice(("granted", "pending", "refused", "not-needed"))] = None


PROTECTIONS = (
    "overboost",
    "lambda",
    "fuel_pressure",
    "oil_pressure",
    "charge_temperature",
    "coolant_temperature",
    "oil_temperature",
    "exhaust_temperature",
    "knock",
    "ethanol_content",
)


class Build(Part):
    """One build file.  Only what it states; what is missing is filled elsewhere."""

    build: Annotated[str, Text("a name for the build")]
    calibration: Annotated[str | None, Text("`none` or the name of a calibration file")] = None
    goal: Goal | None = None
    baseline: Baseline | None = None
    site: Site | None = None
    engine: Engine
    internals: Internals | None = None
    history: History | None = None
    forced_induction: ForcedInduction | None = None
    fuel: Fuel | None = None
    fuel_system: FuelSystem | None = None
    ignition: Ignition | None = None
    anchors: Anchors | None = None
    sensors: Sensors | None = None
    cooling: Cooling | None = None
    oil: Oil | None = None
    driveline: Driveline | None = None
    vehicle: Vehicle | None = None
    protections: Annotated[tuple[str, ...] | None, Several(Choice(PROTECTIONS), none=True)] = None
    approvals: Approvals | None = None

    # The written tree, so that edits compose; and the build as it was read, before any edit.
    _tree: Table = PrivateAttr(default_factory=lambda: Table({}))
    _file: str = PrivateAttr(default="")
    _as_read: Any = PrivateAttr(default=None)

    @property
    def tree(self) -> Table:
        """What was written, with places."""
        return self._tree

    @property
    def file(self) -> str:
        """Where it was written."""
        return self._file

    @property
    def as_read(self) -> "Build":
        """The build before any edit."""
        before = self._as_read
        return before if isinstance(before, Build) else self

    def __eq__(self, other: object) -> bool:
        """Equal when they state the same; where it was written does not matter."""
        if not isinstance(other, Build):
            return NotImplemented
        return self.__dict__ == other.__dict__

    def __hash__(self) -> int:
        return hash(tuple(self.__dict__.values()))
