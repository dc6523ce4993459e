#!/usr/bin/python3
"""Thin steel sheet saturated by a magnet, and a core over an air gap: the project's
finite elements against GetDP on Gmsh's mesh (triangles, azimuthal vector potential,
total field, Newton; testdata/rivals/axisymmetric.geo and .pro).

Prints both sides; exits 1 when Bz on the axis differs by more than 0.1 % or beside
it by more than 0.2 % of the line's largest, live or against the stored values. With
--write the package's values are stored in testdata/iron/live.json.
"""
import json
import os
import shutil
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
DATA = os.path.join(ROOT, "testdata", "iron", "live.json")
RIVALS = os.path.join(ROOT, "testdata", "rivals")
FINE = 0.06  # mm, element size at the steel's edges


def run(command, cwd, **env):
    done = subprocess.run(command, cwd=cwd, env={**os.environ, **env}, capture_output=True, text=True)
    if done.returncode != 0:
        sys.exit(f"{command[0]} failed:\n{done.stdout[-2000:]}\n{done.stderr[-2000:]}")
    return done.stdout


def package(case, folder):
    """Bz at the six heights, on the axis and at r = 3 mm."""
    parts = {"coil_r0": 1.5, "coil_r1": 7, "coil_z0": 0, "coil_z1": 1.8, "fine": FINE}
    for name, part in (("disc", case["Disc"]), ("core", case["Core"]), ("magnet", case["Magnet"])):
        parts.update({f"{name}_r": part[0], f"{name}_z0": part[1], f"{name}_z1": part[2]})
    with open(os.path.join(folder, "case.geo"), "w") as f:
        f.writelines(f"{k} = {v};\n" for k, v in parts.items())
        f.write('Include "axisymmetric.geo";\n')
    run(["gmsh", "-2", "-format", "msh2", "-setnumber", "Mesh.ScalingFactor", "0.001", "case.geo", "-o", "case.msh"], folder)
    density = case["NI"] / (5.5e-3 * 1.8e-3)
    out = run(["getdp", "axisymmetric.pro", "-msh", "case.msh", "-setnumber", "remanence", str(case["Remanence"]),
               "-setnumber", "density", str(density), "-setnumber", "js", str(case["Saturates"][0]),
               "-setnumber", "mui", str(case["Saturates"][1]), "-solve", "Solve", "-pos", "Axis"], folder)
    if "converged" not in out:
        sys.exit("the package's Newton iteration did not converge")
    lines = []
    for name in ("axis.txt", "beside.txt"):
        with open(os.path.join(folder, name)) as f:
            # columns: …, z axis of the line parameter, Bx, By, Bz; y of the mesh is z here
            lines.append([float(row.split()[-2]) for row in f if row.strip()])
    if [len(v) for v in lines] != [6, 6]:
        sys.exit(f"read-out has {[len(v) for v in lines]} values")
    return lines


def worst(a, b):
    return max(abs(x - y) for x, y in zip(a, b)) / max(abs(y) for y in b)


def main():
    with open(DATA) as f:
        cases = json.load(f)
    with tempfile.TemporaryDirectory() as folder:
        for name in ("axisymmetric.geo", "axisymmetric.pro"):
            shutil.copy(os.path.join(RIVALS, name), folder)
        live = [package(c, folder) for c in cases]
        if "--write" in sys.argv:
            for case, (axis, beside) in zip(cases, live):
                case["Axis"], case["Beside"] = axis, beside
            with open(DATA, "w") as f:
                f.write("[\n" + ",\n".join(" " + json.dumps(c) for c in cases) + "\n]\n")
        dump = os.path.join(folder, "go.json")
        run(["go", "test", "./field/iron", "-count=1", "-run", "TestDumpForFiniteElements"], ROOT, LODEGRID_IRON_DUMP=dump)
        with open(dump) as f:
            ours = json.load(f)
    bad = False
    for case, own, (axis, beside) in zip(cases, ours, live):
        a, b = worst(own["Axis"], axis), worst(own["Beside"], beside)
        print(f"{case['Name']:30s} axis {100*a:.3f} %  beside {100*b:.3f} %   at 1 mm: own {own['Axis'][0]*1e3:.4f} mT, package {axis[0]*1e3:.4f} mT")
        bad |= not (a < 0.001 and b < 0.002)
        if "Axis" in case and "--write" not in sys.argv:
            s = max(worst(axis, case["Axis"]), worst(beside, case["Beside"]))
            print(f"{'':30s} stored values off by {100*s:.4f} %")
            bad |= not s < 0.002
    for i, key in enumerate(("Axis", "Beside")):
        own = [x - y for x, y in zip(ours[1][key], ours[0][key])]
        ref = [x - y for x, y in zip(live[1][i], live[0][i])]
        d = worst(own, ref)
        print(f"the coil's share of the biased field, {key.lower()}: {100*d:.3f} %")
        bad |= not d < 0.002
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
