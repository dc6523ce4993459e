#!/usr/bin/python3
"""Recompute with SciPy what field/coil is tested against.

Nothing here uses the closed forms of the Go code for straight filaments, arcs or
rectangles: mutual inductances come from Neumann's double integral, mean distances
from quadrature of the logarithm. Coils with wide tracks are cut into many thin
filaments. Without arguments the values are compared with testdata/coil/*.csv and
printed, and the script exits 1 on a difference; --write stores them.
"""
import math
import os
import sys

import numpy as np
from scipy import integrate, special

MU0 = 4e-7 * math.pi
HERE = os.path.dirname(os.path.abspath(__file__))
DATA = os.path.join(HERE, "..", "..", "testdata", "coil")


# --- straight filaments ------------------------------------------------------

def straight(a0, a1, b0, b1):
    """Neumann integral of two straight filaments, inner integral asinh, outer adaptive."""
    a0, a1, b0, b1 = (np.array(v, float) for v in (a0, a1, b0, b1))
    u, v = a1 - a0, b1 - b0
    l, m = np.linalg.norm(u), np.linalg.norm(v)
    u, v = u / l, v / m

    def inner(t):
        w = b0 + t * v - a0
        s = w @ u
        d = np.linalg.norm(w - s * u)
        if d < 1e-300:
            return abs(math.log(abs((l - s) / s)))
        return math.asinh((l - s) / d) + math.asinh(s / d)

    value, _ = integrate.quad(inner, 0, m, epsabs=0, epsrel=1e-12, limit=400)
    return MU0 / (4 * math.pi) * (u @ v) * value


def filaments():
    """Pairs of filaments in every kind of position, mm."""
    named = [
        ("parallel side by side", (0, 0, 0), (10, 0, 0), (0, 3, 0), (10, 3, 0)),
        ("parallel staggered", (0, 0, 0), (10, 0, 0), (4, 1, 2), (19, 1, 2)),
        ("antiparallel", (0, 0, 0), (10, 0, 0), (12, 0.5, 0), (-3, 0.5, 0)),
        ("in one line", (0, 0, 0), (10, 0, 0), (11, 0, 0), (15, 0, 0)),
        ("end to end", (0, 0, 0), (10, 0, 0), (10, 0, 0), (17, 0, 0)),
        ("touching at 60 deg", (0, 0, 0), (10, 0, 0), (10, 0, 0), (15, 5 * math.sqrt(3), 0)),
        ("touching at 15 deg", (0, 0, 0), (1, 0, 0), (1, 0, 0), (1 + math.cos(math.pi / 12), math.sin(math.pi / 12), 0)),
        ("from one point at 120 deg", (0, 0, 0), (4, 0, 0), (0, 0, 0), (-3, 3 * math.sqrt(3), 0)),
        ("coplanar at 120 deg", (0, 0, 0), (10, 0, 0), (12, 1, 0), (9, 1 + 3 * math.sqrt(3), 0)),
        ("skew and crossing in plan", (-5, 0, 0), (5, 0, 0), (-3, -3, 0.2), (4, 4, 0.2)),
        ("skew", (0, 0, 0), (10, 0, 0), (3, -2, 1), (5, 6, 4)),
        ("one degree off parallel", (0, 0, 0), (10, 0, 0), (0, 0.2, 0.3), (10 * math.cos(math.pi / 180), 0.2 + 10 * math.sin(math.pi / 180), 0.3)),
        ("a tenth of a degree off", (0, 0, 0), (10, 0, 0), (0, 0.2, 0.3), (10 * math.cos(math.pi / 1800), 0.2 + 10 * math.sin(math.pi / 1800), 0.3)),
        ("far", (0, 0, 0), (1, 0, 0), (30, 20, 5), (31, 20.5, 5)),
        ("far and skew", (0, 0, 0), (1, 2, 0), (-8, 9, 12), (-7, 9, 11)),
    ]
    rng = np.random.default_rng(7)
    for k in range(20):
        named.append(("random %d" % k,) + tuple(tuple(p) for p in rng.uniform(-5, 5, (4, 3)).round(3)))
    for name, *p in named:
        yield [name] + ["%.12g" % c for q in p for c in q] + ["%.15g" % straight(*(np.array(q) * 1e-3 for q in p))]


# --- circles -----------------------------------------------------------------

def coaxial(a, b, d):
    """Maxwell's formula with SciPy's K and E of the complementary parameter."""
    s = (a + b) ** 2 + d * d
    mc = ((a - b) ** 2 + d * d) / s
    k = np.sqrt(4 * a * b / s)
    big_k, big_e = special.ellipkm1(mc), special.ellipe(1 - mc)
    return MU0 * np.sqrt(a * b) * ((2 / k - k) * big_k - 2 / k * big_e)


