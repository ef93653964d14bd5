"""The closed cycle in C, written out from the equations of the package and compiled where the benchmark runs.

The equations take numbers of any kind, so that they can be followed with names in the place of numbers: what they do
with them becomes a line of C each.  Sixteen lanes lie side by side, the loop over them is marked for vector
instructions, and the compiler's own vector mathematics stands for logarithm and exponential.  Peak
pressure and knock are left out, which favours C a little.
"""

from __future__ import annotations

import ctypes
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar, NamedTuple

import numpy as np
from numpy.typing import NDArray

from enginelimits.physics.cycle.lanes import NARROWEST, placed
from enginelimits.physics.cycle.rates import (
    BurnState,
    Compressing,
    CompressionState,
    Cylinder,
    Functions,
    Gas,
    Ignition,
    equations,
)

L = 16
ROWS = (*(f"gas_{n}" for n in Gas._fields), *(f"cyl_{n}" for n in Cylinder._fields), "low", "nine_tenths", "end",
        "opening", "closing_k")


class Name:
    """A number that is not known yet: every operation on it is a line of C."""

    lines: ClassVar[list[str]] = []

    def __init__(self, text: str) -> None:
        self.text = text

    @classmethod
    def made(cls, text: str) -> Name:
        name = f"t{len(cls.lines)}"
        cls.lines.append(f"double {name} = {text};")
        return cls(name)

    def __add__(self, other: Any) -> Name:
        return Name.made(f"{self.text} + {text_of(other)}")

    def __radd__(self, other: Any) -> Name:
        return Name.made(f"{text_of(other)} + {self.text}")

    def __sub__(self, other: Any) -> Name:
        return Name.made(f"{self.text} - {text_of(other)}")

    def __rsub__(self, other: Any) -> Name:
        return Name.made(f"{text_of(other)} - {self.text}")

    def __mul__(self, other: Any) -> Name:
        return Name.made(f"{self.text} * {text_of(other)}")

    def __rmul__(self, other: Any) -> Name:
        return Name.made(f"{text_of(other)} * {self.text}")

    def __truediv__(self, other: Any) -> Name:
        return Name.made(f"{self.text} / {text_of(other)}")

    def __rtruediv__(self, other: Any) -> Name:
        return Name.made(f"{text_of(other)} / {self.text}")

    def __neg__(self) -> Name:
        return Name.made(f"-{self.text}")


def text_of(value: Any) -> str:
    return value.text if isinstance(value, Name) else repr(float(value))


def call(function: str, *values: Any) -> Name:
    return Name.made(f"{function}({', '.join(map(text_of, values))})")


def sine_versed(angle: Any) -> tuple[Name, Name]:
    """As series, as the package's compiled cycle has them: a compiler joins sin and cos to a call that is no vector."""
    t = 0.25 * angle
    s = t * t
    sine, versed = Name("0.0"), Name("0.0")
    for n in range(7, 0, -1):
        sine = (sine + 1.0) * (s * (-1.0 / ((2 * n) * (2 * n + 1))))
        versed = (versed + 1.0) * (s * (-1.0 / ((2 * n + 1) * (2 * n + 2))))
    sine, versed = t * (sine + 1.0), (versed + 1.0) * s * 0.5
    sine, versed = 2.0 * sine * (1.0 - versed), 2.0 * sine * sine
    return 2.0 * sine * (1.0 - versed), 2.0 * sine * sine


E = equations(Functions(
    lambda x: call("sqrt", x), lambda x: call("log", x), lambda x: call("exp", x),
    sine_versed,
    lambda a, b: Name.made(f"{text_of(a)} > {text_of(b)} ? {text_of(a)} : {text_of(b)}"),
    lambda a, b: Name.made(f"{text_of(a)} < {text_of(b)} ? {text_of(a)} : {text_of(b)}"),
    lambda function: function,
))


def of_block(name: str) -> Name:
    return Name(f"block[{ROWS.index(name)} * L + i]")


