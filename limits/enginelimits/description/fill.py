"""What a build file leaves out, filled from classes: each value with its range, its basis and its source.

A stated value is never touched; the health of the engine, its history and the goal are never filled.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from math import hypot, pi
from typing import TYPE_CHECKING

from enginelimits.description.calibrated_inputs import settled, take_calibration
from enginelimits.description.contents import ethanol_contents
from enginelimits.description.filled import Filled, Input, Scalar, told_at_its_place
from enginelimits.description.pin_mass import mass_by_size
from enginelimits.description.stated import STATED, floor_of, stated_input
from enginelimits.description.together import Band, Partner, tied
from enginelimits.description.values import Value, thread
from enginelimits.errors import InputError, Problem
from enginelimits.reference.catalogue import Condition, Entry, Kind, ReferenceClass, Tie, kind, named_class

if TYPE_CHECKING:
    from enginelimits.description.models import Build
    from enginelimits.shop import Shop

COPIED = "copied from "
NEVER_FILLED = ("internals.condition", "history", "goal", "baseline", "approvals", "protections", "anchors")

# Later kinds scale with what earlier ones filled.
_ORDER = (
    *("sites", "inductions", "ratings", "engines"),
    *("rods", "rod_bolts", "tightenings", "pistons", "pins", "bearings", "heads", "gaskets", "valves"),
    *("compressors", "wastegates", "turbines", "superchargers", "intercoolers", "boost_onsets", "tanks", "fuels"),
    *("fuel_systems", "frictions", "volumetric_efficiencies", "combustion", "walls", "charges", "ignitions"),
    *("knocks", "exhausts", "preignitions", "protections"),
    *("coolings", "lubrications", "sumps", "crankcases", "duties", "oils"),
    *("drivelines", "clutches"),
    *("axles", "uses", "dynos", "vehicles"),
)

# As the maker built it: where the file does not say, as the file was read.
_STANDARD = ("compression_ratio", "redline", "limiter", "intake_closing")
_RESEARCH_FROM_PUMP = "class.tank.research_over_pump_octane"


@told_at_its_place
def filled(build: Build, *, shop: Shop | None = None, calibrated: bool = True) -> Filled:
    """The build with every input that the computation may use, by path.

    ``calibrated`` lets the shop's calibration of the engine family take the place of classes and maker's figures.
    Raises InputError when a part names a class, a material or a calibration that does not exist.
    """
    from enginelimits.description.calibration import calibration_for
    from enginelimits.description.models import PROTECTIONS
    from enginelimits.description.paths import flattened

    stated = {path: stated_input(path, value) for path, value in flattened(build).items()}
    if build.protections is not None:
        # A list of what is there says of everything else that it is not.
        for name in PROTECTIONS:
            path = f"protections.{name}"
            stated[path] = Input(path, name in build.protections, basis="documented", source=STATED)
    filling = _Filling(stated)
    if build.as_read is not build:
        # Edits change the engine, never what it was before: its standard is that of the file as read.
        before = _Filling({path: stated_input(path, value) for path, value in flattened(build.as_read).items()})
        for name in ("engines", "pistons", "pins"):
            before.apply(kind(name), shop)
        filling.take_standard(before)
    calibration, named = calibration_for(build, shop) if calibrated else (None, False)
    if calibration is not None:
        take_calibration(filling.inputs, calibration, _as_documented(build) if named else frozenset())
    if shop is not None:
        filling.take_settings(shop)
    filling.decide_induction()
    filling.derive_rating()
    for name in _ORDER:
        filling.apply(kind(name), shop)
    if calibration is not None:
        calibration = settled(filling.inputs, calibration, named)
    return Filled(build, filling.inputs, calibration)


def _as_documented(build: Build) -> frozenset[str]:
    """Paths that the file states without having measured them, and that no edit has changed since it was read."""
    from enginelimits.description.paths import flattened

    now, before = flattened(build), flattened(build.as_read)
    return frozenset(path for path, value in now.items()
                     if before.get(path) == value and getattr(value, "basis", "documented") != "measured")


def part_filled(
    stated: Mapping[str, Value | str], names: Iterable[str], *, shop: Shop | None = None
) -> dict[str, Input]:
    """What is stated by path and, where it leaves gaps, the shop's settings and classes of the kinds named."""
    filling = _Filling({path: stated_input(path, value) for path, value in stated.items()})
    if shop is not None:
        filling.take_settings(shop)
    for name in names:
        filling.apply(kind(name), shop)
    return filling.inputs


