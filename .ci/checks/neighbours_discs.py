#!/usr/bin/python3
"""What the steel discs of dark neighbours add to a lit pixel's field, in three
dimensions: GetDP on Gmsh's mesh (testdata/rivals/discs.geo and .pro), a lit pixel and
its eight neighbours, linear steel, the reduced scalar potential; the neighbours' part is
the difference of two solves on one mesh.

One case of discs is computed anew on a coarser mesh and held against testdata/neighbours/discs.json,
which the Go tests use; exits 1 when what is added on the axes differs by more than TOLERANCE.
With --write discs, or pins on a sheet under all pixels, all cases of these are computed on two
meshes and stored, the difference as their error.
"""
import json
import os
import shutil
import subprocess
import sys
import tempfile

import numpy as np
from scipy.special import ellipe, ellipk

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
DATA = os.path.join(ROOT, "testdata", "neighbours", "discs.json")
RIVALS = os.path.join(ROOT, "testdata", "rivals")
TOLERANCE = 0.015
MU0, HIGH, AROUND = 4e-7 * np.pi, 2.0, 0.5  # height of the places, radius of the mean about each, mm
PINS = os.path.join(ROOT, "testdata", "neighbours", "other_pins.json")
LOOPS = [[r, z] for r in (2.2, 3.4, 4.6) for z in (-0.2, -1.0, -1.8)]  # mm, an ampere each
CASES = [
    {"name": "disc", "pitch": 12, "disc_r": 4.5, "disc_z0": -3.3, "disc_z1": -2.3, "core_r": 0, "core_z1": -2.3, "mur": 700},
    {"name": "discs that nearly touch", "pitch": 12, "disc_r": 5.7, "disc_z0": -3.3, "disc_z1": -2.3, "core_r": 0, "core_z1": -2.3, "mur": 700},
    {"name": "thick disc of low permeability", "pitch": 10, "disc_r": 4, "disc_z0": -5.3, "disc_z1": -2.3, "core_r": 0, "core_z1": -2.3, "mur": 20},
    {"name": "disc with a core", "pitch": 12, "disc_r": 4.5, "disc_z0": -3.1, "disc_z1": -2.3, "core_r": 1.5, "core_z1": 0, "mur": 700},
    {"name": "thin discs, an eighth of the pitch between", "pitch": 11, "disc_r": 4.8, "disc_z0": -2.9, "disc_z1": -2.3, "core_r": 0, "core_z1": -2.3, "mur": 1500},
]
for case in CASES:
    case.update(sheet_r=0, sheet_z0=0)
PIN_CASES = [ # on one sheet under all pixels, unlike the pins of pins.json in pitch, pin, sheet and steel
    {"name": "thin pins on a thin sheet", "pitch": 9, "disc_r": 1, "disc_z0": -2.3, "disc_z1": 0, "sheet_z0": -2.8, "mur": 200},
    {"name": "thick pins on a thick sheet", "pitch": 14, "disc_r": 1.9, "disc_z0": -2.3, "disc_z1": 0, "sheet_z0": -4.3, "mur": 2000},
    {"name": "pins that end inside the board", "pitch": 10, "disc_r": 1.5, "disc_z0": -2.3, "disc_z1": -0.8, "sheet_z0": -3.1, "mur": 1000},
]
for case in PIN_CASES:
    case.update(core_r=0, core_z1=case["disc_z1"], sheet_r=8 * case["pitch"]) # half as wide, the sheet's rim is felt by 4 %
FILES = {"discs": (DATA, CASES, "middle", "fine"), "pins": (PINS, PIN_CASES, "coarse", "middle")}
MESHES = {"coarse": (0.45, 0.5), "middle": (0.3, 0.36), "fine": (0.2, 0.28)}
PLACES = {"its own axis": (0, 0), "next axis": (1, 0), "diagonal axis": (1, 1), "midway to the next": (0.5, 0)}


def loops(r, z):
    """Hr and Hz (A/m) of LOOPS at r, z in mm."""
    hr, hz = np.zeros_like(r), np.zeros_like(r)
    for a, z0 in LOOPS:
        h = z - z0
        s = (a + r) ** 2 + h**2
        m = 4 * a * r / s
        k, e = ellipk(m), ellipe(m)
        d = (a - r) ** 2 + h**2
        hz += (k + (a * a - r * r - h * h) / d * e) / (2 * np.pi * np.sqrt(s)) * 1e3
        hr += np.where(r > 0, h / np.where(r > 0, r, 1) * (-k + (a * a + r * r + h * h) / d * e) / (2 * np.pi * np.sqrt(s)), 0) * 1e3
    return hr, hz


def run(command, cwd):
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True)
    if done.returncode != 0:
        sys.exit(f"{command[0]} failed:\n{done.stdout[-2000:]}\n{done.stderr[-2000:]}")
    return done.stdout


