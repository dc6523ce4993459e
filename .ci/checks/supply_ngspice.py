#!/usr/bin/env python3
"""Bulk capacitors against ngspice.

A supply that gives the average current alone, a load that takes its peak in one
burst per period, and between them the capacitance by Q/(ΔV − I·ESR): ngspice must
see the rail swing by ΔV. Prints both and fails when they differ by more than 0.5 %.
With --write the cases are kept as testdata/supply/droop.json, whose capacitances the
Go test compares with what the supply package computes.
"""
import json
import os
import re
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), "../.."))
CASES = [dict(average=8, peak=14, period=50e-6, esr=0.01, droop=0.24),
         dict(average=2, peak=32, period=1 / 60, esr=0.002, droop=0.5),
         dict(average=0.5, peak=1, period=1e-3, esr=0, droop=0.1)]


def swing(c):
    on, edge = c["average"] / c["peak"] * c["period"], c["period"] * 1e-5
    stop, start = 4 * c["period"], 2 * c["period"]
    net = f"""* droop
Isupply 0 rail {c['average']}
Iload rail 0 PULSE(0 {c['peak']} 0 {edge} {edge} {on - edge} {c['period']})
Cbulk rail n {c['capacitance']} IC=12
Resr n 0 {max(c['esr'], 1e-9)}
.tran {c['period'] / 2000} {stop} 0 {c['period'] / 2000} UIC
.meas tran high MAX v(rail) from={start} to={stop}
.meas tran low MIN v(rail) from={start} to={stop}
.end
"""
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "net.cir")
        with open(path, "w") as f:
            f.write(net)
        out = subprocess.run(["ngspice", "-b", path], capture_output=True, text=True).stdout
    v = {k: re.search(rf"^{k}\s*=\s*([-+.\deE]+)", out, re.M) for k in ("high", "low")}
    if not all(v.values()):
        sys.exit("ngspice printed no voltages:\n" + out)
    return float(v["high"].group(1)) - float(v["low"].group(1))


def main():
    bad = 0
    for c in CASES:
        charge = c["average"] * (1 - c["average"] / c["peak"]) * c["period"]
        c["capacitance"] = charge / (c["droop"] - c["peak"] * c["esr"])
        c["swing"] = swing(c)
        off = c["swing"] / c["droop"] - 1
        print(f"{c['average']} A of {c['peak']} A peak, {c['capacitance'] * 1e3:.4g} mF, ESR {c['esr']} ohm: allowed {c['droop']} V, ngspice {c['swing']:.6g} V ({off:+.2%})")
        bad += abs(off) > 0.005
    path = os.path.join(ROOT, "testdata/supply/droop.json")
    if "--write" in sys.argv[1:]:
        version = re.search(r"ngspice-\S+", subprocess.run(["ngspice", "--version"], capture_output=True, text=True).stdout).group(0)
        with open(path, "w") as f:
            json.dump(dict(origin=f"made by .ci/checks/supply_ngspice.py with {version}", cases=CASES), f, indent=1)
            f.write("\n")
    else:
        kept = json.load(open(path))["cases"]
        if len(kept) != len(CASES):
            print(f"{path} holds {len(kept)} cases, here are {len(CASES)}")
            bad += 1
        for c, k in zip(CASES, kept):
            if any(abs(c[n] - k[n]) > 1e-4 * abs(c[n]) for n in c):
                print(f"{path} is stale: {k}, now {c}")
                bad += 1
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
