#!/usr/bin/env python3
"""Computes the windows and band powers of the sample sound again with SciPy, and
compares them with the values stored for the offline tests."""
import os
import subprocess
import sys
import tempfile

here = os.path.dirname(os.path.abspath(__file__))
stored = os.path.join(here, "..", "..", "testdata", "scenes")
TOLERANCE = 1e-12  # absolute; powers are at most ½


def numbers(path):
    with open(path, encoding="ascii") as f:
        lines = [line.split() for line in f if not line.startswith("#")]
    return [[float(v) if v.lstrip("-")[:1].isdigit() else v for v in line] for line in lines]


failed = False
with tempfile.TemporaryDirectory() as tmp:
    subprocess.run([sys.executable, os.path.join(stored, "make_sound.py"), tmp], check=True)
    with open(os.path.join(stored, "sines24.wav"), "rb") as a, open(os.path.join(tmp, "sines24.wav"), "rb") as b:
        same = a.read() == b.read()
    print("sines24.wav:", "same as stored" if same else "differs from the stored file")
    failed |= not same
    for name in ("windows.txt", "sines24.wav.txt"):
        worst = 0.0
        a, b = numbers(os.path.join(stored, name)), numbers(os.path.join(tmp, name))
        if [len(r) for r in a] != [len(r) for r in b]:
            print(f"{name}: another shape")
            failed = True
            continue
        for row, other in zip(a, b):
            for v, w in zip(row, other):
                worst = max(worst, abs(v - w) if isinstance(v, float) else float(v != w))
        print(f"{name}: greatest difference {worst:.1e}, allowed {TOLERANCE:.0e}")
        failed |= worst > TOLERANCE
sys.exit(failed)