def directions():
    """Gauss's places and weights on a sphere, exact to the fifth order of harmonics."""
    u, w = np.polynomial.legendre.leggauss(4)
    f = (np.arange(8) + 0.5) * np.pi / 4
    s = np.sqrt(1 - u**2)
    n = np.stack([np.outer(s, np.cos(f)), np.outer(s, np.sin(f)), np.outer(u, np.ones(8))], axis=-1)
    return n.reshape(-1, 3), np.repeat(w / 16, 8)


def package(case, mesh, folder):
    """What the dark pixels' steel adds at PLACES, µT: [Bx, By, Bz]."""
    for name in ("discs.geo", "discs.pro"):
        shutil.copy(os.path.join(RIVALS, name), folder)
    edge, near = MESHES[mesh]
    given = {**{k: v for k, v in case.items() if k not in ("name", "mur", "adds")}, "inner": max(3.2 * case["pitch"], 1.25 * case["sheet_r"]), "outer": max(4.2 * case["pitch"], 1.65 * case["sheet_r"]), "edge": edge, "near": near, "high": HIGH}
    with open(os.path.join(folder, "case.geo"), "w") as f:
        f.writelines(f"{k} = {v};\n" for k, v in given.items())
        f.write('Include "discs.geo";\n')
    run(["gmsh", "-3", "-format", "msh2", "-setnumber", "Mesh.ScalingFactor", "0.001", "case.geo", "-o", "case.msh"], folder)
    top = max(case["disc_z1"], case["core_z1"])
    r = np.linspace(0, 1, 800) ** 1.5 * max((case["pitch"] + case["disc_r"]) * 1.5 + 1, case["sheet_r"] + 0.1)
    z = np.linspace(min(case["disc_z0"], case["sheet_z0"]) - 0.01, top + 0.01, 80)
    with open(os.path.join(folder, "h0.pro"), "w") as f:
        f.write(f"mur = {case['mur']}; inner = {given['inner']*1e-3}; outer = {given['outer']*1e-3};\n")
        for name, h in zip(("hr", "hz"), loops(*np.meshgrid(r, z, indexing="ij"))):
            numbers = [len(r), len(z), *(r * 1e-3), *(z * 1e-3), *h.T.ravel()]
            f.write(f"{name}() = {{{', '.join(f'{v:.9g}' for v in numbers)}}};\n")
    n, weight = directions()
    with open(os.path.join(folder, "points.pro"), "w") as f:
        f.write("PostOperation { { Name Points; NameOfPostProcessing Fields; Operation {\n")
        for x, y in PLACES.values():
            for d in n * AROUND + [x * case["pitch"], y * case["pitch"], HIGH]:
                x1, y1 = sorted(abs(d[:2]), reverse=True)  # mirrored into the wedge
                f.write(f'Print[ p, OnPoint {{{x1*1e-3}, {y1*1e-3}, {d[2]*1e-3}}}, Format Table, File >> "p.txt" ];\n')
        f.write("} } }\n")
    fields = []
    for every in (1, 0):
        out = run(["getdp", "discs.pro", "-msh", "case.msh", "-setnumber", "all", str(every), "-solve", "Solve", "-pos", "Points"], folder)
        with open(os.path.join(folder, "p.txt")) as f:
            p = np.array([float(row.split()[-1]) for row in f if row.strip()])
        os.remove(os.path.join(folder, "p.txt"))
        # the gradient at the middle by the mean over the sphere: of a harmonic function exact
        fields.append(-MU0 * 3 / (AROUND * 1e-3) * np.einsum("k,pk,kx->px", weight, p.reshape(len(PLACES), -1), n))
    return 1e6 * (fields[0] - fields[1])


def main():
    if sys.argv[1:2] == ["--write"]:
        for name in sys.argv[2:]:
            path, cases, *meshes = FILES[name]
            for case in cases:
                with tempfile.TemporaryDirectory() as folder:
                    coarse, fine = (package(case, mesh, folder) for mesh in meshes)
                case["adds"] = [{"place": k, "at": PLACES[k], "uT": f.tolist(), "error_uT": abs(f - c).tolist()} for k, c, f in zip(PLACES, coarse, fine)]
                print(case["name"], *case["adds"], sep="\n  ", flush=True)
            with open(path, "w") as f:
                f.write(json.dumps({"loops_mm": LOOPS, "height_mm": HIGH, "cases": cases}, indent=1) + "\n")
        return
    with open(DATA) as f:
        case = {**CASES[0], **json.load(f)["cases"][0]}
    with tempfile.TemporaryDirectory() as folder:
        live = package(case, "coarse", folder)
    bad = False
    for got, want in zip(live, case["adds"]):
        off = np.linalg.norm(got - want["uT"]) / np.linalg.norm(want["uT"])
        print(f"{case['name']}, {want['place']:20s} adds {got.round(3)} µT, stored {np.round(want['uT'], 3)}: {100*off:.2f} %")
        bad |= not (off < TOLERANCE)
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
