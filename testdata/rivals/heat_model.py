"""The pixel board's heat equations in NumPy, written apart from the Go code, for
the checks and rivals that integrate them with SciPy.

A case is a plain dictionary (see .ci/checks/heat_scipy.py); the temperatures are
one vector, layer by layer, row by row.
"""
import csv
import os

import numpy as np
import scipy.sparse as sp

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), "..", ".."))
SIGMA = 5.670374419e-8
G = 9.80665


def air_table():
    with open(os.path.join(ROOT, "testdata", "heat", "air.csv"), encoding="utf-8") as f:
        rows = [[float(x) for x in r] for r in csv.reader(l for l in f if not l.startswith("#"))]
    return np.array(rows).T


AIR = air_table()


def air(kelvin):
    c = kelvin - 273.15
    nu, alpha = np.interp(c, AIR[0], AIR[6]), np.interp(c, AIR[0], AIR[4])
    return nu, alpha, np.interp(c, AIR[0], AIR[3]), np.interp(c, AIR[0], AIR[7])


def convection(film, surface, ambient):
    """Film coefficient in W/(m2 K)."""
    if film.get("Coefficient", 0) > 0:
        return np.full_like(surface, film["Coefficient"])
    tf = (surface + ambient) / 2
    nu, alpha, k, pr = air(tf)
    length = film["Length"]
    ra = G / tf * np.abs(surface - ambient) * length**3 / (nu * alpha)
    way = film.get("Orientation", "vertical")
    if way == "vertical":
        # Churchill and Chu 1975
        n = (0.825 + 0.387 * ra ** (1 / 6) / (1 + (0.492 / pr) ** (9 / 16)) ** (8 / 27)) ** 2
    else:
        hot = surface >= ambient
        if way == "face-down":
            hot = ~hot
        n = np.where(hot, np.maximum(0.54 * ra**0.25, 0.15 * ra ** (1 / 3)), 0.27 * ra**0.25)
    speed = film.get("AirSpeed", 0)
    if speed > 0:
        along = film.get("FlowLength", 0) or length
        re = speed * along / nu
        f = pr ** (1 / 3) * np.maximum(0.664 * np.sqrt(re), 0.037 * re**0.8 - 871)
        n = (n**3 + (f * length / along) ** 3) ** (1 / 3)
    return n * k / length


def flux(film, node, ambient, walls):
    """Flux in W/m2 from nodes at temperature node, a pane in series solved for."""
    eps, r = film.get("Emissivity", 0), film.get("Insulation", 0)

    def bare(s):
        return convection(film, s, ambient) * (s - ambient) + eps * SIGMA * (s**4 - walls**4)

    if r == 0:
        return bare(node)
    lo = np.minimum(node, min(ambient, walls))
    hi = np.maximum(node, max(ambient, walls))
    for _ in range(60):
        mid = (lo + hi) / 2
        over = bare(mid) - (node - mid) / r > 0
        hi, lo = np.where(over, mid, hi), np.where(over, lo, mid)
    return (node - (lo + hi) / 2) / r


class Model:
    def __init__(self, case):
        self.case = case
        rows, cols = case["Rows"], case["Cols"]
        layers = case["Layers"]
        m = rows * cols
        self.pixels, self.nodes = m, m * len(layers)
        self.c = np.repeat([layer["Capacity"] for layer in layers], m)
        index = np.arange(self.nodes).reshape(len(layers), rows, cols)
        links = []
        self.area = {"Front": np.zeros(self.nodes), "Back": np.zeros(self.nodes), "Edge": np.zeros(self.nodes)}
        for l, layer in enumerate(layers):
            pairs = [(index[l, :, :-1], index[l, :, 1:], layer.get("Lateral", 0)),
                     (index[l, :-1], index[l, 1:], layer.get("Lateral", 0))]
            if l + 1 < len(layers):
                pairs.append((index[l], index[l + 1], layer.get("Down", 0)))
            for a, b, g in pairs:
                links += [(i, j, g) for i, j in zip(a.ravel(), b.ravel())]
            for face in ("Front", "Back"):
                self.area[face][index[l]] = layer.get(face, 0)
            rim = layer.get("Rim", 0)
            if rim:
                padded = np.zeros((rows + 2, cols + 2), bool)
                padded[1:-1, 1:-1] = True
                sides = sum((~padded[1 + dr:rows + 1 + dr, 1 + dc:cols + 1 + dc]).astype(int)
                            for dr, dc in ((0, 1), (0, -1), (1, 0), (-1, 0)))
                self.area["Edge"][index[l]] = rim * sides
        i, j, g = (np.array(x) for x in zip(*links))
        k = sp.coo_matrix((np.concatenate([-g, -g]), (np.concatenate([i, j]), np.concatenate([j, i]))),
                          (self.nodes, self.nodes)).tocsr()
        self.k = (k - sp.diags(np.asarray(k.sum(axis=1)).ravel())).tocsr()
        self.load = case["Load"]
        self.heated = case.get("Heated", 0) * m
        self.share = np.array(self.load.get("Share") or np.ones(m))

    def power(self, coil):
        load = self.load
        r = load["Resistance20"] * (1 + load["Alpha"] * (coil - 293.15))
        if load["Kind"] == "voltage":
            return self.share * load["Volts"] ** 2 * r / (r + load["Series"]) ** 2
        return self.share * load["Amps"] ** 2 * r

    def loss(self, t):
        case = self.case
        walls = case.get("Surroundings") or case["Ambient"]
        q = np.zeros(self.nodes)
        for face in ("Front", "Back", "Edge"):
            at = np.nonzero(self.area[face])[0]
            if len(at):
                q[at] += self.area[face][at] * flux(case[face], t[at], case["Ambient"], walls)
        return q

    def __call__(self, _, t):
        f = -(self.k @ t) - self.loss(t)
        s = slice(self.heated, self.heated + self.pixels)
        f[s] += self.power(t[s])
        return f / self.c

    def slopes(self, t, h=1e-4):
        """Slopes of loss minus power per node, by central differences."""
        d = (self.loss(t + h) - self.loss(t - h)) / (2 * h)
        s = slice(self.heated, self.heated + self.pixels)
        d[s] -= (self.power(t[s] + h) - self.power(t[s] - h)) / (2 * h)
        return d

    def jacobian(self, _, t):
        j = -(self.k + sp.diags(self.slopes(t)))
        return (sp.diags(1 / self.c) @ j).tocsc()
