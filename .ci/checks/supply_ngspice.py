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
import sys

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), "../.."))
sys.path.insert(0, os.path.join(ROOT, ".ci/readers"))
import spice  # noqa: E402
CASES = [dict(average=8, peak=14, period=50e-6, esr=0.01, droop=0.24),
         dict(average=2, peak=32, period=1 / 60, esr=0.002, droop=0.5),
         dict(average=0.5, peak=1, period=1e-3, esr=0, droop=0.1)]
# Feeders and a limiter in front of capacitors: supplies of 150 W and 200 W at 1.5 times their current.
LIMITERS = [dict(voltage=12, capacitance=68e-3, feeders=0.0353, limiter=0.6047), dict(voltage=24, capacitance=0.47, feeders=0.01, limiter=1.91)]


def swing(c):
    on, edge = c["average"] / c["peak"] * c["period"], c["period"] * 1e-5
    stop, start = 4 * c["period"], 2 * c["period"]
    high, low = spice.run(["* droop", f"Isupply 0 rail {c['average']}",
                           f"Iload rail 0 PULSE(0 {c['peak']} 0 {edge} {edge} {on - edge} {c['period']})",
                           f"Cbulk rail n {c['capacitance']} IC=12", f"Resr n 0 {max(c['esr'], 1e-9)}",
                           f".tran {c['period'] / 2000} {stop} 0 {c['period'] / 2000} UIC",
                           f".meas tran high MAX v(rail) from={start} to={stop}",
                           f".meas tran low MIN v(rail) from={start} to={stop}"], ["high", "low"])
    return high - low


def plugged(c):
    """Charges the capacitors through feeders and a limiter: highest current, heat in the limiter."""
    tau = (c["feeders"] + c["limiter"]) * c["capacitance"]
    edge = tau * 1e-5
    peak, heat = spice.run(["* inrush", f"V1 s 0 PULSE(0 {c['voltage']} 0 {edge} 1 1000)", f"Rf s a {c['feeders']}", f"Rl a b {c['limiter']}",
                            f"C1 b 0 {c['capacitance']} IC=0", f"Bp p 0 V=(v(a)-v(b))*(v(a)-v(b))/{c['limiter']}",
                            ".options reltol=1e-6 abstol=1e-9 vntol=1e-7", f".tran {tau / 1000} {12 * tau} 0 {tau / 2000} UIC",
                            ".meas tran least MIN i(V1)", f".meas tran heat INTEG v(p) from=0 to={12 * tau}"], ["least", "heat"])
    return dict(c, peak=-peak, heat=heat)


def main():
    bad = 0
    for c in CASES:
        charge = c["average"] * (1 - c["average"] / c["peak"]) * c["period"]
        c["capacitance"] = charge / (c["droop"] - c["peak"] * c["esr"])
        c["swing"] = swing(c)
        off = c["swing"] / c["droop"] - 1
        print(f"{c['average']} A of {c['peak']} A peak, {c['capacitance'] * 1e3:.4g} mF, ESR {c['esr']} ohm: allowed {c['droop']} V, ngspice {c['swing']:.6g} V ({off:+.2%})")
        bad += abs(off) > 0.005
    limiters = [plugged(c) for c in LIMITERS]
    for c in limiters:
        whole = c["capacitance"] * c["voltage"] ** 2 / 2 * c["limiter"] / (c["feeders"] + c["limiter"])
        print(f"{c['capacitance'] * 1e3:.4g} mF at {c['voltage']} V through {c['limiter']:.4g} ohm: {c['peak']:.5g} A and {c['heat']:.5g} J in ngspice, {whole:.5g} J of C V^2/2")
        bad += abs(c["heat"] / whole - 1) > 0.005
    path = os.path.join(ROOT, "testdata/supply/droop.json")
    if "--write" in sys.argv[1:]:
        with open(path, "w") as f:
            json.dump(dict(origin=f"made by .ci/checks/supply_ngspice.py with {spice.version()}", cases=CASES, limiters=limiters), f, indent=1)
            f.write("\n")
    else:
        file = json.load(open(path))
        kept = file["cases"] + file["limiters"]
        if len(kept) != len(CASES) + len(limiters):
            print(f"{path} holds {len(kept)} cases, here are {len(CASES) + len(limiters)}")
            bad += 1
        for c, k in zip(CASES + limiters, kept):
            if any(abs(c[n] - k[n]) > 1e-4 * abs(c[n]) for n in c):
                print(f"{path} is stale: {k}, now {c}")
                bad += 1
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
