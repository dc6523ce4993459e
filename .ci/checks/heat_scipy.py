#!/usr/bin/python3
"""Two 16 x 16 boards integrated by SciPy's stiff solver, against the stored values
that the Go tests use. With --write the values are stored anew.

Exits non-zero when a live value differs from the stored one by more than the
tolerance printed.
"""
import json
import os
import sys

import numpy as np
import scipy
from scipy.integrate import solve_ivp

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.abspath(os.path.join(HERE, "..", ".."))
sys.path.insert(0, os.path.join(ROOT, "testdata", "rivals"))
from heat_model import Model  # noqa: E402

A = 1.44e-4
TIMES = [5.0, 60.0, 900.0]
TOLERANCE = 2e-5  # K


def cases():
    every = [1.0 if i % 10 == 0 or i in (17, 18, 33) else 0.0 for i in range(256)]
    upright = {
        "Name": "upright, uniform, voltage drive", "Rows": 16, "Cols": 16, "Ambient": 293.15,
        "Layers": [{"Capacity": 0.6, "Lateral": 0.0285, "Down": 0.086, "Front": A},
                   {"Capacity": 1.04, "Lateral": 0.1, "Back": A}],
        "Front": {"Orientation": "vertical", "Length": 0.192, "Emissivity": 0.9},
        "Back": {"Orientation": "vertical", "Length": 0.192, "Emissivity": 0.2},
        "Load": {"Kind": "voltage", "Resistance20": 3.0, "Alpha": 0.00393, "Volts": 3.0, "Series": 0.2, "Share": every},
    }
    lying = {
        "Name": "face up, pane, fan, edges, warm walls, current drive", "Rows": 16, "Cols": 16,
        "Ambient": 298.15, "Surroundings": 303.15,
        "Layers": [{"Capacity": 0.2, "Lateral": 0.01, "Down": 0.25, "Front": A},
                   {"Capacity": 0.4, "Lateral": 0.0185, "Down": 0.086, "Rim": 1.9e-5},
                   {"Capacity": 0.7, "Lateral": 0.4, "Back": A, "Rim": 2.4e-5}],
        "Front": {"Orientation": "face-up", "Length": 0.048, "Emissivity": 0.85, "Insulation": 0.012},
        "Back": {"Orientation": "face-down", "Length": 0.048, "Emissivity": 0.1, "AirSpeed": 0.4, "FlowLength": 0.192},
        "Edge": {"Orientation": "vertical", "Length": 0.01, "Emissivity": 0.9},
        "Load": {"Kind": "current", "Resistance20": 3.0, "Alpha": 0.00393, "Amps": 0.9, "Share": every},
    }
    return [upright, lying]


def run(case):
    model = Model(case)
    t0 = np.full(model.nodes, case["Ambient"])
    sol = solve_ivp(model, (0, TIMES[-1]), t0, method="Radau", rtol=1e-8, atol=1e-8,
                    jac=model.jacobian, t_eval=TIMES)
    assert sol.success, sol.message
    return sol.y.T


def main():
    path = os.path.join(ROOT, "testdata", "heat", "scipy16.json")
    live = [(c, run(c)) for c in cases()]
    if "--write" in sys.argv:
        out = {"Origin": f"SciPy {scipy.__version__} solve_ivp Radau rtol 1e-8 atol 1e-8, equations in "
                         "testdata/rivals/heat_model.py; written by .ci/checks/heat_scipy.py --write",
               "Cases": [{**c, "Times": TIMES, "Kelvin": [[round(x, 7) for x in y] for y in ys]} for c, ys in live]}
        with open(path, "w", encoding="utf-8") as f:
            json.dump(out, f, separators=(",", ":"))
            f.write("\n")
    with open(path, encoding="utf-8") as f:
        stored = json.load(f)
    bad = False
    for (c, ys), s in zip(live, stored["Cases"]):
        for t, y, k in zip(TIMES, ys, s["Kelvin"]):
            worst = float(np.max(np.abs(y - np.array(k))))
            bad |= not worst <= TOLERANCE
            print(f"{c['Name']}: t = {t:g} s, hottest {y.max():.4f} K, live against stored {worst:.2e} K "
                  f"(allowed {TOLERANCE:g})")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
