#!/usr/bin/python3
"""Robust least squares with tolerances: SciPy's least_squares against the stored answers that
the Go test of array/fit uses. With --write the problems and answers are stored anew.

Exits non-zero when a live answer differs from the stored one by more than printed.
"""
import itertools
import json
import os
import sys

import numpy as np
import scipy
from scipy.optimize import least_squares

HERE = os.path.dirname(os.path.abspath(__file__))
PATH = os.path.join(HERE, "..", "..", "testdata", "fit", "robust.json")
HUBER = 1.345
SLIP = 3.0
TOLERANCE = 1e-6  # of a standard error


def predict(x):
    """Ohms at 20 and 60 degC, rises over time, field at heights: copper, width, thermal
    resistance, capacity, probe depth, each moved by its tolerance."""
    copper, width, rth, cap, probe = 1 + 0.08 * x[0], 1 - 0.06 * x[1], 20 * (1 + 0.2 * x[2]), 1.5 * (1 + 0.1 * x[3]), 0.2 * x[4]
    ohms = 11.4 / copper / width
    rise = lambda t: rth * 25 / ohms * (1 - np.exp(-t / (rth * cap)))
    field = lambda h: 12.0 / (1 + ((h + probe) / 3.2) ** 2) ** 1.5
    return np.array([ohms, ohms * (1 + 0.00393 * 40)] + [rise(t) for t in (5, 15, 40, 100, 300)] + [field(h) for h in (0.5, 1, 2, 3, 5)])


ERRORS = np.array([0.06, 0.07] + 5 * [0.8] + 5 * [0.1])


def solve(read):
    n = len(read)

    def residuals(x):
        return np.concatenate([(predict(x) - read) / ERRORS, x])

    def loss(z):  # Huber's on the readings, squares on the tolerances
        r = np.sqrt(z)
        far = (np.arange(z.size) < n) & (r > HUBER)
        rho = np.array([z, np.ones_like(z), np.zeros_like(z)])
        rho[0][far] = 2 * HUBER * r[far] - HUBER**2
        rho[1][far] = HUBER / r[far]
        rho[2][far] = -0.5 * HUBER * r[far] ** -3
        return rho

    a = least_squares(residuals, np.zeros(5), loss=loss, jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-14, max_nfev=10000)
    j = least_squares(residuals, a.x, jac="3-point", max_nfev=1).jac
    r = residuals(a.x)
    keep = (np.arange(r.size) >= n) | (np.abs(r) <= HUBER)
    sd = np.sqrt(np.diag(np.linalg.inv(j[keep].T @ j[keep])))
    return a.x, sd


def guesses(read):
    """The most probable set of slips, its answer, and the standard errors of the mixture over all
    sets, each solved for itself: Box and Tiao, Biometrika 55 (1968) 119, by Laplace's
    method. A slip is as likely as makes a reading 3 errors off even odds."""
    n = len(read)
    found = []
    for count in range(n + 1):
        for out in itertools.combinations(range(n), count):
            keep = np.setdiff1d(np.arange(n), out)
            rest = lambda x: np.concatenate([((predict(x) - read) / ERRORS)[keep], x])
            a = least_squares(rest, np.zeros(5), method="lm", xtol=1e-10, ftol=1e-10)
            h = a.jac.T @ a.jac
            found.append((-a.cost - count * SLIP**2 / 2 - np.linalg.slogdet(h)[1] / 2, out, a.x, np.linalg.inv(h)))
    odds, out, x, _ = max(found, key=lambda f: f[0])
    weights = np.exp([f[0] - odds for f in found])
    cov = sum(w * (c + np.outer(y - x, y - x)) for w, (_, _, y, c) in zip(weights, found)) / sum(weights)
    return list(out), x, np.sqrt(np.diag(cov))


def main():
    rng = np.random.default_rng(16)
    if "--write" in sys.argv:
        problems = []
        for k in range(6):
            read = predict(rng.normal(size=5)) + ERRORS * rng.normal(size=12)
            if k % 2:
                read[[3, 9]] += [9.0, -1.5]
            x, sd = solve(read)
            out, y, mixed = guesses(read)
            problems.append({"read": list(read), "x": list(x), "sd": list(sd), "slips": out, "kept_x": list(y), "mixed_sd": list(mixed)})
        with open(PATH, "w") as f:
            json.dump({"scipy": scipy.__version__, "errors": list(ERRORS), "problems": problems}, f, indent=1)
            f.write("\n")
    worst = 0.0
    with open(PATH) as f:
        stored = json.load(f)
    for p in stored["problems"]:
        x, sd = solve(np.array(p["read"]))
        worst = np.max([worst, *np.abs((x - p["x"]) / sd), *np.abs(sd / p["sd"] - 1)])  # NaN stays NaN
    p = stored["problems"][1]
    out, x, sd = guesses(np.array(p["read"]))
    worst = np.max([worst, float(out != p["slips"]), 0.01 * np.max(np.abs((x - p["kept_x"]) / sd)), 0.01 * np.max(np.abs(sd / p["mixed_sd"] - 1))])
    print(f"fit: {len(stored['problems'])} problems, worst {worst:.1e} of a standard error (allowed {TOLERANCE:.0e})")
    sys.exit(int(not worst <= TOLERANCE))


main()