def parallel_axes(a, b, dx, dz, n=512):
    """Neumann integral of two circles on parallel axes: trapezoidal rule, both round trips."""
    t = 2 * np.pi * np.arange(n) / n
    ca, sa = np.cos(t)[:, None], np.sin(t)[:, None]
    cb, sb = np.cos(t)[None, :], np.sin(t)[None, :]
    x, y = dx + b * cb - a * ca, b * sb - a * sa
    dot = a * b * (sa * sb + ca * cb)
    return MU0 / (4 * math.pi) * np.sum(dot / np.sqrt(x * x + y * y + dz * dz)) * (2 * np.pi / n) ** 2


# --- mean distances ----------------------------------------------------------

def mean_log(w, t1, t2, x, y):
    """Mean of ln distance over two rectangles, by the density of their differences."""
    def fx(u):
        return max(0.0, 1 - abs(u) / w) / w

    lo, hi = abs(t1 - t2) / 2, (t1 + t2) / 2

    def fy(v):
        v = abs(v)
        top = 1 / max(t1, t2)
        return top if v <= lo else top * max(0.0, (hi - v) / (hi - lo))

    total = 0.0
    xs, ys = sorted({-w, 0.0, w} | ({-x} if -w < -x < w else set())), sorted({-hi, -lo, 0.0, lo, hi} | ({-y} if -hi < -y < hi else set()))
    for a, b in zip(xs, xs[1:]):
        for c, d in zip(ys, ys[1:]):
            v, _ = integrate.dblquad(lambda v, u: fx(u) * fy(v) * 0.5 * math.log((x + u) ** 2 + (y + v) ** 2 + 1e-300), a, b, c, d, epsabs=1e-11, epsrel=1e-10)
            total += v
    return total


def gmd():
    """w, t1, t2, x, y in units of the width."""
    for w, t1, t2, x, y in [
        (1, 1, 1, 0, 0), (1, 0.35, 0.35, 0, 0), (1, 0.1, 0.1, 0, 0),
        (1, 0.35, 0.35, 2, 0), (1, 0.35, 0.35, 1.2, 0), (1, 0.35, 0.35, 0, 1.5), (1, 0.35, 0.7, 0, 1.8),
        (1, 0.35, 0.7, 2, 1.8), (1, 0.35, 0.35, 6, 0), (1, 0.35, 0.35, 7, 4), (1, 0.35, 0.35, 9, 3),
    ]:
        yield ["%g" % v for v in (w, t1, t2, x, y)] + ["%.10f" % mean_log(w, t1, t2, x, y)]


# --- coils -------------------------------------------------------------------

def bars(radii, zs, w, t, nw, nt, weights=None):
    """Inductance of coaxial rectangular bars carrying 1 A each, cut into nw x nt filaments."""
    u = (np.arange(nw) + 0.5) / nw - 0.5
    v = (np.arange(nt) + 0.5) / nt - 0.5
    r, z = [], []
    for zc in zs:
        for rc in radii:
            rr, zz = np.meshgrid(rc + u * w, zc + v * t, indexing="ij")
            r.append(rr.ravel())
            z.append(zz.ravel())
    r, z = np.concatenate(r), np.concatenate(z)
    share = 1.0 / (nw * nt)
    # A cell's own mean distance, by quadrature above.
    g = math.exp(mean_log(w / nw, t / nt, t / nt, 0, 0))
    total = np.sum(MU0 * r * (np.log(8 * r / g) - 2))
    for k in range(len(r)):
        m = coaxial(r[k], r[k + 1:], z[k] - z[k + 1:])
        total += 2 * np.sum(m)
    return total * share * share


def round_turns(outer, w, gap, n):
    p = w + gap
    return [outer / 2 - w / 2 - p * (k + 0.5) for k in range(n)]


def round_coils():
    """Wide-track round coils from fine filaments, extrapolated in the filament count."""
    for outer, w, gap, n, zs, t in [
        (9.3, 0.1016, 0.1016, 5, [-0.0174, -0.2, -0.4], 0.0348),
        (9.3, 0.3, 0.1, 6, [-0.035, -0.3], 0.07),
        (6.0, 0.5, 0.1, 4, [-0.0525], 0.105),
    ]:
        radii = [r * 1e-3 for r in round_turns(outer, w, gap, n)]
        z = [v * 1e-3 for v in zs]
        coarse = bars(radii, z, w * 1e-3, t * 1e-3, 8, 3)
        fine = bars(radii, z, w * 1e-3, t * 1e-3, 16, 6)
        value = fine + (fine - coarse) / 3
        yield ["%g" % outer, "%g" % w, "%g" % gap, "%d" % n, "%g" % t, ";".join("%g" % v for v in zs), "%.9e" % value]