def kept(place: int) -> Name:
    return Name(f"w[{place} * L + i]")


GAS = Gas(*(of_block(f"gas_{n}") for n in Gas._fields))
CYLINDER = Cylinder(*(of_block(f"cyl_{n}") for n in Cylinder._fields))
HEAT, WORK, P, T, VOLUME, FLAME, LIT_P, LIT_LOG_V, LOG_CLOSING, WIDTH, STATE = range(11)
WORKING = STATE + len(BurnState._fields)


def loop(stores: list[tuple[int, Any]]) -> str:
    # what is only carried over is read before its place is written
    stores = [(place, Name.made(value.text) if isinstance(value, Name) else value) for place, value in stores]
    body = "\n    ".join(Name.lines + [f"w[{place} * L + i] = {text_of(value)};" for place, value in stores])
    Name.lines = []
    return f"  #pragma omp simd\n  for (int i = 0; i < L; i++) {{\n    {body}\n  }}\n"


def before(left: Any) -> Compressing:
    length = CYLINDER.start - of_block("low")
    angle = CYLINDER.start - length * placed(left, NARROWEST[0])
    stretch = length * (NARROWEST[0] + 2.0 * (1.0 - NARROWEST[0]) * left)
    return E.compressing_at(GAS, CYLINDER, kept(LOG_CLOSING), angle, stretch)


def source() -> str:
    Name.lines = []
    parts = []
    volume, _ = E.volume_and_slope(CYLINDER, of_block("low"))
    parts.append(("begin", "", loop([(LOG_CLOSING, call("log", volume)), (HEAT, 0.0)])))
    state = E.compression_begun(GAS, CYLINDER.wall_temperature, CYLINDER.exponent, before(Name("1.0")),
                                of_block("closing_k"))
    parts.append(("compression_begun", "", loop([(STATE + n, value) for n, value in enumerate(state)])))
    middle, end = before(Name("(left + 0.5 * step)")), before(Name("left"))
    begun = CompressionState(*(kept(STATE + n) for n in range(len(CompressionState._fields))))
    state, heat = E.compress(GAS, CYLINDER.wall_temperature, CYLINDER.exponent, middle, end, begun, Name("step"),
                             Name("ratio"))
    t = state.z / end.to_z
    parts.append(("compress", ", double left, double step, double ratio", loop([
        (HEAT, kept(HEAT) + heat), (T, t), (P, GAS.constant * t / end.volume), (VOLUME, end.volume),
        *((STATE + n, value) for n, value in enumerate(state)),
    ])))
    work = E.fresh_energy(GAS, of_block("closing_k")) - E.fresh_energy(GAS, kept(T)) - kept(HEAT)
    flame = E.flame(GAS, kept(P), kept(T))
    ignition = Ignition(kept(P), call("log", kept(VOLUME)), flame)
    lit = E.burning_at(GAS, CYLINDER, ignition, Name("0.0"), CYLINDER.start)
    burned = E.burn_begun(GAS, CYLINDER, lit, kept(P), kept(T))
    parts.append(("light", "", loop([
        (WORK, work), (FLAME, flame), (LIT_P, kept(P)), (LIT_LOG_V, ignition.log_volume), (WIDTH, 1e300),
        *((STATE + n, value) for n, value in enumerate(burned)),
    ])))
    low, high = Name("block[low_row * L + i]"), Name("block[high_row * L + i]")
    ignition = Ignition(kept(LIT_P), kept(LIT_LOG_V), kept(FLAME))
    length, begun_at = high - low, low - CYLINDER.start
    half, whole = Name("(share - 0.5 * step)") * length, Name("share") * length
    width, over = Name("step") * length, CYLINDER.over_duration
    middle = E.burning_at(GAS, CYLINDER, ignition, (half + begun_at) * over, low + half)
    end = E.burning_at(GAS, CYLINDER, ignition, (whole + begun_at) * over, low + whole)
    burned = BurnState(*(kept(STATE + n) for n in range(len(BurnState._fields))))
    burned, heat, work = E.burn(GAS, CYLINDER, middle, end, burned, width, width / kept(WIDTH))
    parts.append(("burn", ", int low_row, int high_row, double share, double step", loop([
        (P, burned.pressure), (HEAT, kept(HEAT) + heat), (WORK, kept(WORK) + work), (WIDTH, width),
        *((STATE + n, value) for n, value in enumerate(burned)),
    ])))
    functions = "\n".join(
        f"static void {name}(const double *restrict block, double *restrict w{more}) {{\n{body}}}\n"
        for name, more, body in parts
    )
    found = placed(Name("share"), Name("narrowest"))
    place = " ".join([*Name.lines, f"return {found.text};"])
    start_row, rows = ROWS.index("cyl_start"), len(ROWS)
    return f"""#include <math.h>
#define L {L}
{functions}
static double placed(double share, double narrowest) {{ {place} }}
static const double narrowest[3] = {{{", ".join(str(n) for n in NARROWEST[1:])}}};
void cycles(const double *blocks, int count, const int *steps, double *results) {{
  double w[{WORKING} * L];
  const int edges[4] = {{{start_row}, {ROWS.index("nine_tenths")}, {ROWS.index("end")}, {ROWS.index("opening")}}};
  for (int b = 0; b < count; b++) {{
    const double *block = blocks + (long)b * {rows} * L;
    begin(block, w); compression_begun(block, w);
    for (int k = 1; k <= steps[0]; k++)
      compress(block, w, 1.0 - (double)k / steps[0], 1.0 / steps[0], k > 1 ? 1.0 : 0.0);
    light(block, w);
    for (int s = 0; s < 3; s++)
      for (int k = 1; k <= steps[s + 1]; k++) {{
        double share = placed((double)k / steps[s + 1], narrowest[s]);
        burn(block, w, edges[s], edges[s + 1], share, share - placed((k - 1.0) / steps[s + 1], narrowest[s]));
      }}
    for (int i = 0; i < L; i++) {{
      results[((long)b * 2) * L + i] = w[{P} * L + i];
      results[((long)b * 2 + 1) * L + i] = w[{WORK} * L + i];
    }}
  }}
}}
"""


