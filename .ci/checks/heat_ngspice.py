#!/usr/bin/python3
"""A 3 x 3 board of linear pixels as its electrical analogue in ngspice (volts for
kelvin above the air, amperes for watts), against the stored values that the Go
tests use. With --write the values are stored anew. Exits non-zero on a difference.
"""
import json
import os
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), "../.."))
sys.path.insert(0, os.path.join(ROOT, ".ci/readers"))
import spice  # noqa: E402
PATH = os.path.join(ROOT, "testdata", "heat", "ngspice3x3.json")
TIMES = [2.0, 20.0, 200.0]
TOLERANCE = 2e-5  # relative to the hottest rise
CASE = {
    "Rows": 3, "Cols": 3, "Ambient": 300.0,
    "Layers": [{"Capacity": 0.6, "Lateral": 0.03, "Down": 0.09, "Front": 1.5e-4},
               {"Capacity": 1.1, "Lateral": 0.12, "Back": 2.5e-4}],
    "Front": {"Coefficient": 12.0}, "Back": {"Coefficient": 8.0},
    "Watts": [0.5, 0, 0, 0, 0.25, 0, 0, 0.1, 0],
}


def netlist(datafile):
    rows, cols, layers = CASE["Rows"], CASE["Cols"], CASE["Layers"]
    out = ["pixel board, electrical analogue", ".options reltol=1e-8 abstol=1e-14 vntol=1e-10 method=gear maxord=4"]

    def node(l, r, c):
        return f"n{l}_{r}_{c}"

    for l, layer in enumerate(layers):
        for r in range(rows):
            for c in range(cols):
                n, tag = node(l, r, c), f"{l}{r}{c}"
                out.append(f"C{tag} {n} 0 {layer['Capacity']} ic=0")
                g = layer.get("Front", 0) * CASE["Front"]["Coefficient"] + layer.get("Back", 0) * CASE["Back"]["Coefficient"]
                out.append(f"RL{tag} {n} 0 {1 / g:.15g}")
                if c + 1 < cols:
                    out.append(f"RX{tag} {n} {node(l, r, c + 1)} {1 / layer['Lateral']:.15g}")
                if r + 1 < rows:
                    out.append(f"RY{tag} {n} {node(l, r + 1, c)} {1 / layer['Lateral']:.15g}")
                if l + 1 < len(layers):
                    out.append(f"RZ{tag} {n} {node(l + 1, r, c)} {1 / layer['Down']:.15g}")
                if l == 0:
                    out.append(f"I{tag} 0 {n} {CASE['Watts'][r * cols + c]}")
    names = [f"v({node(l, r, c)})" for l in range(len(layers)) for r in range(rows) for c in range(cols)]
    out += [".tran 0.02 200 0 0.02 uic", ".control", "set numdgt=12", "run"]
    out += [f"meas tran m{i}_{k} find {n} at={t}" for k, t in enumerate(TIMES) for i, n in enumerate(names)]
    out += ["set filetype=ascii", f"wrdata {datafile} " + " ".join(names), "quit 0", ".endc"]
    return out, len(names)


def live():
    with tempfile.TemporaryDirectory() as d:
        data = os.path.join(d, "out.txt")
        lines, count = netlist(data)
        said = spice.run(lines)
        if not os.path.exists(data):
            sys.exit("ngspice wrote nothing:\n" + said[-2000:])
        table = [[float(x) for x in line.split()] for line in open(data)]
    rows = []
    for t in TIMES:
        # Cubic through the four points around t.
        at = min(range(len(table)), key=lambda i: abs(table[i][0] - t))
        at = min(max(at - 1, 0), len(table) - 4)
        pts = table[at:at + 4]
        row = []
        for i in range(count):
            s = 0.0
            for a in range(4):
                w = 1.0
                for b in range(4):
                    if b != a:
                        w *= (t - pts[b][0]) / (pts[a][0] - pts[b][0])
                s += w * pts[a][1 + 2 * i]
            row.append(s)
        rows.append(row)
    return rows


def main():
    rows = live()
    if "--write" in sys.argv:
        with open(PATH, "w") as f:
            json.dump({"Origin": f"{spice.version()}, transient of the analogue circuit, Gear 4, reltol 1e-8, 20 ms steps; "
                                 "written by .ci/checks/heat_ngspice.py --write",
                       **CASE, "Times": TIMES, "Rise": rows}, f, indent=1)
            f.write("\n")
    with open(PATH) as f:
        stored = json.load(f)
    bad = False
    for t, a, b in zip(TIMES, rows, stored["Rise"]):
        worst = max(abs(x - y) for x, y in zip(a, b)) / max(b)
        bad |= not worst <= TOLERANCE
        print(f"t = {t:g} s: hottest rise {max(a):.6f} K, live against stored {worst:.1e} relative (allowed {TOLERANCE:g})")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
