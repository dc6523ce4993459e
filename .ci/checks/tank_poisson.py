"""Live check of array/tank/poisson against SciPy: solves the stored grids again,
compares with testdata/tank/poisson.json (which the Go test compares with), then
times both solvers in one run. Exits 1 when a value differs."""
import json
import subprocess
import sys

with open("testdata/tank/poisson.json") as f:
    stored = json.load(f)
failed = False
for grid in stored["grids"]:
    rows, cols = grid["rows"], grid["cols"]
    run = subprocess.run(
        ["/usr/bin/python3", "testdata/rivals/poisson.py", str(rows), str(cols), "1"],
        capture_output=True, check=True, text=True)
    now = json.loads(run.stdout)
    for name in ("banded", "dctn"):
        scale = max(abs(v[2]) for v in grid["values"])
        worst = max(abs(a[2] - b[2]) for a, b in zip(grid["values"], now[name]["values"]))
        ok = len(grid["values"]) == len(now[name]["values"]) and worst <= 1e-9 * scale
        print(f"{rows}x{cols} {name:6s}: worst difference {worst:.2e} of {scale:.3g} {'ok' if ok else 'FAILED'}")
        failed |= not ok
subprocess.run(
    ["go", "test", "-run", "TestAgainstSciPy", "-v", "-bench", "Rival", "./array/tank/poisson/"], check=True)
sys.exit(failed)
