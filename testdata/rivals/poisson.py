"""The Poisson equation of package array/tank/poisson, solved with SciPy.

Same discrete equation, same right side, the two usual ways with library calls:

  banded   cosine transform along the columns, scipy.linalg.solve_banded along
           the rows, one wavenumber at a time
  dctn     cosine transform along both axes, division by the eigenvalues

Usage: poisson.py ROWS COLS [REPEATS]   prints one JSON object: seconds of the
fastest repeat of each, and a few values of the answer for comparison.
"""
import json
import sys
import time

import numpy as np
import scipy
from scipy.fft import dct, dctn, idct, idctn
from scipy.linalg import solve_banded


def right_side(rows, cols):
    """The right side the Go test uses too: smooth, no symmetry, mean removed."""
    i = np.arange(rows)[:, None] + 0.5
    j = np.arange(cols)[None, :] + 0.5
    f = np.sin(0.37 * i + 0.011 * j * j) + np.cos(0.23 * j) * np.sin(0.9 * i) + i * j / (rows * cols)
    return f - f.mean()


def main():
    rows, cols = int(sys.argv[1]), int(sys.argv[2])
    repeats = int(sys.argv[3]) if len(sys.argv) > 3 else 30
    dx, dy = 0.75, 0.8
    f = right_side(rows, cols)
    lam_y = -(2 / dy * np.sin(np.pi * np.arange(rows) / (2 * rows))) ** 2
    lam_x = -(2 / dx * np.sin(np.pi * np.arange(cols) / (2 * cols))) ** 2

    bands = []
    for k in range(rows):
        ab = np.zeros((3, cols))
        ab[0, 1:] = 1 / dx**2
        ab[2, :-1] = 1 / dx**2
        ab[1] = -2 / dx**2 + lam_y[k]
        ab[1, 0] += 1 / dx**2
        ab[1, -1] += 1 / dx**2
        bands.append(ab)
    # The constant part: pin the last value.
    bands[0][1, -1] = 1
    bands[0][2, -2] = 0

    def banded():
        g = dct(f, axis=0)
        g[0, -1] = 0
        for k in range(rows):
            g[k] = solve_banded((1, 1), bands[k], g[k], check_finite=False)
        return idct(g, axis=0)

    lam = lam_y[:, None] + lam_x[None, :]
    lam[0, 0] = 1

    def both():
        g = dctn(f)
        g /= lam
        g[0, 0] = 0
        return idctn(g)

    out = {"scipy": scipy.__version__, "numpy": np.__version__, "rows": rows, "cols": cols}
    for name, solve in (("banded", banded), ("dctn", both)):
        best = np.inf
        for _ in range(repeats):
            start = time.perf_counter()
            p = solve()
            best = min(best, time.perf_counter() - start)
        p = p - p.mean()
        out[name] = {
            "seconds": best,
            "values": [[i, j, p[i, j]] for i in (0, rows // 3, rows - 1) for j in (0, cols // 2, cols - 1)],
        }
    json.dump(out, sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()