def sample(points, ds):
    """Cut a polyline into pieces of about ds: middles and vectors."""
    mids, vecs = [], []
    for a, b in zip(points, points[1:]):
        n = max(1, int(math.ceil(np.linalg.norm(b - a) / ds)))
        f = (np.arange(n) + 0.5) / n
        mids.append(a + f[:, None] * (b - a))
        vecs.append(np.repeat((b - a)[None, :] / n, n, axis=0))
    return np.concatenate(mids), np.concatenate(vecs)


def neumann(path, g, ds):
    """Neumann integral of a path with itself at the distance g."""
    m, v = sample(path, ds)
    total = 0.0
    for k in range(0, len(m), 500):
        d = m[k:k + 500, None, :] - m[None, :, :]
        total += np.sum((v[k:k + 500] @ v.T) / np.sqrt(np.sum(d * d, axis=2) + g * g))
    return MU0 / (4 * math.pi) * total


def archimedes(outer, w, gap, n, steps=720):
    u = np.linspace(0, n, int(n * steps) + 1)
    r = outer / 2 - w / 2 - (w + gap) * u
    return np.stack([r * np.cos(2 * np.pi * u), r * np.sin(2 * np.pi * u)], axis=1)


def polygon(outer, w, gap, n, m):
    """Spiral whose sides move in by a share of the pitch each, from corner to corner."""
    sides = int(round(n * m))
    a = [outer / 2 - w / 2 - (w + gap) * j / m for j in range(-1, sides + 1)]
    nrm = [np.array([math.cos(2 * math.pi * j / m), math.sin(2 * math.pi * j / m)]) for j in range(-1, sides + 1)]
    corner = [np.linalg.solve(np.array([nrm[j], nrm[j + 1]]), np.array([a[j], a[j + 1]])) for j in range(len(a) - 1)]
    # First and last side run to the ray of their corner.
    corner[0] = np.linalg.solve(np.array([nrm[1], nrm[1] - nrm[0]]), np.array([a[1], 0.0]))
    corner[-1] = np.linalg.solve(np.array([nrm[-2], nrm[-1] - nrm[-2]]), np.array([a[-2], 0.0]))
    return np.array(corner)


def spirals():
    """Self-inductance of true spirals as a thin path at the track's own mean distance."""
    for shape, outer, w, gap, n, t in [
        ("round", 9.0, 0.2, 0.2, 8, 0.035),
        ("round", 9.0, 0.1, 0.3, 5, 0.035),
        ("square", 9.0, 0.2, 0.2, 8, 0.035),
        ("square", 9.0, 0.2, 0.4, 4, 0.035),
        ("hexagon", 9.0, 0.2, 0.2, 8, 0.035),
    ]:
        mm = [v * 1e-3 for v in (outer, w, gap)]
        path = archimedes(*mm, n) if shape == "round" else polygon(*mm, n, 4 if shape == "square" else 6)
        g = math.exp(mean_log(mm[1], t * 1e-3, t * 1e-3, 0, 0))
        length = np.sum(np.linalg.norm(np.diff(path, axis=0), axis=1))
        yield [shape] + ["%g" % v for v in (outer, w, gap, n, t)] + ["%.9e" % length, "%.6e" % neumann(path, g, g / 2)]


