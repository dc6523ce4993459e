#!/usr/bin/python3
"""Bounded least squares on 12 x 12 pixels: SciPy's lsq_linear (BVLS, dense) against the
stored levels that the Go test of array/equalise uses. The coils are stacks of circular
loops whose axial field comes from scipy.special's elliptic integrals, so the matrix is
independent of the Go code as well. With --write the values are stored anew.

Exits non-zero when a live level differs from the stored one by more than printed.
"""
import json
import os
import sys

import numpy as np
import scipy
from scipy.optimize import lsq_linear
from scipy.special import ellipe, ellipk

HERE = os.path.dirname(os.path.abspath(__file__))
PATH = os.path.join(HERE, "..", "..", "testdata", "grid", "lsq12.json")
MU0 = 1.25663706127e-6  # CODATA 2022, N/A^2
TOLERANCE = 1e-9

RADII = [2e-3, 3e-3, 4e-3, 5e-3]
HEIGHTS = [-0.1e-3, -0.6e-3, -1.1e-3]
PLANE = 2e-3
PITCH = 12e-3
SIDE = 12
CURRENT = 1.0


def axial(rho, z, a):
    """Bz of a loop of radius a at (rho, z) per ampere (J. D. Jackson, Classical
    Electrodynamics, sec. 5.5, in the form with K and E; from memory)."""
    m = 4 * a * rho / ((a + rho) ** 2 + z * z)
    q = np.sqrt((a + rho) ** 2 + z * z)
    return MU0 / (2 * np.pi * q) * (ellipk(m) + (a * a - rho * rho - z * z) / ((a - rho) ** 2 + z * z) * ellipe(m))


def matrix():
    i = np.arange(SIDE * SIDE)
    x, y = i % SIDE, i // SIDE
    rho = PITCH * np.hypot(x[:, None] - x[None, :], y[:, None] - y[None, :])
    return CURRENT * sum(axial(rho, PLANE - h, a) for a in RADII for h in HEIGHTS)


def cases(a):
    own = a[0, 0]
    rng = np.random.default_rng(20)
    i = np.arange(SIDE * SIDE)
    x, y = i % SIDE, i // SIDE
    wave = (y > 5 + 3 * np.sin(x * 0.7)).astype(float)
    out = []
    for name, target, low, high in [
        ("wave, bipolar", wave * 0.9 * own, -1, 1),
        ("wave, unipolar", wave * 0.9 * own, 0, 1),
        ("random, beyond reach", rng.uniform(-1.5, 1.5, SIDE * SIDE) * own, -1, 1),
        ("random, narrow", rng.uniform(0, 1, SIDE * SIDE) * own, 0.1, 0.6),
    ]:
        r = lsq_linear(a / own, target / own, (low, high), method="bvls", tol=1e-15, max_iter=2000)
        assert r.success, r.message
        miss = a @ r.x - target
        out.append({"Name": name, "Low": low, "High": high,
                    "Target": target.tolist(), "Levels": r.x.tolist(),
                    "RMS": float(np.sqrt(np.mean(miss ** 2)))})
    return out


def main():
    live = cases(matrix())
    if "--write" in sys.argv:
        with open(PATH, "w", encoding="utf-8") as f:
            json.dump({"Origin": f"SciPy {scipy.__version__} lsq_linear BVLS tol 1e-15, field of loops from scipy.special; "
                                 "written by .ci/checks/grid_equaliser.py --write",
                       "Radii": RADII, "Heights": HEIGHTS, "Plane": PLANE, "Pitch": PITCH, "Side": SIDE,
                       "Current": CURRENT, "Cases": live}, f, separators=(",", ":"))
            f.write("\n")
    with open(PATH, encoding="utf-8") as f:
        stored = json.load(f)
    bad = len(stored["Cases"]) != len(live)
    for c, s in zip(live, stored["Cases"]):
        worst = float(np.max(np.abs(np.array(c["Levels"]) - np.array(s["Levels"]))))
        bad |= not worst <= TOLERANCE
        print(f"{c['Name']}: rms {c['RMS']:.6e} T, live against stored {worst:.1e} of full level (allowed {TOLERANCE:g})")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
