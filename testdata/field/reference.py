#!/usr/bin/env python3
"""Writes loop.csv, segment.csv, cylinder.csv and cuboid.csv beside itself.

Every number is the integral that defines it (Biot-Savart over the wire, the
Amperian surface current, the charged faces), by quadrature in mpmath with 40
digits; no elliptic function and no closed form of a field is used. The loop,
cylinder and cuboid points up to the line marked in each list are those of the
project's table of check values, which were computed the same way at 25-34 digits
(cuboid: Gauss rule with 1200 nodes a side); this script recomputes them.

mu0 = 4 pi 1e-7 H/m exactly, so that the tables do not move with CODATA.
Run: /usr/bin/python3 reference.py   (Debian package python3-mpmath; five minutes)
"""
import os
import mpmath as m
from mpmath import mpf

m.mp.dps = 40
MU0 = 4 * m.pi * mpf('1e-7')
HERE = os.path.dirname(os.path.abspath(__file__))


def text(v):
    return m.nstr(v, 20, min_fixed=0, max_fixed=0) if v else '0'


def write(name, comments, rows):
    with open(os.path.join(HERE, name), 'w') as f:
        for c in comments:
            f.write('# ' + c + '\n')
        for r in rows:
            f.write(','.join(r) + '\n')


def panels(width):
    """0..pi split finely next to 0, where the integrand peaks with that width."""
    edges, e = [mpf(0)], mpf(width) / 4
    while e < 1:
        edges.append(e)
        e *= 3
    return edges + [m.pi / 2, m.pi]


def loop(a, r, z):
    """Br, Bz, A per ampere. Near the axis the integrand of Br and A is taken in
    its form after one integration by parts, which has one sign."""
    near = m.sqrt((a - r) ** 2 + z ** 2) / max(a, r)
    p = panels(min(near, mpf(1)))
    d = lambda t: a * a + r * r + z * z - 2 * a * r * m.cos(t)
    br = 3 * a * r * m.quad(lambda t: m.sin(t) ** 2 / d(t) ** mpf(2.5), p)
    bz = m.quad(lambda t: (a - r * m.cos(t)) / d(t) ** mpf(1.5), p)
    ap = a * r * m.quad(lambda t: m.sin(t) ** 2 / d(t) ** mpf(1.5), p)
    k = MU0 * a / (2 * m.pi)
    return k * z * br, k * bz, k * ap


LOOP = '0 0;0 5;0.001 5;3 10;5 0;9.9 0.1;9.99 0.01;10 1;15 2;20 5;50 -30;'
# Further points: closer to the axis, on both sides of the wire, far away.
LOOP += '1e-12 5;1e-9 -2;1e-3 0.5;1e-2 100;3 -7;9.999 0;10.001 0;10 1e-3;10 -1e-4;10.0001 0.0001;'
LOOP += '1000 0;0 1000;1 1000;700 700;5e4 -2e4;1e-7 3e4'


def loops():
    rows = []
    for point in LOOP.split(';'):
        r, z = point.split()
        br, bz, ap = loop(mpf('0.01'), mpf(r) / 1000, mpf(z) / 1000)
        rows.append([r, z] + [text(v) for v in (br, bz, ap)])
    write('loop.csv', [
        'Circular loop of radius 10 mm, 1 A, counter-clockwise seen from +z; thin wire, mu0 = 4 pi 1e-7 H/m.',
        'Origin: Biot-Savart integral by mpmath 1.2.1 quadrature, 40 digits (reference.py).',
        'Columns: r mm, z mm, Br T, Bz T, A T m.'], rows)


SEGMENT = [  # from, to, point in mm; the last ones nearly collinear, on the extension, far, close beside
    ('-10 -10 0', '10 -10 0', '0 0 5'),
    ('-10 -10 0', '10 -10 0', '3 -9 1'),
    ('0 0 0', '1 2 3', '-4 2 1'),
    ('0 0 0', '10 0 0', '20 1e-6 0'),
    ('0 0 0', '10 0 0', '-5 0 1e-9'),
    ('0 0 0', '10 0 0', '5 1e-6 0'),
    ('0 0 0', '10 0 0', '5 0 1e-10'),
    ('0 0 0', '10 0 0', '0 1e-6 0'),
    ('0 0 0', '10 0 0', '12 1e-7 1e-7'),
    ('0 0 0', '1 1 0', '30000 20000 10000'),
    ('0 0 0', '0.001 0 0', '1000 2000 -500'),
    ('0 0 -1000', '0 0 1000', '0.2 0.1 0'),
]


def segment(a, b, p):
    l = [y - x for x, y in zip(a, b)]
    ln = m.sqrt(sum(v * v for v in l))
    u = [v / ln for v in l]
    d = [y - x for x, y in zip(a, p)]
    s0 = sum(x * y for x, y in zip(u, d))
    perp = [x - s0 * y for x, y in zip(d, u)]
    h = m.sqrt(sum(v * v for v in perp))
    # s - s0 = h sinh v turns the integrand into 1/cosh^2 v, smooth at any h.
    lo, hi = m.asinh((0 - s0) / h), m.asinh((ln - s0) / h)
    n = max(2, int((hi - lo)) + 1)
    q = m.quad(lambda v: 1 / m.cosh(v) ** 2, m.linspace(lo, hi, n)) / h ** 2
    c = [u[1] * perp[2] - u[2] * perp[1], u[2] * perp[0] - u[0] * perp[2], u[0] * perp[1] - u[1] * perp[0]]
    return [MU0 / (4 * m.pi) * q * v for v in c]