def neighbours():
    """Mutual inductance of equal one- and two-layer coils beside each other."""
    for shape, outer, w, gap, n, zs, dx, dy, dz in [
        ("round", 9.3, 0.15, 0.15, 6, [-0.02, -0.5], 10, 0, 0),
        ("round", 9.3, 0.15, 0.15, 6, [-0.02, -0.5], 10, 10, 0),
        ("round", 9.3, 0.15, 0.15, 6, [-0.02, -0.5], 40, 0, 0),
        ("round", 9.3, 0.15, 0.15, 6, [-0.02, -0.5], 2, 1, 3),
        ("square", 9.3, 0.15, 0.15, 4, [-0.02, -0.5], 10, 0, 0),
        ("square", 9.3, 0.15, 0.15, 4, [-0.02, -0.5], 10, 20, 0),
        ("hexagon", 9.3, 0.15, 0.15, 4, [-0.02], 11, 0, 0),
        ("hexagon", 9.3, 0.15, 0.15, 4, [-0.02], 0, 12, 1),
        ("rounded-square", 9.3, 0.15, 0.15, 4, [-0.02], 10, 0, 0),
        ("rounded-square", 9.3, 0.15, 0.15, 4, [-0.02], 10, 10, 0),
    ]:
        total = 0.0
        known = {}
        p = w + gap
        m = {"square": 4, "rounded-square": 4, "hexagon": 6}.get(shape)
        turns = [outer / 2 - w / 2 - p * (k + 0.5) + (p / (2 * m) if m else 0) for k in range(n)]
        for za in zs:
            for zb in zs:
                z = abs(zb + dz - za)
                if z not in known:
                    s = 0.0
                    for a in turns:
                        for b in turns:
                            if shape == "rounded-square":  # corner radius 2.5 mm at the outer edge
                                s += points(rounded(a, 2.5 - (outer / 2 - a)), rounded(b, 2.5 - (outer / 2 - b)), dx, dy, z)
                            elif shape == "round":
                                s += parallel_axes(a * 1e-3, b * 1e-3, math.hypot(dx, dy) * 1e-3, z * 1e-3)
                            else:
                                s += polygons(a, b, m, dx, dy, z)
                    known[z] = s
                total += known[z]
        yield [shape] + ["%g" % v for v in (outer, w, gap, n)] + [";".join("%g" % v for v in zs)] + ["%g" % v for v in (dx, dy, dz)] + ["%.10e" % total]


def ring(apothem, m, x=0.0, y=0.0, z=0.0):
    r = apothem / math.cos(math.pi / m)
    return [np.array([x + r * math.cos(2 * math.pi * (k + 0.5) / m), y + r * math.sin(2 * math.pi * (k + 0.5) / m), z]) * 1e-3 for k in range(m)]


def polygons(a, b, m, dx, dy, dz):
    pa, pb = ring(a, m), ring(b, m, dx, dy, dz)
    s = 0.0
    for i in range(m):
        for j in range(m):
            u, v = pa[(i + 1) % m] - pa[i], pb[(j + 1) % m] - pb[j]
            if abs(u @ v) > 1e-9 * np.linalg.norm(u) * np.linalg.norm(v):
                s += straight(pa[i], pa[(i + 1) % m], pb[j], pb[(j + 1) % m])
    return s


def rounded(apothem, corner, per=80):
    """Points and line elements of a rounded square, Gauss-Legendre on each side and arc, m."""
    x, w = np.polynomial.legendre.leggauss(per)
    pts, els = [], []
    c = apothem - corner
    for k in range(4):
        turn = np.array([[math.cos(k * math.pi / 2), -math.sin(k * math.pi / 2)], [math.sin(k * math.pi / 2), math.cos(k * math.pi / 2)]])
        side = np.stack([np.full(per, apothem), c * x], axis=1)
        dside = np.stack([np.zeros(per), c * w], axis=1)
        t = math.pi / 4 * (x + 1)
        arc = np.stack([c + corner * np.cos(t), c + corner * np.sin(t)], axis=1)
        darc = np.stack([-corner * np.sin(t), corner * np.cos(t)], axis=1) * (math.pi / 4 * w)[:, None]
        for p, d in ((side, dside), (arc, darc)):
            pts.append(p @ turn.T)
            els.append(d @ turn.T)
    return np.concatenate(pts) * 1e-3, np.concatenate(els) * 1e-3


def points(a, b, dx, dy, dz):
    """Neumann integral over points and line elements, the second path shifted, mm."""
    (pa, da), (pb, db) = a, b
    r = pa[:, None, :] - pb[None, :, :] - np.array([dx, dy]) * 1e-3
    return MU0 / (4 * math.pi) * np.sum((da @ db.T) / np.sqrt(np.sum(r * r, axis=2) + (dz * 1e-3) ** 2))


def rounded_squares():
    """Mutual inductance of two coaxial rounded squares."""
    for a, ca, b, cb, d in [(4, 2, 4, 2, 0.3), (4, 2, 3.7, 1.7, 0), (4, 2, 3.7, 1.7, 0.5), (4.5, 0.6, 4.3, 0.4, 0.2), (4, 3.5, 2, 1.5, 1)]:
        pa, da = rounded(a, ca, 400)
        pb, db = rounded(b, cb, 400)
        total = 0.0
        for k in range(0, len(pa), 400):
            r = pa[k:k + 400, None, :] - pb[None, :, :]
            total += np.sum((da[k:k + 400] @ db.T) / np.sqrt(np.sum(r * r, axis=2) + (d * 1e-3) ** 2))
        yield ["%g" % v for v in (a, ca, b, cb, d)] + ["%.10e" % (MU0 / (4 * math.pi) * total)]


