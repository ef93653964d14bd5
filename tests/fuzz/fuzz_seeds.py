"""Where a fuzzer begins: the files that the project ships for each loader, and what somebody hostile would write."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Iterator

from fuzz_loaders import PART, ROOT

# Values, whole or in part, that have broken readers of files elsewhere.
HOSTILE = (
    "1e400", "-1e400", "1e308", "1e-400", "1e-320", "9" * 400, "9**9**9", "0x10", "1_000", "-0", "0", "nan", ".nan",
    "NaN", "inf", "-.inf", "Infinity", "null", "~", "", "[]", "{}", "[[[[", "}", "*a", "&a x", "&a [*a, *a]", "<<",
    "!!python/object/apply:os.system [x]", "!!binary aGk=", "!<x> y", "? ", "- ", "--- x", "...", "%YAML 1.3", "'", '"',
    "yes", "${HOME}", "../../etc/passwd", "/dev/zero", "file:///etc/passwd", "\u202e", "\ufeff", "\x1b[2J\x07", "\x00",
    "=1+1", "@x", "<script>alert(1)</script>", "a" * 300, "1 to 0 mm", "5 +/- -3 mm", "5 +/- 1e308 mm", "1e-320 mm",
    "1e308 rpm", "١٢ mm", "5²", "{value: 1, low: 2, high: 0}", "{1000 rpm: 1, 1000 rpm: 2}", "1 mm^2 mm", "1 mm**9",
    "{0}", "{value.__class__}", "%s", "\\u0000", "\ud7ff", "100 %", "-1 %", "1 psi", "1e5 Pa", "300 degC",
    "-273.15 degC", "0.001 mm", "99999 rpm", "none", "true", "turbocharger", "centrifugal", "positive-displacement",
    "1900-02-30",
)  # fmt: skip
_FACTORS = (0.0, -1.0, 0.1, 0.5, 1.01, 2.0, 10.0, 1e3, 1e-3, 1e300, 1e-300)


def seeds(name: str) -> Iterator[bytes]:
    """What a loader begins with."""
    yield from _SEEDS[name]()


def hostile_copies(name: str, count: int = 40) -> Iterator[bytes]:
    """Seeds with hostile values put in, the same every time."""
    chance = random.Random(name)
    every = list(seeds(name))
    for _ in range(count):
        yield mutated(chance.choice(every), every, chance)


def mutated(data: bytes, others: list[bytes], chance: random.Random) -> bytes:
    """The text with a line or a value changed: what a byte fuzzer seldom hits in a file of words."""
    lines = data.decode("utf-8", "surrogateescape").split("\n")
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        at = chance.randrange(len(lines))
        line = lines[at]
        match chance.randrange(9):
            case 0 | 1 | 2:
                parts = list(re.finditer(r"[^\s:,{}\[\]#][^:,{}\[\]#]*", line))
                if parts:
                    part = chance.choice(parts)
                    line = line[: part.start()] + chance.choice(HOSTILE) + line[part.end() :]
            case 3:
                numbers = list(re.finditer(r"\d+(\.\d+)?", line))
                if numbers:
                    part = chance.choice(numbers)
                    value = float(part[0]) * chance.choice(_FACTORS)
                    line = line[: part.start()] + f"{value:g}" + line[part.end() :]
            case 4:
                other = chance.choice(others).decode("utf-8", "surrogateescape").split("\n")
                line = chance.choice(other)
            case 5:
                lines.insert(at, line)
            case 6:
                line = chance.choice(("  ", " ", "\t", "")) + line.lstrip(" ")
            case 7:
                line = ""
            case 8:
                spot = chance.randrange(len(line) + 1)
                line = line[:spot] + chance.choice(HOSTILE) + line[spot:]
        lines[at] = line
    return "\n".join(lines).encode("utf-8", "surrogateescape")


def _builds() -> Iterator[bytes]:
    yield (ROOT / "tests" / "description" / "builds" / "full.yaml").read_bytes()
    yield (ROOT / "limits" / "enginelimits" / "cli" / "starter.yaml").read_bytes()
    for path in sorted((ROOT / "cases").glob("*/build.yaml")):
        yield path.read_bytes()


def _edits() -> Iterator[bytes]:
    import yaml

    remedies = yaml.safe_load((ROOT / "rulesets" / "remedies.yaml").read_text("utf-8"))
    for remedy in remedies.values():
        for step in remedy.get("steps", ())[:1]:
            yield yaml.safe_dump(step, sort_keys=False, allow_unicode=True).encode()


def _maps() -> Iterator[bytes]:
    yield (ROOT / "cases" / "mapped-turbo-2400" / "compressor.csv").read_bytes()
    yield (b"# reference_temperature: 25 degC\n# reference_pressure: 100 kPa\n"
           b"corrected_speed [rpm], corrected_flow [lb/min], pressure_ratio [1], efficiency [1]\n"
           b"90000, 10, 1.5, 0.6\n90000, 15, 1.4, 0.7\n90000, 20, 1.2, 0.6\n"
           b"120000, 15, 2.0, 0.6\n120000, 22, 1.9, 0.72\n120000, 30, 1.5, 0.6\n"
           b"150000, 20, 2.6, 0.6\n150000, 30, 2.5, 0.7\n150000, 38, 1.9, 0.55\n")


def _rules() -> Iterator[bytes]:
    files = sorted((ROOT / "rulesets").glob("*/*.yaml"))
    extra = [(ROOT / "rulesets" / name).read_bytes()[:3000].rpartition(b"\n\n")[0] for name in
             ("facts.yaml", "remedies.yaml", "failure-modes.yaml")]
    for path in [f for f in files if not f.name.endswith(".test.yaml")][::12]:
        test = path.with_name(path.stem + ".test.yaml")
        rule = re.sub(rb"(?m)^remedies: .*\n", b"", path.read_bytes())
        parts = [rule, b"", b"", b"", b"", test.read_bytes() if test.is_file() else b""]
        yield PART.join(parts)
        yield PART.join([parts[0], *extra, b"name: own\nversion: '1'", parts[5]])
    own = ROOT / "tests" / "rules" / "data" / "catalogue"
    for path in sorted(own.glob("rods/*.yaml")):
        if not path.name.endswith(".test.yaml"):
            yield PART.join([path.read_bytes(), b"", b"", b"", b"", b""])
    yield (b"override: ROD003\nlimits: {reinforce_mep: 22.5 bar}\nscope: {engine.family: [x]}\nauthor: A\n"
           b"date: 2026-01-01\nreason: R\nexpires: 2027-01-01\n")
    yield (b"- {override: ROD003, limits: {reinforce_mep: 22.5 bar}, author: A, date: 2026-01-01, reason: R}\n"
           b"- {override: ROD003, limits: {caution_mep: 2 bar}, scope: {fuel.octane: [x]}, author: A, "
           b"date: 2026-01-01, reason: R}\n")


def _calibrations() -> Iterator[bytes]:
    yield b"""engine: {family: invented two litre four}
