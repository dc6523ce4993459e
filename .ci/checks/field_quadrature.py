#!/usr/bin/python3
"""Fields of loops, straight conductors and magnets against adaptive quadrature of
the Biot-Savart and Coulomb integrals with SciPy, at seeded points that a Go test
writes. Prints the largest difference of each kind; exits 1 when one is too large."""
import json
import os
import subprocess
import sys
import tempfile

import numpy as np
from scipy.integrate import quad

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), '..', '..')
MU0 = 1.25663706127e-6  # CODATA 2022


def integrate(f, a, b, at=None):
    """Adaptive Gauss-Kronrod of a function of one variable, split at the peak."""
    edges = [a, b] if at is None or not a < at < b else [a, at, b]
    return sum(quad(f, u, v, epsabs=0, epsrel=1e-12, limit=400)[0] for u, v in zip(edges, edges[1:]))


def vector(f, a, b, at=None):
    """Three components with one tolerance, that of the largest."""
    edges = [a, b] if at is None or not a < at < b else [a, at, b]
    size = max(abs(integrate(lambda t: np.linalg.norm(f(t)), a, b, at)), 1e-300)
    return np.array([sum(quad(lambda t: f(t)[k], u, v, epsabs=1e-13 * size, epsrel=1e-12, limit=400)[0]
                         for u, v in zip(edges, edges[1:])) for k in range(3)])


def loop(size, p):
    a = size[0]

    def f(t):
        d = p - np.array([a * np.cos(t), a * np.sin(t), 0])
        return np.cross([-a * np.sin(t), a * np.cos(t), 0], d) / np.dot(d, d) ** 1.5

    start = np.arctan2(p[1], p[0])
    return MU0 / (4 * np.pi) * vector(f, start - np.pi, start + np.pi, start)


def loop_gradient(size, p):
    a = size[0]
    start = np.arctan2(p[1], p[0])
    g = np.zeros((3, 3))
    for j in range(3):
        e = np.eye(3)[j]

        def f(t):
            d = p - np.array([a * np.cos(t), a * np.sin(t), 0])
            dl = np.array([-a * np.sin(t), a * np.cos(t), 0])
            r2 = np.dot(d, d)
            return np.cross(dl, e) / r2 ** 1.5 - 3 * d[j] * np.cross(dl, d) / r2 ** 2.5

        g[:, j] = MU0 / (4 * np.pi) * vector(f, start - np.pi, start + np.pi, start)
    return g


def segment(size, p):
    a, b = np.array(size[:3]), np.array(size[3:])
    l = b - a

    def f(t):
        d = p - (a + t * l)
        return np.cross(l, d) / np.dot(d, d) ** 1.5

    return MU0 / (4 * np.pi) * vector(f, 0, 1, np.dot(p - a, l) / np.dot(l, l))


def cylinder(size, p):
    """Surface current Br/mu0 on the side; the height is elementary."""
    a, half = size[0], size[1] / 2

    def f(t):
        dx, dy = p[0] - a * np.cos(t), p[1] - a * np.sin(t)
        s2 = dx * dx + dy * dy
        lo, hi = p[2] - half, p[2] + half
        rl, rh = np.sqrt(s2 + lo * lo), np.sqrt(s2 + hi * hi)
        i0 = (hi / rh - lo / rl) / s2      # int dz/r^3
        i1 = 1 / rl - 1 / rh               # int (z - z')/r^3
        c, s = np.cos(t), np.sin(t)
        return a * np.array([c * i1, s * i1, -(s * dy + c * dx) * i0])

    start = np.arctan2(p[1], p[0])
    return vector(f, start - np.pi, start + np.pi, start) / (4 * np.pi)


def cuboid(size, p):
    """Charged faces, both integrals by quadrature."""
    h = np.array(size) / 2
    total = np.zeros(3)
    for sign in (1, -1):
        dz = p[2] - sign * h[2]

        def row(x):
            def f(y):
                d = np.array([p[0] - x, p[1] - y, dz])
                return d / np.dot(d, d) ** 1.5
            return gauss(f, -h[1], h[1])
        total += sign * gauss(row, -h[0], h[0])
    return total / (4 * np.pi)


NODES, WEIGHTS = np.polynomial.legendre.leggauss(24)


def gauss(f, a, b, depth=0, whole=None):
    """Bisecting Gauss-Legendre of a vector: stops when two halves change nothing."""
    if whole is None:
        whole = panel(f, a, b)
    m = (a + b) / 2
    left, right = panel(f, a, m), panel(f, m, b)
    if depth > 12 or np.linalg.norm(left + right - whole) <= 1e-12 * np.linalg.norm(left + right):
        return left + right
    return gauss(f, a, m, depth + 1, left) + gauss(f, m, b, depth + 1, right)


def panel(f, a, b):
    c, r = (a + b) / 2, (b - a) / 2
    return r * sum(w * f(c + r * x) for x, w in zip(NODES, WEIGHTS))


def main():
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, 'fields.json')
        env = dict(os.environ, LODEGRID_FIELD_DUMP=path)
        subprocess.run(['go', 'test', '-count=1', '-run', '^TestDumpForQuadrature$', './field'],
                       cwd=ROOT, env=env, check=True, stdout=subprocess.DEVNULL)
        with open(path) as f:
            items = json.load(f)
    kinds = {'loop': loop, 'segment': segment, 'cylinder': cylinder, 'cuboid': cuboid}
    worst, count = {}, {}

    def note(kind, got, want):
        off = np.linalg.norm(np.array(got) - want) / np.linalg.norm(want)
        worst[kind] = max(worst.get(kind, 0), off if off == off else np.inf)
        count[kind] = count.get(kind, 0) + 1

    for item in items:
        p = np.array(item['P'])
        note(item['Kind'], item['B'], kinds[item['Kind']](item['Size'], p))
        if item['Kind'] == 'loop':
            note('loop gradient', item['Gradient'], loop_gradient(item['Size'], p))
    bad = 0
    for kind in ['loop', 'loop gradient', 'segment', 'cylinder', 'cuboid']:
        limit = 1e-12
        state = 'ok' if worst.get(kind, np.inf) <= limit else 'TOO LARGE'
        bad += state != 'ok'
        print(f'{kind:14s} {count.get(kind, 0):3d} points, largest |B - quadrature|/|B| {worst.get(kind, np.inf):.1e} (limit {limit:.0e}) {state}')
    sys.exit(1 if bad else 0)


main()