def wound():
    """Coils of rectangular cross-section with uniform current density, per turn squared."""
    for name, inner, outer, length in [
        ("Brooks", 10, 20, 10), ("disc", 2, 9, 1), ("solenoid", 4, 5, 30), ("pot", 3, 7, 12),
    ]:
        w, h = (outer - inner) * 1e-3, length * 1e-3
        r = (inner + outer) / 2 * 1e-3
        fit = []
        for n in (12, 24):
            nw, nh = max(2, round(n * math.sqrt(w / h))), max(2, round(n * math.sqrt(h / w)))
            fit.append((1.0 / (nw * nh), bars([r], [0.0], w, h, nw, nh)))
        (e1, v1), (e2, v2) = fit
        yield [name, "%g" % inner, "%g" % outer, "%g" % length, "%.7e" % (v2 + (v2 - v1) * e2 / (e1 - e2))]


FILES = {
    "filaments.csv": (filaments, 1e-9, "Mutual partial inductance of two straight filaments: outer adaptive quadrature of the inner asinh.",
                      "name,a0x_mm,a0y_mm,a0z_mm,a1x_mm,a1y_mm,a1z_mm,b0x_mm,b0y_mm,b0z_mm,b1x_mm,b1y_mm,b1z_mm,m_H"),
    "gmd.csv": (gmd, 1e-8, "Mean of ln distance of two rectangles, width w, thicknesses t1 and t2, middles (x, y) apart: adaptive quadrature.",
                "w,t1,t2,x,y,mean_log"),
    "round_coils.csv": (round_coils, 1e-8, "Round coils of concentric wide tracks in series, each cut into 16 x 6 coaxial filaments, extrapolated from 8 x 3.",
                        "outer_mm,track_mm,gap_mm,turns,copper_mm,z_mm,l_H"),
    "spirals.csv": (spirals, 1e-5, "True spirals: length, and Neumann integral of the middle line with itself at the track's geometric mean distance.",
                    "shape,outer_mm,track_mm,gap_mm,turns,copper_mm,length_m,l_H"),
    "neighbours.csv": (neighbours, 1e-9, "Two equal coils of thin closed turns, the second shifted: Neumann double integrals.",
                       "shape,outer_mm,track_mm,gap_mm,turns,z_mm,dx_mm,dy_mm,dz_mm,m_H"),
    "rounded.csv": (rounded_squares, 1e-9, "Coaxial rounded squares (half side a and b, corner radii, distance): Neumann double integral, Gauss-Legendre.",
                    "a_mm,corner_a_mm,b_mm,corner_b_mm,d_mm,m_H"),
    "wound.csv": (wound, 1e-6, "Winding of rectangular cross-section and uniform current density, inductance per turn squared: coaxial filaments, extrapolated.",
                  "name,inner_radius_mm,outer_radius_mm,length_mm,l_per_turn2_H"),
}


def main():
    write = "--write" in sys.argv[1:]
    failed = False
    for name, (make, tolerance, what, header) in FILES.items():
        path = os.path.join(DATA, name)
        rows = list(make())
        if write:
            with open(path, "w") as f:
                f.write("# %s\n# Written by .ci/checks/coil_neumann.py (SciPy), mu0 = 4 pi 1e-7.\n%s\n" % (what, header))
                f.writelines(",".join(r) + "\n" for r in rows)
            print("wrote", name, len(rows))
            continue
        with open(path) as f:
            stored = [line.strip().split(",") for line in f if not line.startswith("#")][1:]
        worst = 0.0
        if len(stored) != len(rows):
            print("FAIL %s: %d rows stored, %d computed" % (name, len(stored), len(rows)))
            failed = True
            continue
        for have, want in zip(stored, rows):
            if have[:-1] != want[:-1] and name != "spirals.csv":
                print("FAIL %s: inputs differ: %s, %s" % (name, have, want))
                failed = True
            for h, w in zip(have[-2:] if name == "spirals.csv" else have[-1:], want[-2:] if name == "spirals.csv" else want[-1:]):
                err = abs(float(h) - float(w)) / abs(float(w))
                worst = max(worst, err)
                if not err <= tolerance:
                    print("FAIL %s: stored %s, computed %s in %s" % (name, h, w, want))
                    failed = True
        print("%-16s %2d rows, largest relative difference %.1e (allowed %.0e)" % (name, len(rows), worst, tolerance))
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
