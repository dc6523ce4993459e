#!/usr/bin/env python3
"""PWM currents and feeder voltages against ngspice.

Builds netlists with switches, a diode and resistors, has ngspice integrate them, and
has the Go test TestAgainstSpice compare what the drive package computes in closed
form. Prints both and fails when they differ. With --write the results are kept as
testdata/drive/ngspice.json for the test that runs without ngspice.
"""
import json
import os
import re
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), "../.."))
sys.path.insert(0, os.path.join(ROOT, ".ci/readers"))
import spice  # noqa: E402

# bridge, volts, coil ohms, henries, switch ohms (whole path), diode volts, duty, hertz.
# first = True measures the first five periods from rest instead of the settled one.
CASES = [
    dict(name="full bridge, continuous", bridge="h-bridge", voltage=12, resistance=5.2, inductance=60e-6,
         on_resistance=0.3, diode_drop=0, duty=0.35, frequency=50e3, first=False),
    dict(name="low side, continuous", bridge="low-side", voltage=12, resistance=4.1, inductance=150e-6,
         on_resistance=0.12, diode_drop=0.7, duty=0.6, frequency=40e3, first=False),
    dict(name="low side, discontinuous", bridge="low-side", voltage=24, resistance=6.5, inductance=40e-6,
         on_resistance=0.2, diode_drop=0.55, duty=0.3, frequency=20e3, first=False),
    dict(name="low side, first five periods from rest", bridge="low-side", voltage=5, resistance=3, inductance=200e-6,
         on_resistance=0.1, diode_drop=0.4, duty=0.5, frequency=25e3, first=True),
    # A scan's diode at each coil, between it and the row's line.
    dict(name="low side, a diode at the coil, continuous", bridge="low-side", voltage=12, resistance=3.3, inductance=120e-6,
         on_resistance=0.25, diode_drop=0.5, path_drop=0.9, duty=0.7, frequency=50e3, first=False),
    dict(name="low side, a diode at the coil, five periods from rest", bridge="low-side", voltage=5, resistance=2.6, inductance=90e-6,
         on_resistance=0.2, diode_drop=0.5, path_drop=0.7, duty=0.8, frequency=30e3, first=True),
    dict(name="low side, a diode at the coil, discontinuous", bridge="low-side", voltage=9, resistance=8, inductance=60e-6,
         on_resistance=0.2, diode_drop=0.6, path_drop=0.7, duty=0.25, frequency=20e3, first=False),
]

# Coils in series on one output, each as warm as it is.
STRINGS = [
    dict(name="full bridge, four in series", bridge="h-bridge", voltage=24, resistance=[2.1, 2.4, 2.9, 2.2], inductance=16e-6,
         on_resistance=0.4, diode_drop=0, duty=0.45, frequency=60e3, first=False),
    dict(name="low side, three in series", bridge="low-side", voltage=12, resistance=[3, 4.1, 3.4], inductance=50e-6,
         on_resistance=0.15, diode_drop=0.6, duty=0.55, frequency=30e3, first=False),
    dict(name="low side, two in series, discontinuous", bridge="low-side", voltage=24, resistance=[6.5, 5], inductance=20e-6,
         on_resistance=0.2, diode_drop=0.55, duty=0.3, frequency=20e3, first=False),
    # Coils beside each other, by their coupling one and two places apart.
    dict(name="full bridge, three in series that couple", bridge="h-bridge", voltage=12, resistance=[2.2, 2.4, 2.1], inductance=40e-6,
         on_resistance=0.4, diode_drop=0, duty=0.4, frequency=50e3, coupling=[-0.08, -0.02], first=False),
    dict(name="low side, three in series that couple", bridge="low-side", voltage=15, resistance=[3, 3.3, 3.1], inductance=60e-6,
         on_resistance=0.15, diode_drop=0.6, duty=0.5, frequency=40e3, coupling=[-0.08, -0.02], first=False),
]


