"""Live check of scenes/carry against SciPy: for pictures of its own, the least number
of steps from scipy.sparse.csgraph.maximum_flow on the grid expanded in time, written
down arc by arc, and the fewest moves from the same network as a linear programme
(scipy.optimize.linprog, HiGHS). Compares with testdata/carry/flows.json, with which the
Go test compares, and exits 1 when a value differs; --store writes the file anew."""
import json
import random
import subprocess
import sys

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_matrix, csr_matrix
from scipy.sparse.csgraph import maximum_flow

PATH = "testdata/carry/flows.json"


def network(rows, cols, start, goal, pool, steps, phase):
    """Arcs (tail, head, capacity, cost), the numbers of source and sink, what must flow."""
    arcs, number = [], {}

    def node(key):
        return number.setdefault(key, len(number))

    source, sink, spring, drain = (node(k) for k in ("source", "sink", "spring", "drain"))
    cells = [(r, c) for r in range(rows) for c in range(cols)]
    for r, c in cells:
        for t in range(steps + 1):  # a drop in, a drop out
            arcs.append((node((r, c, t, "in")), node((r, c, t, "out")), 1, 0))
        if start[r][c] == "#":
            arcs.append((source, node((r, c, 0, "in")), 1, 0))
        if goal[r][c] == "#":
            arcs.append((node((r, c, steps, "out")), sink, 1, 0))
    for t in range(steps):
        for r, c in cells:
            arcs.append((node((r, c, t, "out")), node((r, c, t + 1, "in")), 1, 0))
            if (r + c + t + phase) % 2 == 0:
                for i, j in ((r - 1, c), (r, c - 1), (r, c + 1), (r + 1, c)):
                    if 0 <= i < rows and 0 <= j < cols:
                        arcs.append((node((r, c, t, "out")), node((i, j, t + 1, "in")), 1, 1))
                if pool and r == rows - 1:
                    arcs.append((node((r, c, t, "out")), drain, 1, 1))
            elif pool and r == rows - 1:
                arcs.append((spring, node((r, c, t + 1, "in")), 1, 1))
    drops = sum(row.count("#") for row in start)
    wanted = sum(row.count("#") for row in goal)
    must = drops
    if pool:
        arcs += [(source, spring, wanted, 0), (drain, sink, drops, 0), (spring, drain, wanted + drops, 0)]
        must += wanted
    return arcs, len(number), source, sink, must


def feasible(*args):
    arcs, n, source, sink, must = network(*args)
    graph = csr_matrix(([a[2] for a in arcs], ([a[0] for a in arcs], [a[1] for a in arcs])), shape=(n, n), dtype=np.int32)
    return maximum_flow(graph, source, sink).flow_value == must


def cheapest(*args):
    arcs, n, source, sink, must = network(*args)
    k = np.arange(len(arcs))
    balance = coo_matrix((np.r_[np.ones(len(arcs)), -np.ones(len(arcs))],
                          (np.r_[[a[0] for a in arcs], [a[1] for a in arcs]], np.r_[k, k])), shape=(n, len(arcs)))
    supply = np.zeros(n)
    supply[source], supply[sink] = must, -must
    answer = linprog([a[3] for a in arcs], A_eq=balance, b_eq=supply, bounds=[(0, a[2]) for a in arcs], method="highs")
    return round(answer.fun) if answer.status == 0 else None


def solve(rows, cols, start, goal, pool):
    steps = 0
    while True:
        moves = [cheapest(rows, cols, start, goal, pool, steps, p) for p in (0, 1) if feasible(rows, cols, start, goal, pool, steps, p)]
        if moves:
            return steps, min(moves)
        steps += 1


def pictures():
    r = random.Random(1)
    for rows, cols, drops, wanted, pool in ((6, 6, 12, 12, False), (10, 16, 32, 32, False), (10, 16, 100, 100, False), (10, 16, 150, 150, False),
                                            (16, 16, 60, 60, False), (10, 16, 20, 45, True), (10, 16, 45, 20, True), (20, 20, 200, 200, False)):
        def scattered(n):
            on = set(r.sample(range(rows * cols), n))
            return ["".join("#" if i * cols + j in on else "." for j in range(cols)) for i in range(rows)]
        yield rows, cols, scattered(drops), scattered(wanted), pool
    bar = lambda c: ["." * c + "####" + "." * (12 - c)] * 8
    yield 8, 16, bar(0), bar(12), False


if __name__ == "__main__":
    cases = []
    for rows, cols, start, goal, pool in pictures():
        steps, moves = solve(rows, cols, start, goal, pool)
        cases.append({"from": start, "to": goal, "pool": pool, "steps": steps, "moves": moves})
        print(f"{cols} x {rows}, pool {pool}: {steps} steps, {moves} moves", flush=True)
    if "--store" in sys.argv:
        with open(PATH, "w") as f:
            json.dump({"origin": "written by .ci/checks/carry_flow.py --store with SciPy (maximum_flow, linprog)", "cases": cases}, f, indent=1)
            f.write("\n")
    with open(PATH) as f:
        stored = json.load(f)["cases"]
    subprocess.run(["go", "test", "-run", "TestAgainstSciPy", "./scenes/carry/"], check=True)
    sys.exit(stored != cases)