def segments():
    rows = []
    for line in SEGMENT:
        a, b, p = [[mpf(v) / 1000 for v in w.split()] for w in line]
        rows.append([v for w in line for v in w.split()] + [text(v) for v in segment(a, b, p)])
    write('segment.csv', [
        'Straight thin conductor, 1 A; mu0 = 4 pi 1e-7 H/m.',
        'Origin: Biot-Savart integral by mpmath 1.2.1 quadrature after the substitution s = h sinh v, 40 digits (reference.py).',
        'Columns: from x, y, z mm; to x, y, z mm; point x, y, z mm; Bx, By, Bz T.'], rows)


CYLINDER = '0 0;0 2;0 4;2 4;3 1;5 2.5;4.9 2.1;8 0;6 5;20 -15;'
# Further points: far, near the axis, beside the face, and at the joins of rules.
CYLINDER += '0 1000;1e-6 7;300 400;5 -40;12 0.001;5 7.9;5 8.1;0 24.1;29 0;29.01 0;3e4 1e4'


def cylinder(a, b, r, z):
    def turn(h):
        br, bz, _ = loop(a, r, z - h)
        return br, bz
    edges = [-b]
    if -b < z < b:
        edges.append(z)
    edges.append(b)
    # Outer integral in the height of the turns, Amperian current Br/mu0 per metre.
    def outer(k):
        m.mp.dps = 25
        v = m.quad(lambda h: turn(h)[k], edges)
        m.mp.dps = 40
        return v / MU0
    return (outer(0) if r else mpf(0)), outer(1)


def cylinders():
    rows = []
    for point in CYLINDER.split(';'):
        r, z = point.split()
        v = cylinder(mpf('0.005'), mpf('0.002'), mpf(r) / 1000, mpf(z) / 1000)
        rows.append([r, z] + [text(mpf('1.2') * x) for x in v])
    write('cylinder.csv', [
        'Cylinder magnet, radius 5 mm, length 4 mm, Br 1.2 T along +z, centred on the origin, recoil permeability 1.',
        'Origin: Biot-Savart over the Amperian surface current, nested mpmath 1.2.1 quadrature, 25 digits (reference.py).',
        'Columns: rho mm, z mm, B_rho T, B_z T (inside: B, magnetisation included).'], rows)


CUBOID = '0 0 2.5;0 0 10;3 2 4;8 1 0;5.2 0 1.4;6 4 2;-12 7 -9;1 1 0.5;'
# Further points: planes of faces and extensions of edges outside, then far.
CUBOID += '5 8 1.5;5 3 4;-5 3 1.9;7 3 1.5;5 6 0;9 -3 1.5;0 3 2.5;40 -30 25;1000 0 0;0 0 1000;600 -700 800;0 0 6.1;11.1 0 0'


def cuboid(a, b, c, p):
    """Two charged faces; the inner integral in y is elementary, the outer is done
    by quadrature with breaks where the integrand peaks."""
    x, y, z = p
    tot = [mpf(0)] * 3
    for sign, h in ((1, c), (-1, -c)):
        dz = z - h
        def inner(u, which):
            dx = x - u
            s2 = dx * dx + dz * dz
            lo, hi = y - b, y + b          # dy from y-b to y+b
            rl, rh = m.sqrt(s2 + lo * lo), m.sqrt(s2 + hi * hi)
            if which == 1:                 # int dy' dy/r^3
                return 1 / rl - 1 / rh
            if s2 == 0:
                return (1 / (2 * lo * lo) - 1 / (2 * hi * hi)) * m.sign(lo)
            if lo > 0 or hi < 0:           # hi/rh - lo/rl without the subtraction
                k = (hi * hi * s2 - lo * lo * s2) / (rh * rl * (hi * rl + lo * rh)) / s2
            else:
                k = (hi / rh - lo / rl) / s2
            return k
        br = [-a, a]
        if -a < x < a:
            br = [-a, x, a]
        fine = [br[0]]
        for e, f in zip(br, br[1:]):
            fine += [e + (f - e) * k / 8 for k in range(1, 9)]
        tot[0] += sign * m.quad(lambda u: (x - u) * inner(u, 0), fine)
        tot[1] += sign * m.quad(lambda u: inner(u, 1), fine)
        tot[2] += sign * (m.quad(lambda u: inner(u, 0), fine) * dz if dz else 0)
    inside = abs(x) < a and abs(y) < b and abs(z) < c
    out = [v / (4 * m.pi) for v in tot]
    out[2] += 1 if inside else 0
    return out


def cuboids():
    rows = []
    for point in CUBOID.split(';'):
        p = [mpf(v) / 1000 for v in point.split()]
        v = [mpf('1.3') * q for q in cuboid(mpf('0.005'), mpf('0.003'), mpf('0.0015'), p)]
        v = [q if abs(q) > mpf('1e-25') else mpf(0) for q in v]
        rows.append(point.split() + [text(q) for q in v])
    write('cuboid.csv', [
        'Cuboid magnet 10 x 6 x 3 mm, Br 1.3 T along +z, centred on the origin, recoil permeability 1.',
        'Origin: field of the two charged faces, mpmath 1.2.1 quadrature, 40 digits (reference.py).',
        'Columns: x, y, z mm; Bx, By, Bz T (inside: B, magnetisation included).'], rows)


if __name__ == '__main__':
    loops()
    segments()
    cuboids()
    cylinders()