def pwm(c):
    period = 1 / c["frequency"]
    on = c["duty"] * period
    edge = period * 1e-6
    coils = c["resistance"] if isinstance(c["resistance"], list) else [c["resistance"]]
    tau = c["inductance"] / min(coils)
    settle = 0 if c["first"] else int(30 * tau / period) + 3
    a, b = settle * period, (settle + (5 if c["first"] else 1)) * period
    ron = c["on_resistance"]
    lines = ["* pwm", f"Vrail rail 0 {c['voltage']}",
             # The control crosses one half in the middle of its edges.
             f"Vc c 0 PULSE(0 1 {-edge / 2} {edge} {edge} {on - edge} {period})"]
    at = "p" if c["bridge"] == "h-bridge" else "rail"
    if c.get("path_drop"):
        lines += [f"Vs rail ks {c['path_drop'] - 0.53e-3}", "D2 ks row ideal"]
        at = "row"
    for k, ohms in enumerate(coils):
        end = "n" if k == len(coils) - 1 else f"j{k}"
        lines += [f"Lcoil{k or ''} {at} m{k} {c['inductance']} IC=0", f"Rcoil{k} m{k} {end} {ohms}"]
        at = end
    for k in range(len(coils)):
        for apart, share in enumerate(c.get("coupling", []), 1):
            if k + apart < len(coils):
                lines += [f"K{k}_{apart} Lcoil{k or ''} Lcoil{k + apart} {share}"]
    if c["bridge"] == "h-bridge":
        lines += ["S1 rail p c 0 high", "S2 p 0 c 0 low", f"R3 n 0 {ron / 2}",
                  f".model high SW(Ron={ron / 2} Roff=1e9 Vt=0.5 Vh=0)", f".model low SW(Ron=1e9 Roff={ron / 2} Vt=0.5 Vh=0)"]
    else:
        lines += ["S1 n 0 c 0 sw",
                  # The ideal diode itself drops N kT/q ln(I/Is), 0.53 mV at these currents.
                  f"Vd k rail {c['diode_drop'] - 0.53e-3}", "D1 n k ideal",
                  f".model sw SW(Ron={ron} Roff=1e9 Vt=0.5 Vh=0)", ".model ideal D(Is=1e-9 N=0.001)"]
    window = f"from={a} to={b}"
    lines += [f".options reltol=1e-6 abstol=1e-9 vntol=1e-7 method=gear",
              f".tran {period / 2000} {b} 0 {period / 16000} UIC",
              f".meas tran average AVG i(Lcoil) {window}", f".meas tran rms RMS i(Lcoil) {window}",
              f".meas tran max MAX i(Lcoil) {window}", f".meas tran min MIN i(Lcoil) {window}",
              f".meas tran rail AVG i(Vrail) {window}"]
    names = ("average", "rms", "max", "min", "rail")
    got = dict(zip(names, spice.run(lines, names)))
    got["rail"] = -got["rail"]
    return got


def grid():
    """8 x 8 pixels: rows fed at both ends from a resistive bus, columns at the top."""
    rows = cols = 8
    w = dict(rows=rows, cols=cols, voltage=12, row_segment=0.015, row_bus=0.004, column_segment=0.011, column_bus=0.003, lead=0.02)
    state, g = 12345, []
    for _ in range(rows * cols):
        state = (1103515245 * state + 12345) % 2**31
        g.append(round(0.25 * state / 2**31, 6) if state % 7 else 0.0)
    w["conductance"] = g
    net = ["* grid", f"V0 s 0 {w['voltage']}", f"Rlead s e {w['lead']}"]
    k = 0

    def r(a, b, ohms):
        nonlocal k
        k += 1
        net.append(f"R{k} {a} {b} {ohms}")

    for i in range(rows):
        for side, c in (("l", 0), ("r", cols - 1)):
            r("e" if i == 0 else f"{side}{i - 1}", f"{side}{i}", w["row_bus"])
            r(f"{side}{i}", f"a{i}_{c}", w["row_segment"])
        for j in range(cols - 1):
            r(f"a{i}_{j}", f"a{i}_{j + 1}", w["row_segment"])
    for j in range(cols):
        r("0" if j == 0 else f"t{j - 1}", f"t{j}", w["column_bus"])
        r(f"t{j}", f"b0_{j}", w["column_segment"])
        for i in range(rows - 1):
            r(f"b{i}_{j}", f"b{i + 1}_{j}", w["column_segment"])
    for i in range(rows):
        for j in range(cols):
            if g[i * cols + j] > 0:
                r(f"a{i}_{j}", f"b{i}_{j}", 1 / g[i * cols + j])
    net += [".options reltol=1e-9 abstol=1e-15 vntol=1e-12", ".control", "set numdgt=12", "op"]
    for i in range(rows):
        for j in range(cols):
            net.append(f"print a{i}_{j} b{i}_{j}")
    net += ["print i(V0)", "quit 0", ".endc"]
    out = spice.run(net)
    volt = dict(re.findall(r"^([ab]\d_\d) = ([-+.\deE]+)", out, re.M))
    w["volts"] = [float(volt[f"a{i}_{j}"]) - float(volt[f"b{i}_{j}"]) for i in range(rows) for j in range(cols)]
    w["total"] = -float(re.search(r"i\(v0\) = ([-+.\deE]+)", out).group(1))
    return w


def main():
    result = dict(origin=f"made by .ci/checks/drive_ngspice.py with {spice.version()}: transient and operating-point analysis of the netlists it writes",
                  pwm=[dict(c, **pwm(c)) for c in CASES], strings=[dict(c, **pwm(c)) for c in STRINGS], grid=grid())
    path = os.path.join(ROOT, "testdata/drive/ngspice.json")
    if "--write" in sys.argv[1:]:
        with open(path, "w") as f:
            json.dump(result, f, indent=1)
            f.write("\n")
        return 0
    with tempfile.NamedTemporaryFile("w", suffix=".json") as f:
        json.dump(result, f)
        f.flush()
        return subprocess.run(["go", "test", "./array/drive", "-count=1", "-v", "-run", "^TestAgainstSpice$"], cwd=ROOT,
                              env=dict(os.environ, LODEGRID_SPICE=f.name)).returncode


if __name__ == "__main__":
    sys.exit(main())