class _Filling:
    """The inputs while they grow."""

    def __init__(self, stated: dict[str, Input]) -> None:
        self.inputs = stated
        self.given = frozenset(stated)
        # what classes would have given where a value is stated, and what goes with what
        self.bands: dict[str, Band] = {}
        self.ties: dict[str, list[tuple[str, Tie]]] = {}

    def take_settings(self, shop: Shop) -> None:
        for path, s in shop.settings.items():
            if path not in self.inputs:
                self._put(Input(path, s.value, s.unit, s.low, s.high, s.shape, "documented", "shop"))
        for part in ("goal", "baseline"):
            # A shop that names its dyno means its own wherever its file says wheels.
            at = self.inputs.get(f"{part}.at")
            if shop.dyno and at is not None and at.value == "wheels":
                self._put(Input(f"{part}.dyno", shop.dyno, basis="documented", source="shop"))

    def take_standard(self, before: _Filling) -> None:
        """The standard engine of the file as read, where an edit has moved away from it."""
        for path, found in before.inputs.items():
            if path.startswith("engine.standard."):
                copied = found.note.startswith(COPIED)
                self._put(replace(found, note="as read, before any change") if copied else found)

    def decide_induction(self) -> None:
        """The kind of induction follows from the parts described; without any the engine has none."""
        path = "forced_induction.kind"
        if path in self.inputs:
            return
        found = "none"
        if self._stated_below("forced_induction.supercharger"):
            rotors = "forced_induction.supercharger.displacement_per_rev" in self.given
            found = "positive-displacement" if rotors else "centrifugal"
        elif self._stated_below("forced_induction"):
            found = "turbocharger"
        self._put(Input(path, found, source="common-practice"))

    def _goes_with(self, word: str) -> bool:
        """Whether a part is stated, or, for ``path=text``, whether an input says so."""
        path, equals, text = word.partition("=")
        if not equals:
            return self._stated_below(path)
        found = self.inputs.get(path)
        return found is not None and found.value == text

    def derive_rating(self) -> None:
        """The maker's power over the swept volume, by which classes of breathing are told apart."""
        paths = ("engine.standard_output.power.value", "engine.bore", "engine.stroke", "engine.cylinders")
        found = [self.inputs.get(path) for path in paths]
        values = [i.value for i in found if i is not None and isinstance(i.value, float)]
        if len(values) == len(paths) and not self._is_true("engine.built_for_boost"):
            power, bore, stroke, cylinders = values
            rating = power / (pi / 4.0 * bore**2 * stroke * cylinders)
            path = "class.engine.rated_power_per_displacement"
            self._put(Input(path, rating, "W/m^3", basis="documented", source="own-computation"))

    def _is_true(self, path: str) -> bool:
        found = self.inputs.get(path)
        return found is not None and found.value is True

    def apply(self, of: Kind, shop: Shop | None) -> None:
        """Fill from one kind: the class that the build names, else the first whose conditions hold."""
        name = self._class_name(of, shop)
        if name is not None:
            chosen = named_class(of.name, name, of.named_by)
            if of.named_by and of.named_by not in self.inputs and not of.named_by.startswith(NEVER_FILLED):
                self._put(Input(of.named_by, name, source="common-practice", note=chosen.fits))
            if of.name == "rods":
                self._weigh_rod(chosen)
            self._fill_all(of.part, chosen.fills, chosen)
            self._give(of, chosen)
        after = {
            "sites": self._hot_day,
            "engines": self._copy_standard,
            "pins": self._standard_mass,
            "tanks": self._fuel,
            "dynos": self._baseline_dyno,
        }
        if of.name in after:
            after[of.name]()

    def _class_name(self, of: Kind, shop: Shop | None) -> str | None:
        if of.named_by in self.inputs:
            return str(self.inputs[of.named_by].value)
        if of.name == "dynos" and shop is not None and shop.dyno:
            return shop.dyno
        return next((c.name for c in of.choose if all(map(self._holds, c.conditions))), None)

    def _give(self, of: Kind, chosen: ReferenceClass) -> None:
        """What only classes supply: material and property class first, since stated ones govern."""
        if of.part.startswith("internals."):
            path = f"{of.gives}.factory"
            self._put(Input(path, chosen.factory, source="common-practice", from_class=chosen.name))
            self._material(of, chosen.material)
            self._thread(of)
            self._property_class(of)
        self._fill_all(of.gives, chosen.gives, chosen)

    def _material(self, of: Kind, material: str) -> None:
        path = f"{of.part}.material"
        if path in self.inputs:
            material = str(self.inputs[path].value)
        if not material:
            return
        found = named_class("materials", material, path)
        needed = "hot_yield_strength" if of.name == "pistons" else "fatigue_strength"
        if needed not in found.gives:
            fit = ", ".join(n for n, m in kind("materials").classes.items() if needed in m.gives)
            raise InputError([Problem(f"a material for {of.name}", f"`{material}`", f"Known: {fit}.", path)])
        self._fill_all(of.gives, found.gives, found)

    def _property_class(self, of: Kind) -> None:
        path = f"{of.part}.property_class"
        if path in self.inputs:
            name = str(self.inputs[path].value)
            found = named_class("fasteners", name, path)
            diameter = self._number(f"{of.gives}.diameter")
            large = kind("fasteners").classes.get(f"{name}-large")
            # Both standards have a first band of diameters, to M16 and to one inch; many classes are alike beyond it.
            band = 0.0254 if name.startswith("grade") else 0.016
            if large is not None and diameter is not None and diameter > band * (1.0 + 1e-9):
                found = large
            self._fill_all(of.gives, found.gives, found)

    def _thread(self, of: Kind) -> None:
        written = self.inputs.get(f"{of.part}.thread")
        if written is None:
            return
        found = thread(str(written.value))
        if found is None:
            raise InputError([Problem("a thread such as `M9x1.0`", f"`{written.value}`", key=written.path)])
        sizes = (("diameter", found.diameter, "m"), ("pitch", found.pitch, "m"), ("thread_depth", found.depth, "1"))
        for key, size, unit in sizes:
            self._put(replace(written, path=f"{of.gives}.{key}", value=size, unit=unit))

    def _fill_all(self, part: str, entries: Mapping[str, Entry], chosen: ReferenceClass) -> None:
        """The entries of a class below a path, those that go with another after it."""
        after: dict[str, Entry] = {}
        for key, entry in entries.items():
            if entry.tie is not None:
                self._tie(f"{part}.{key}", part, entry, entry.tie)
            if entry.tie is not None and entry.tie.path.startswith("."):
                after[key] = entry
            else:
                self._fill(f"{part}.{key}", entry, chosen)
        while after:
            free = [key for key, entry in after.items() if entry.tie is None or entry.tie.path[1:] not in after]
            for key in free or list(after):
                self._fill(f"{part}.{key}", after.pop(key), chosen)

    def _tie(self, path: str, part: str, entry: Entry, tie: Tie) -> None:
        """Note what goes with what; of one that is stated and one that is not, the latter follows."""
        other = part + tie.path if tie.path.startswith(".") else tie.path
        self.ties.setdefault(path, []).append((other, tie))
        if path in self.inputs and other not in self.inputs and all(s.path != other for s in entry.scaled_by):
            self._know(path, entry)
            self.ties.setdefault(other, []).append((path, tie))

    def _know(self, path: str, entry: Entry) -> None:
        """Keep what a class says of an input that is stated."""
        typical, factor = self._typical(entry), self._factor(entry)
        if isinstance(typical, float) and factor is not None and entry.low is not None and entry.high is not None:
            self.bands[path] = Band(typical * factor, entry.low * factor, entry.high * factor)

    def _together(self, made: Input, entry: Entry) -> Input:
        """The input with what it goes with: of several that are known, the one that tells most."""
        known = [(tie, self.inputs[other]) for other, tie in self.ties.get(made.path, ()) if other in self.inputs]
        if not known:
            return made
        tie, other = max(known, key=lambda pair: abs(pair[0].correlation))
        scales = any(scale.path == other.path for scale in entry.scaled_by)
        return tied(made, Partner(other, tie, self.bands.get(other.path), scales))

    def _fill(self, path: str, entry: Entry, chosen: ReferenceClass) -> None:
        """One entry of a class, unless the path is stated or the entry scales with something unknown."""
        if path in self.inputs or path.startswith(NEVER_FILLED):
            self._know(path, entry)
            return
        if entry.only_with and not self._goes_with(entry.only_with):
            return
        if entry.curve:
            along = self._number(entry.along)
            if along is not None:
                points = tuple((at * along, value) for at, value in entry.curve)
                made = Input(path, None, source=entry.source, note=entry.evidence, from_class=chosen.name)
                self._put(replace(made, curve=points))
            return
        typical, factor = self._typical(entry), self._factor(entry)
        if typical is None or factor is None:
            return
        low, high = entry.low, entry.high
        floor, ceiling = entry.floor, entry.ceiling
        if not isinstance(typical, str | bool):
            typical *= factor
            low, high = (None if end is None else end * factor for end in (low, high))
            if floor is None:
                floor = floor_of(low, entry.unit)
        made = Input(
            path, typical, entry.unit, low, high, entry.shape, source=entry.source, kind=entry.kind,
            note=entry.evidence, floor=floor, ceiling=ceiling, probability=entry.chance, from_class=chosen.name,
        )  # fmt: skip
        self._put(self._together(made, entry))

    def _typical(self, entry: Entry) -> Scalar | None:
        for conditions, instead in entry.where:
            if all(map(self._holds, conditions)):
                return instead
        typical = entry.typical
        if entry.over:
            at = self._number(entry.over_path)
            for key, instead in entry.over:
                # A bound that was written in another unit must not fall a rounding short of itself.
                if at is not None and at >= key * (1.0 - 1e-9):
                    typical = instead
        return typical

    def _factor(self, entry: Entry) -> float | None:
        """The product of all scales; None when an input that the entry hangs on is not known."""
        factor = 1.0
        for scale in entry.scaled_by:
            at = self._number(scale.path)
            if at is not None and at > 0.0:
                factor *= (at / scale.reference) ** scale.power
            elif not scale.optional:
                return None
        return factor

    def _holds(self, condition: Condition) -> bool:
        found = self.inputs.get(condition.path)
        if condition.at_least is not None:
            number = self._number(condition.path)
            return number is not None and number >= condition.at_least
        if not condition.texts:
            return self._stated_below(condition.path)
        if found is None or found.value is None:
            return False
        value = found.value
        if isinstance(value, bool):
            return ("true" if value else "false") in condition.texts
        if isinstance(value, float):
            return f"{value:g}" in condition.texts
        return value in condition.texts

    def _number(self, path: str) -> float | None:
        found = self.inputs.get(path)
        value = None if found is None else found.value
        return value if isinstance(value, float) and not isinstance(value, bool) else None

    def _stated_below(self, path: str) -> bool:
        return any(p == path or p.startswith(path + ".") for p in self.given)

    def _put(self, made: Input) -> None:
        self.inputs.setdefault(made.path, made)

    def _copy(self, path: str, source: str) -> None:
        """The input at another path, marked so that a draw can be shared."""
        found = self.inputs.get(source)
        if found is not None and path not in self.inputs:
            self.inputs[path] = _copied(found, path)

    def _hot_day(self) -> None:
        """No ordinary day is hotter than the hot day: of the two the one left open follows the one that is known."""
        air, hot = "site.air_temperature", "site.hot_day_temperature"
        ordinary, hottest = self._number(air), self._number(hot)
        if ordinary is not None and hottest is not None and ordinary > hottest:
            left, known = (hot, air) if self.inputs[hot].from_class else (air, hot)
            if self.inputs[left].from_class:
                self.inputs[left] = _copied(self.inputs[known], left)

    def _copy_standard(self) -> None:
        for name in _STANDARD:
            self._copy(f"engine.standard.{name}", f"engine.{name}")
        self._copy("site.calibrated_altitude", "site.altitude")
        self._copy("site.calibrated_temperature", "site.air_temperature")

    def _weigh_rod(self, chosen: ReferenceClass) -> None:
        """Mass of a rod of which only the big end was weighed, by its share; the class's shank goes with that mass."""
        big, entry = self._number("internals.rods.big_end_mass"), chosen.gives.get("big_end_share")
        if big is None or entry is None or "internals.rods.mass" in self.inputs:
            return
        self._fill("class.rod.big_end_share", entry, chosen)
        share = self.inputs["class.rod.big_end_share"]
        value, low, high, most = share.value, share.low, share.high, share.ceiling
        assert isinstance(value, float) and low is not None and high is not None and most is not None
        self._put(Input("internals.rods.mass", big / value, "kg", big / high, big / low, share.shape, floor=big / most,
                        source=share.source, note="of the big end's mass, by its share of the class",
                        from_class=chosen.name))

    def _standard_mass(self) -> None:
        """Mass of the standard piston and pin: as described where they are the maker's, else of the standard class."""
        self.inputs |= mass_by_size(self.inputs)
        path = "engine.standard.piston_and_pin_mass"
        if path in self.inputs:
            return
        factory = [f"internals.{part}." for part, name in (("pistons", "piston"), ("pins", "pin"))
                   if self.inputs[f"class.{name}.factory"].value is True]
        if len(factory) < 2:
            # A replacement says nothing of the maker's: that is what a standard engine of this bore would have.
            kept = ("engine.", *factory)
            standard = _Filling({p: i for p, i in self.inputs.items() if p.startswith(kept)})
            for name in ("pistons", "pins"):
                standard.apply(kind(name), None)
            if path in standard.inputs:
                self._put(replace(standard.inputs[path], note="of the class that a standard engine has"))
            return
        here = [self.inputs.get(f"internals.{part}.mass") for part in ("pistons", "pins")]
        if any(m is None for m in here):
            return
        total = below = above = 0.0
        for mass in here:
            assert mass is not None and isinstance(mass.value, float)
            total += mass.value
            below = hypot(below, mass.value - (mass.value if mass.low is None else mass.low))
            above = hypot(above, (mass.value if mass.high is None else mass.high) - mass.value)
        note = f"{COPIED}internals.pistons.mass + internals.pins.mass"
        parts = ("internals.pistons.mass", "internals.pins.mass")
        made = Input(path, total, "kg", source="common-practice", note=note, drawn_with=parts)
        self._put(_spread(made, below, above))

    def _fuel(self) -> None:
        """Octane on one scale, and ethanol that never exceeds what was stated."""
        asked = "engine.standard_output.fuel.octane"
        self._on_research_scale(asked, "")
        if "fuel.octane" not in self.given and asked in self.inputs:
            found = self.inputs[asked]
            self.inputs["fuel.octane"] = _copied(found, "fuel.octane")
        self._on_research_scale("fuel.octane", "fuel.motor_octane")
        self._copy("class.fuel.gasoline_octane", "fuel.octane")
        inside, total = "fuel.gasoline_ethanol", "fuel.ethanol"
        most = self.inputs.get(total)
        methanol = self.inputs["fuel.methanol"]
        if most is None and isinstance(methanol.value, float):
            rest = 1.0 - (methanol.value if methanol.high is None else methanol.high)
            most = replace(methanol, path=total, value=rest)
        if most is not None and inside not in self.given:
            self.inputs[inside] = _at_most(self.inputs[inside], most)
        self._copy(total, inside)
        for made in ethanol_contents(self.inputs):
            self._put(made)

    def _on_research_scale(self, path: str, motor: str) -> None:
        """Pump octane becomes research octane: by motor octane if known, else by the usual distance."""
        found = self.inputs.get(path)
        if found is None or found.kind != "AKI" or not isinstance(found.value, float):
            return
        low = 0.0 if found.low is None else found.value - found.low
        high = 0.0 if found.high is None else found.high - found.value
        written = self._number(motor)
        if written is not None:
            by, note = found.value - written, "twice AKI less MON"
            own = self.inputs[motor]
            low = hypot(2.0 * low, 0.0 if own.high is None else own.high - written)
            high = hypot(2.0 * high, 0.0 if own.low is None else written - own.low)
        else:
            distance = self.inputs[_RESEARCH_FROM_PUMP]
            assert isinstance(distance.value, float)
            by, note = distance.value, "AKI to RON by the usual distance"
            low = hypot(low, distance.value - (distance.low or 0.0))
            high = hypot(high, (distance.high or 0.0) - distance.value)
        made = replace(
            found, path=path, value=found.value + by, kind="RON", low=None, high=None, shape="point", note=note
        )
        self.inputs[path] = _spread(made, low, high)

    def _baseline_dyno(self) -> None:
        """The factor of the dyno that measured the baseline, where it was at the wheels."""
        if "baseline.dyno" in self.inputs:
            chosen = named_class("dynos", str(self.inputs["baseline.dyno"].value), "baseline.dyno")
            self._fill("class.dyno.baseline_factor", chosen.gives["factor"], chosen)


def _copied(found: Input, path: str) -> Input:
    """The same value at another path; the note names the path, so that draws can be shared."""
    source = found.drawn_with or (found.path,)
    return replace(found, path=path, basis="assumed", note=f"{COPIED}{found.path}", drawn_with=source)


def _spread(made: Input, below: float, above: float) -> Input:
    """The input with a range about its value; unchanged when both distances are zero."""
    if not isinstance(made.value, float) or (below <= 0.0 and above <= 0.0):
        return made
    low, high = made.value - below, made.value + above
    return replace(made, low=low, high=high, shape="split-normal", floor=floor_of(low, made.unit))


def _at_most(found: Input, most: Input) -> Input:
    """The input cut at another's value: gasoline holds no more ethanol than the tank does."""
    if not isinstance(most.value, float) or not isinstance(found.value, float) or found.value <= most.value:
        return found
    if found.low is None or found.low >= most.value:
        return replace(found, value=most.value, low=None, high=None, shape="point")
    return replace(found, value=most.value, high=most.value, ceiling=most.value)
