#!/usr/bin/python3
"""The heat steppers against SciPy in one run: times are the best of several, so
that a busy machine spoils less; what counts are the ratios.

1. A minute of a 64 x 64 x 2 board: solve_ivp BDF at a loose tolerance (sparse
   analytic Jacobian) against the implicit steps that reach the same error.
2. Frames of 1/30 s: sparse LU factored once (splu, symmetric mode), with the
   nonlinear terms taken explicitly as the Go code takes them implicitly, and
   the bare solve alone.

Run from anywhere: /usr/bin/python3 testdata/rivals/heat_ratio.py
"""
import os
import re
import subprocess
import sys
import time

import numpy as np
import scipy.sparse as sp
from scipy.integrate import solve_ivp
from scipy.sparse.linalg import splu

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from heat_model import ROOT, SIGMA, Model  # noqa: E402

A = 1.44e-4
N = 64


def minute():
    share = [1.0 if i % 10 == 0 else 0.0 for i in range(N * N)]
    return {
        "Rows": N, "Cols": N, "Ambient": 293.15,
        "Layers": [{"Capacity": 0.6, "Lateral": 0.0285, "Down": 0.086, "Front": A},
                   {"Capacity": 1.04, "Lateral": 0.1, "Back": A}],
        "Front": {"Coefficient": 8, "Emissivity": 0.9}, "Back": {"Coefficient": 6, "Emissivity": 0.9},
        "Load": {"Kind": "current", "Resistance20": 3.0, "Alpha": 0.00393, "Amps": (0.5 / 3) ** 0.5, "Share": share},
    }


def animation(layers):
    case = minute()
    case["Front"] = case["Back"] = {"Orientation": "vertical", "Length": 0.012 * N, "Emissivity": 0.9}
    if layers == 3:
        case["Layers"] = [{"Capacity": 0.2, "Lateral": 0.01, "Down": 0.25, "Front": A},
                          {"Capacity": 0.4, "Lateral": 0.0185, "Down": 0.086},
                          {"Capacity": 0.7, "Lateral": 0.4, "Back": A}]
    return case


class Quick(Model):
    """The minute's right-hand side and Jacobian by hand, as fast as NumPy goes."""

    def __init__(self, case):
        super().__init__(case)
        self.ha = sum(self.area[f] * case[f]["Coefficient"] for f in ("Front", "Back"))
        self.ea = sum(self.area[f] * case[f]["Emissivity"] for f in ("Front", "Back")) * SIGMA
        self.gain = np.zeros(self.nodes)
        load = self.load
        self.gain[:self.pixels] = self.share * load["Amps"] ** 2 * load["Resistance20"] * load["Alpha"]
        self.base = np.zeros(self.nodes)
        self.base[:self.pixels] = self.share * load["Amps"] ** 2 * load["Resistance20"]
        self.ta = case["Ambient"]
        self.inv = 1 / self.c

    def __call__(self, _, t):
        t2 = t * t
        return self.inv * (self.base + self.gain * (t - 293.15) - self.k @ t - self.ha * (t - self.ta)
                           - self.ea * (t2 * t2 - self.ta**4))

    def jacobian(self, _, t):
        return sp.diags(self.inv) @ (sp.diags(self.gain - self.ha - 4 * self.ea * t**3) - self.k)


def best(f, times):
    least, out = float("inf"), None
    for _ in range(times):
        start = time.perf_counter()
        out = f()
        least = min(least, time.perf_counter() - start)
    return least, out


def go(pattern, benchtime):
    """Runs Go benchmarks and returns {name: {metric: value}}."""
    done = subprocess.run(["go", "test", "-run", "^$", "-bench", pattern, "-benchtime", benchtime, "./array/heat"],
                          cwd=ROOT, capture_output=True, text=True)
    if done.returncode:
        sys.exit(done.stdout + done.stderr)
    out = {}
    for line in done.stdout.splitlines():
        m = re.match(r"Benchmark(\S+?)(?:-\d+)?\s+\d+\s+(.*)", line)
        if m:
            fields = m.group(2).split()
            out[m.group(1)] = {u: float(v) for v, u in zip(fields[::2], fields[1::2])}
    return out


def main():
    model = Quick(minute())
    t0 = np.full(model.nodes, 293.15)

    def bdf(rtol, atol):
        s = solve_ivp(model, (0, 60), t0, method="BDF", rtol=rtol, atol=atol, jac=model.jacobian)
        assert s.success
        return s

    truth = bdf(1e-9, 1e-9)
    ours = go("Minute", "20x")
    print(f"Minute, 64x64x2: hottest rise {truth.y[:, -1].max() - 293.15:.6f} K by BDF rtol 1e-9, "
          f"{ours['Minute/implicit/steps=16']['K-rise']:.6f} K by 16 implicit steps")
    for rtol in (1e-3, 1e-4, 1e-5):
        seconds, s = best(lambda: bdf(rtol, rtol), 3)
        error = np.abs(s.y[:, -1] - truth.y[:, -1]).max()
        fits = {k: v for k, v in ours.items() if v["mK-error"] <= error * 1e3}
        if not fits:
            print(f"  BDF rtol {rtol:g}: error {error:.2e} K: no Go run as good")
            continue
        name, v = min(fits.items(), key=lambda kv: kv[1]["best-ms"])
        print(f"  BDF rtol {rtol:g}: {s.t.size - 1} steps, {seconds * 1e3:.1f} ms, error {error:.2e} K; "
              f"{name}: {v['best-ms']:.2f} ms, error {v['mK-error'] * 1e-3:.2e} K; ratio {seconds * 1e3 / v['best-ms']:.0f}")
    print("Frames of 1/30 s, 64x64:")
    ours = go("Frames", "400x")
    for layers in (2, 3):
        m = Model(animation(layers))
        t = np.full(m.nodes, 293.15)
        h = 1 / 30
        slope = sum(m.area[f] for f in ("Front", "Back")) * 9.0
        a = (sp.diags(m.c / h + slope) + m.k).tocsc()
        factor_s, lu = best(lambda: splu(a, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0,
                                         options={"SymmetricMode": True}), 3)
        b = m.c / h * t
        solve_s, _ = best(lambda: lu.solve(b), 200)

        def step():
            # Linear loss implicit, the rest of loss and power explicit.
            f = m.c / h * t - m.loss(t) + slope * t
            f[:m.pixels] += m.power(t[:m.pixels])
            return lu.solve(f)

        step_s, _ = best(step, 100)
        for name in ("auto", "auto-uneven"):
            v = ours[f"Frames/{name}/64x64x{layers}"]["best-steps/s"]
            print(f"  {layers} layers, Go {name}: {v:.0f} steps/s; splu bare solve {1 / solve_s:.0f}/s (ratio {v * solve_s:.2f}), "
                  f"splu with nonlinear terms {1 / step_s:.0f}/s (ratio {v * step_s:.1f}), "
                  f"splu refactored {1 / (factor_s + solve_s):.1f}/s (ratio {v * (factor_s + solve_s):.0f})")


if __name__ == "__main__":
    main()
