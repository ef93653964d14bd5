"""Works out the table in limits/enginelimits/physics/components/film_table.py: plain bearings of finite length.

    python tools/bearing_film_table.py           compare the shipped table with a computation from nothing
    python tools/bearing_film_table.py --write   write it anew

Reynolds' equation of a full bearing under a steady load, constant viscosity, journal and bearing parallel:

    d/dx (h^3 dp/dx) + (D / L)^2 d/dz (h^3 dp/dz) = 6 dh/dx,   h = 1 + e cos x

with x around, from the thickest film, z from the middle to the edge, and p over mu w (R / c)^2.  The oil enters at
the thickest film; pressure is nil there and at the edge, and nowhere below nil: where the film breaks it does so
with no slope (Swift and Stieber), which is the complementarity problem p >= 0, A p - b >= 0, p (A p - b) = 0.
Finite volumes; the set of nodes that bear pressure is found by trying until it stays.  Nodes crowd where the film
is thin and at the edge, and two grids are carried to the limit of no spacing, the method being of second order.
Needs scipy.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import spsolve

SHIPPED = Path(__file__).parents[1] / "limits/enginelimits/physics/components/film_table.py"
RATIOS = (0.2, 0.25, 0.32, 0.4, 0.5, 0.63, 0.8, 1.0)
# ln of thinnest film over what is left of the clearance, (1 - e) / e: even steps follow the load at both ends.
LOGITS = tuple(round(4.0 - 0.4 * k, 1) for k in range(30))
AROUND, ALONG = 120, 16


def crowded(count: int, width: float) -> Any:
    """Faces from 0 to 2 pi that crowd about pi on the scale of ``width``."""
    end = np.arcsinh(np.pi / width)
    faces = np.pi + width * np.sinh(np.linspace(-end, end, count + 1))
    faces[0], faces[-1] = 0.0, 2.0 * np.pi
    return faces


def toward_edge(count: int, width: float) -> Any:
    """Faces from the middle, 0, to the edge, 1, that crowd at the edge on the scale of ``width``."""
    end = np.arcsinh(1.0 / width)
    faces = 1.0 - width * np.sinh(np.linspace(end, 0.0, count + 1))
    faces[0], faces[-1] = 0.0, 1.0
    return faces


def solved(eccentricity: float, ratio: float, around: int, along: int) -> tuple[float, float, float]:
    """Sommerfeld number, friction (R/c) f and flow Q / (R c N L) on one grid."""
    e = eccentricity
    wedge = np.sqrt(2.0 * (1.0 - e) / e) if e > 0.5 else 1.5
    x = crowded(around, min(1.5, 2.0 * wedge))
    z = toward_edge(along, min(1.0, max(0.5 * wedge / ratio, 0.05)))
    xc, zc = 0.5 * (x[1:] + x[:-1]), 0.5 * (z[1:] + z[:-1])
    dx, dz = np.diff(x), np.diff(z)
    faces, centres = 1.0 + e * np.cos(x), 1.0 + e * np.cos(xc)
    # conductances: across faces around (periodic ends are held at nil), and along
    gap = np.concatenate([[dx[0] / 2], np.diff(xc), [dx[-1] / 2]])
    a_x = faces[:, None] ** 3 / gap[:, None] * dz[None, :]
    gap_z = np.concatenate([np.diff(zc), [dz[-1] / 2]])
    a_z = (1.0 / ratio) ** 2 * centres[:, None] ** 3 / gap_z[None, :] * dx[:, None]
    diagonal = a_x[1:] + a_x[:-1] + a_z
    diagonal[:, 1:] += a_z[:, :-1]
    n = around * along
    off_x = -a_x[1:-1].ravel()
    off_z = -a_z.copy()
    off_z[:, -1] = 0.0
    off_z = off_z.ravel()[:-1]
    matrix = sparse.diags(
        [diagonal.ravel(), off_z, off_z, off_x, off_x], [0, 1, -1, along, -along], shape=(n, n), format="csr"
    )
    rhs = (-6.0 * np.diff(faces)[:, None] * dz[None, :]).ravel()
    pressure = np.zeros(n)
    bears = np.ones(n, dtype=bool)
    for _ in range(200):
        pressure[:] = 0.0
        inside = np.flatnonzero(bears)
        pressure[inside] = spsolve(matrix[inside][:, inside], rhs[inside])
        slack = matrix @ pressure - rhs
        now = np.where(bears, pressure > 0.0, slack < 0.0)
        if np.array_equal(now, bears):
            break
        bears = now
    else:
        raise SystemExit(f"no set of bearing nodes found at e {e}, L/D {ratio}")
    p = pressure.reshape(around, along)
    mean = (p * dz[None, :]).sum(axis=1)
    # a cell's share of sine and cosine is integrated, not taken at its middle
    along_line = -(mean / dx * np.diff(np.sin(x)) * dx).sum()
    across = (mean / dx * -np.diff(np.cos(x)) * dx).sum()
    load = np.hypot(along_line, across)
    # Shear on the journal: h/2 dp/dx + 1/h, the latter all around as Raimondi and Boyd count it.  Where the film has
    # broken there is less of it, so that friction is a bound.
    drag = (dx / centres).sum()
    # integral of h dp/dx by parts: p is nil at both ends
    pressed = 0.5 * -(mean * np.diff(faces)).sum()
    friction = (drag + pressed) / load
    # Flow through the thickest film, where the oil enters: half the film moves on, less what pressure holds back
    inlet = 0.5 * faces[0] - (faces[0] ** 3 / 12.0 * p[0] / (dx[0] / 2) * dz).sum()
    return float(1.0 / (np.pi * load)), float(friction), float(2.0 * np.pi * inlet)


def without_spacing(eccentricity: float, ratio: float, around: int = AROUND, along: int = ALONG) -> Any:
    """The three numbers carried from two grids to the limit."""
    coarse = np.array(solved(eccentricity, ratio, around, along))
    fine = np.array(solved(eccentricity, ratio, 2 * around, 2 * along))
    return fine + (fine - coarse) / 3.0


def table() -> dict[str, Any]:
    """All arrays of the shipped module by name, over L/D and then over the logits."""
    found = np.array([[without_spacing(1.0 / (1.0 + np.exp(y)), ratio) for y in LOGITS] for ratio in RATIOS])
    return {"SOMMERFELD": found[..., 0]}


def module(arrays: dict[str, Any]) -> str:
    """The text of the shipped module."""
    text = [
        '# ruff: noqa: SIM905\n"""Plain bearings of finite length in numbers, made by tools/bearing_film_table.py.\n',
        "Over L/D (RATIOS) and ln((1 - e) / e) of the eccentricity e (LOGITS): SOMMERFELD (R/c)^2 mu N / P, R and c",
        "being radius and radial clearance, P the load over L D, N in revolutions a second.",
        '"""\n\nimport numpy as np\n',
        f"RATIOS = np.array({RATIOS!r})",
        f"LOGITS = {LOGITS[0]} - 0.4 * np.arange({len(LOGITS)})",
    ]
    for name, array in arrays.items():
        lines, line = [], ""
        for value in array.ravel():
            word = f"{value:.6g}"
            if len(line) + len(word) + 1 > 116:
                lines.append(line)
                line = word
            else:
                line = f"{line} {word}".strip()
        lines.append(line)
        body = "\n".join(lines)
        text.append(f'{name} = np.array("""\n{body}\n""".split(), dtype=float).reshape({array.shape})')
    return "\n".join(text) + "\n"


def main() -> int:
    arrays = table()
    if "--write" in sys.argv:
        SHIPPED.write_text(module(arrays), encoding="utf-8")
        return 0
    found: dict[str, Any] = {}
    exec(compile(SHIPPED.read_text(encoding="utf-8"), str(SHIPPED), "exec"), found)
    worst = max(float(np.abs(array / found[name] - 1.0).max()) for name, array in arrays.items())
    print(f"greatest difference from the shipped table: {worst:.1e} of a value")
    return 0 if worst < 1e-4 else 1


if __name__ == "__main__":
    sys.exit(main())