date: 2026-03-02
author: the workshop
method: by hand
taken_at: {speed: 2000 to 6000 rpm, boost: 0.1 to 0.5 bar_g, octane: 98 RON, ethanol: 5 %, dyno: inertia,
           induction: turbocharger, drive: rear, gearbox: manual}
logs: [{file: made.csv, sha256: 0123}]
filling_of: four-valve
anchors:
  filling: {2500 rpm: 0.93 +/- 0.02, 4000 rpm: 0.95 +/- 0.02}
  driveline_loss_fixed: 7.2 +/- 0.5 kW
  dyno_factor: 1.01 +/- 0.02
  knock_offset: -2.5 +/- 1.0
moved: [filling, knock_offset]
correlation: [[], [0.8], [0, 0], [0, 0, 0], [0, 0, 0, 0]]
note: invented
"""
    yield b"""engine: {family: x}
date: 2026-03-02
taken_at: {speed: 2000 to 6000 rpm, boost: 0.1 to 0.5 bar_g}
anchors: {compressor_efficiency: 0.71 +/- 0.02, cooler_effectiveness: 0.62 +/- 0.02}
"""


def _names() -> Iterator[bytes]:
    yield (ROOT / "cases" / "small-turbo-1800" / "logs.yaml").read_bytes()
    yield (b"delimiter: semicolon\ndecimal: comma\nclock: Time of day\ninterval: 20 ms\nnames:\n"
           b"  WB: {is: lambda, unit: AFR, stoichiometric: 14.7}\n  Roller: {is: roller_speed, unit: rpm}\n"
           b"  MAP kPa: {is: manifold_pressure, unit: kPa}\n  RPM: engine_speed\n"
           b"dyno: {kind: inertia, inertia: 12 kg*m^2, ratio: 3.2, correction: SAE J1349}\n")


def _logs() -> Iterator[bytes]:
    whole = (ROOT / "cases" / "small-turbo-1800" / "pull.csv").read_bytes().splitlines(keepends=True)
    names = (ROOT / "cases" / "small-turbo-1800" / "logs.yaml").read_bytes()
    short = b"".join(whole[:3] + whole[3::8])
    yield names + PART + short
    yield short
    semicolons = ["time [s];engine_speed [rpm];throttle [%];wheel_torque [Nm];lambda"]
    semicolons += [f"{i / 10:.1f};{2000 + 40 * i};99,5;{200 + i % 7},5;0,82".replace(".", ",") for i in range(80)]
    yield "\n".join(semicolons).encode()
    yield "\r\n".join(semicolons).encode("utf-16")
    yield b"names: {T: {is: engine_speed, unit: rpm}}\nclock: Clock" + PART + b"Clock,T\n" + b"".join(
        b"23:59:%02d.5,%d\n" % (i % 60, 1500 + 100 * i) for i in range(60)
    )
    yield b"\xef\xbb\xbfTime\tEngine speed\ns\trpm\n" + b"".join(b"%d\t%d\n" % (i, 1500 + 100 * i) for i in range(30))


def _recordings() -> Iterator[bytes]:
    import io

    import numpy as np

    try:
        import asammdf
    except ImportError:
        return
    fast, slow = np.arange(0.0, 2.0, 0.05), np.arange(0.0, 2.0, 0.5)
    for version in ("4.10", "4.00"):
        with asammdf.MDF(version=version) as made:
            made.append([asammdf.Signal(2000 + 2000 * fast, fast, name="nEng", unit="rpm"),
                         asammdf.Signal(100 + 5 * fast, fast, name="pMan", unit="kPa")], acq_name="ECU")
            made.append([asammdf.Signal(0.8 + 0.01 * slow, slow, name="lambda", unit="")], acq_name="wideband")
            stream = io.BytesIO()
            made.save(stream)
            yield stream.getvalue()


def _prices() -> Iterator[bytes]:
    yield (ROOT / "docs" / "example-prices.yaml").read_bytes()
    yield b"stronger-clutch: {price: 1150, currency: EUR}\n"


def _shops() -> Iterator[bytes]:
    yield (b"site: {altitude: 500 m, air_temperature: 20 +/- 5 degC, relative_humidity: 40 to 60 %,\n"
           b"       hot_day_temperature: 35 degC, calibrated_altitude: 0 m, calibrated_temperature: 15 degC}\n"
           b"dyno: inertia\nloss: {fixed: 6 kW, proportional: 9 +/- 2 %}\nunits: us\nrecord: record.sqlite\n")
    yield b"dyno: hub\nunits: metric\n"


def _pulls() -> Iterator[bytes]:
    yield json.dumps({"schema": "enginelimits.pull/1", "pull": {"power": [1.0, None]}, "log": "x"}).encode()
    yield b'  {"schema": "enginelimits.pull/1"}'
    yield b"{" * 50


_SEEDS = {
    "build": _builds, "check": _builds, "edits": _edits, "map": _maps, "rules": _rules, "calibration": _calibrations,
    "names": _names, "log": _logs, "recording": _recordings, "prices": _prices, "shop": _shops, "pull_data": _pulls,
}  # fmt: skip