class Kernel(NamedTuple):
    """The compiled function and the flags it was compiled with."""

    function: Any
    flags: tuple[str, ...]

    def prepared(
        self, rows: NDArray[np.float64], steps: tuple[int, int, int, int]
    ) -> Callable[[], NDArray[np.float64]]:
        """Call it for opening pressure [Pa] and work [J/kg], (2, lanes), of ``rows`` in the order of ROWS, (rows,
        lanes), which are laid out in blocks beforehand."""
        lanes = rows.shape[1]
        count = -(-lanes // L)
        padded = np.concatenate([rows, np.repeat(rows[:, :1], count * L - lanes, axis=1)], axis=1)
        blocks = np.ascontiguousarray(padded.reshape(len(ROWS), count, L).swapaxes(0, 1))
        results = np.empty((count, 2, L))
        pointer = ctypes.POINTER(ctypes.c_double)
        arguments = (blocks.ctypes.data_as(pointer), count, (ctypes.c_int * 4)(*steps),
                     results.ctypes.data_as(pointer))

        def run() -> NDArray[np.float64]:
            self.function(*arguments)
            return results.swapaxes(0, 1).reshape(2, -1)[:, :lanes]

        return run


def kernel(folder: Path, compiler: str = "cc") -> Kernel:
    """Compile the kernel in a folder."""
    flags = ("-O3", "-march=native", "-ffast-math", "-fopenmp-simd", "-shared", "-fPIC")
    code, library = folder / "cycles.c", folder / "cycles.so"
    code.write_text(source())
    subprocess.run([compiler, *flags, "-o", str(library), str(code), "-lmvec", "-lm"], check=True)
    return Kernel(ctypes.CDLL(str(library)).cycles, flags)
