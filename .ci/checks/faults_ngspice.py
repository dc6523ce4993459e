#!/usr/bin/env python3
"""Electrical faults against ngspice: a coil with some of its turns shorted, which are
a secondary winding too, a kick into a hot coil, capacitors plugged to a running
supply, and what a shorted diode lets astray in a scan.

ngspice integrates the circuits, and the Go test TestAgainstSpice of scenes/faults
compares what the program says of the same. Fails when they differ. With --write the
results are kept as testdata/faults/ngspice.json for the test that runs without ngspice.
"""
import json
import os
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), "../.."))
sys.path.insert(0, os.path.join(ROOT, ".ci/readers"))
import spice  # noqa: E402
# Volts, coil ohms, henries, switch ohms, share of the turns (and of the resistance) that is
# shorted, coupling to the rest, duty, hertz.
SHORTS = [dict(voltage=12, resistance=11.34, inductance=166e-6, on_resistance=0.6, share=s, coupling=k, duty=0.16, frequency=20e3)
          for s, k in ((1 / 128, 0.7), (1 / 8, 0.8))]
# The coil's resistance at 130 °C; the current is read at these multiples of L/(R + Ron).
KICK = dict(voltage=24, resistance=16.24, inductance=166e-6, on_resistance=0.6, at=[0.5, 1, 3])
INRUSH = dict(voltage=12, ohms=0.1234, capacitance=3.3e-3)
# Volts of the rail and of a coil's diode, coil ohms, the picture that the scan shows at full duty, and
# the row and column whose diode is a wire.
SCANS = [dict(voltage=3, drop=0.7, resistance=10, picture=p, row=r, col=c) for p, r, c in (
    ([[1, 0, 0, 0, 0], [0, 1, 0, 0, 0], [0, 1, 1, 1, 0], [0, 0, 0, 0, 0]], 0, 0),
    ([[1, 1, 0, 0, 0], [0, 0, 1, 1, 1], [1, 0, 0, 1, 1], [0, 1, 0, 0, 0]], 0, 0))]


def measured(lines, names):
    return spice.run(lines + [".options reltol=1e-6 abstol=1e-9 vntol=1e-7 method=gear"], names)


def short(c):
    period, s, ron = 1 / c["frequency"], c["share"], c["on_resistance"]
    edge, start = period * 1e-4, 40 * period
    lines = ["* turns shorted", f"V1 rail 0 {c['voltage']}",
             f"Vc c 0 PULSE(0 1 {-edge / 2} {edge} {edge} {c['duty'] * period - edge} {period})",
             "S1 rail p c 0 high", "S2 p 0 c 0 low",
             f".model high SW(Ron={ron / 2} Roff=1e9 Vt=0.5 Vh=0)", f".model low SW(Ron=1e9 Roff={ron / 2} Vt=0.5 Vh=0)",
             f"R3 n 0 {ron / 2}",
             f"L1 p a {c['inductance'] * (1 - s) ** 2}", f"R1 a b {c['resistance'] * (1 - s)}",
             f"L2 b d {c['inductance'] * s ** 2}", f"R2 d n {c['resistance'] * s}", f"K1 L1 L2 {c['coupling']}",
             "Rs b n 1u",
             f".tran {period / 400} {start + period} 0 {period / 2000}",
             f".meas tran average AVG i(L1) from={start} to={start + period}",
             f".meas tran lost RMS i(L2) from={start} to={start + period}",
             f".meas tran heat RMS i(L1) from={start} to={start + period}"]
    average, lost, heat = measured(lines, ["average", "lost", "heat"])
    return dict(c, average=average, lost=lost**2 * c["resistance"] * s, heat=heat**2 * c["resistance"] * (1 - s))


def kick(c):
    tau = c["inductance"] / (c["resistance"] + c["on_resistance"])
    lines = ["* kick", f"V1 rail 0 PULSE(0 {c['voltage']} 0 {tau * 1e-6} 1 1)", f"R1 rail a {c['resistance'] + c['on_resistance']}",
             f"L1 a 0 {c['inductance']} IC=0", f".tran {tau / 500} {4 * tau} 0 {tau / 5000} UIC"]
    lines += [f".meas tran m{k} FIND i(L1) AT={x * tau}" for k, x in enumerate(c["at"])]
    return dict(c, current=measured(lines, [f"m{k}" for k in range(len(c["at"]))]))


def inrush(c):
    tau = c["ohms"] * c["capacitance"]
    lines = ["* inrush", f"V1 rail 0 PULSE(0 {c['voltage']} 0 {tau * 1e-5} 1 1)", f"R1 rail a {c['ohms']}", f"C1 a 0 {c['capacitance']} IC=0",
             f".tran {tau / 500} {5 * tau} 0 {tau / 20000} UIC", ".meas tran least MIN i(V1)"]
    return dict(c, peak=-measured(lines, ["least"])[0])


def scan(c):
    """Each coil's current in each row's turn: its row on the rail, lit columns on the return, the other lines free."""
    rows, cols = len(c["picture"]), len(c["picture"][0])
    pixels, turns = [(r, k) for r in range(rows) for k in range(cols)], []
    for turn in range(rows):
        lines = ["* a row's turn, a diode shorted", f"Vrail r{turn} 0 {c['voltage']}", ".model d D(Is=1e-9 N=0.01)"]
        lines += [f"Rr{r} r{r} 0 1e9" for r in range(rows)]
        lines += [f"Rc{k} c{k} 0 {1e-6 if c['picture'][turn][k] else 1e9}" for k in range(cols)]
        for r, k in pixels:
            n = f"{r}_{k}"
            lines += [f"V{n} r{r} a{n} 0", f"R{n} a{n} b{n} {c['resistance']}"]
            if (r, k) == (c["row"], c["col"]):
                lines.append(f"Rd{n} b{n} c{k} 1e-6")
            else:
                lines += [f"Vd{n} b{n} e{n} {c['drop']}", f"D{n} e{n} c{k} d"]
        lines += [".tran 1m 4m"] + [f".meas tran m{r}_{k} FIND i(V{r}_{k}) AT=3m" for r, k in pixels]
        turns.append(measured(lines, [f"m{r}_{k}" for r, k in pixels]))
    return dict(c, turns=turns)


def main():
    result = dict(origin=f"made by .ci/checks/faults_ngspice.py with {spice.version()}: transients of the netlists it writes",
                  shorts=[short(c) for c in SHORTS], kick=kick(KICK), inrush=inrush(INRUSH),
                  scans=[scan(c) for c in SCANS])
    if "--write" in sys.argv[1:]:
        with open(os.path.join(ROOT, "testdata/faults/ngspice.json"), "w") as f:
            json.dump(result, f, indent=1)
            f.write("\n")
        return 0
    with tempfile.NamedTemporaryFile("w", suffix=".json") as f:
        json.dump(result, f)
        f.flush()
        return subprocess.run(["go", "test", "./scenes/faults", "-count=1", "-v", "-run", "^TestAgainstSpice$"], cwd=ROOT,
                              env=dict(os.environ, LODEGRID_SPICE=f.name)).returncode


if __name__ == "__main__":
    sys.exit(main())
