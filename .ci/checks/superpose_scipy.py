"""Live check of array/lattice against SciPy, and how it compares in speed.

1. Runs every rival in testdata/rivals/superpose_*.py and compares the exact ones
   with testdata/superpose/scipy.json, which the Go test TestAgainstSciPy compares
   with; --store writes that file from scipy.signal.fftconvolve instead.
2. Runs that Go test.
3. Times the Go benchmarks and the rivals in turns, each on one thread pinned to
   one processor, and prints ratios of the fastest runs; then the cost from 16 x
   16 to 256 x 256 pixels and its exponent in the number of pixels.

Exits 1 when a value differs. Times never fail it.
"""
import json
import math
import os
import re
import subprocess
import sys
import tempfile

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
STORED = "testdata/superpose/scipy.json"
RIVALS = ("fftconvolve", "fine", "polyphase")
TURNS = 3

env = dict(os.environ, OMP_NUM_THREADS="1", OPENBLAS_NUM_THREADS="1", GOMAXPROCS="1")
processor = str(max(os.sched_getaffinity(0)))


def pinned(*args):
    return subprocess.run(("taskset", "-c", processor) + args, env=env, capture_output=True, check=True, text=True).stdout


def rival(name):
    return json.loads(pinned("/usr/bin/python3", f"testdata/rivals/superpose_{name}.py"))


def go(binary, pattern, seconds="1s", run=pinned):
    """Fastest run in seconds by benchmark name, and the most allocations."""
    out = run(binary, "-test.run", "^$", "-test.bench", pattern, "-test.benchtime", seconds)
    found = re.findall(r"^Benchmark(\S+?)(?:-\d+)?\s+\d+\s.*?([\d.]+) fastest-ns.*?(\d+) allocs/op", out, re.M)
    if not found:
        sys.exit(f"no benchmark in:\n{out}")
    return {m[0]: float(m[1]) * 1e-9 for m in found}, max(int(m[2]) for m in found)


if "--store" in sys.argv:
    got = rival("fftconvolve")
    import scipy
    with open(STORED, "w") as f:
        json.dump({
            "origin": f"testdata/rivals/superpose_fftconvolve.py, SciPy {scipy.__version__}, written by .ci/checks/superpose_scipy.py --store",
            "values": got["values"], "largest": got["largest"],
        }, f, indent=1)
        f.write("\n")

failed = False
best = {}


def keep(name, seconds):
    best[name] = min(seconds, best.get(name, math.inf))


with open(STORED) as f:
    stored = json.load(f)
notes = {}
with tempfile.TemporaryDirectory() as tmp:
    binary = os.path.join(tmp, "lattice.test")
    subprocess.run(["go", "test", "-c", "-o", binary, "./array/lattice"], check=True)
    for turn in range(TURNS):
        times, allocations = go(binary, "^Benchmark(Frame|FrameNoSymmetry|FrameMargin)$", "0.5s")
        for name, seconds in times.items():
            keep(name, seconds)
        failed |= allocations > 0
        for name in RIVALS:
            r = rival(name)
            keep(r["name"], r["best"])
            notes[r["name"]] = r["note"]
            if turn > 0:
                continue
            worst = max(abs(a[3] - b[3]) / stored["largest"][a[0]] for a, b in zip(r["values"], stored["values"]))
            ok = [a[:3] for a in r["values"]] == [b[:3] for b in stored["values"]] and worst <= 1e-12
            failed |= not ok
            print(f"{r['name']}: differs from {STORED} by {worst:.1e} of the largest value: {'ok' if ok else 'FAILED'}")
    test = subprocess.run(["go", "test", "-count=1", "-v", "-run", "TestAgainstSciPy", "./array/lattice"], capture_output=True, text=True)
    print(test.stdout.strip())
    failed |= test.returncode != 0

    frame = best["Frame"]
    print(f"\n64 x 64 pixels, 8 x 8 samples, 3 components, full range, float64, one thread, fastest run in {TURNS} turns")
    print(f"{'':58s} {'ms':>9s} {'ratio':>9s}")
    for name, seconds in sorted(best.items(), key=lambda x: -x[1]):
        print(f"{name:58s} {seconds * 1e3:9.3f} {seconds / frame:9.2f}   {notes.get(name, 'array/lattice')}")
    print(f"allocations per frame: {'more than none, FAILED' if failed and allocations else allocations}")

    print("\npixels     ms per frame   ns per sample and component   exponent in the number of pixels")
    before = None
    for name, seconds in sorted(go(binary, "^BenchmarkSize$", "0.3s")[0].items(), key=lambda x: int(x[0].split("/")[1])):
        n = int(name.split("/")[1])
        grown = "" if before is None else f"{math.log(seconds / before[1]) / math.log(n * n / before[0] ** 2):.2f}"
        print(f"{n:4d}^2  {seconds * 1e3:12.3f}   {seconds * 1e9 / (n * n * 64 * 3):12.2f}   {grown:>26s}")
        before = (n, seconds)
sys.exit(failed)
