"""Live check of array/escape against SciPy: for grids up to 40 x 40 pixels, the maximum flow
(scipy.sparse.csgraph.maximum_flow) of wires through the channels between the pixels, each
crossing cut in two from corner to corner: round two opposite corners of the grid one way,
elsewhere the other, the least over how far round. Compares with testdata/escape/flows.json,
with which the Go test compares, and exits 1 when a value differs; --store writes it anew."""
import json
import pathlib
import random
import sys

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_flow

PATH = pathlib.Path("testdata/escape/flows.json")


def flow(c, reach):
    """Wires that come out with the crossings up to reach from two corners cut rising."""
    rows, cols, arcs, number = c["rows"], c["cols"], {}, {}

    def node(*key):
        return number.setdefault(key, len(number))

    source, sink = node("source"), node("sink")

    def add(a, b, cap):
        arcs[a, b] = arcs.get((a, b), 0) + cap

    def side(i, j, of):
        """The part of the crossing above row i, left of column j, that a channel enters."""
        if i in (0, rows) or j in (0, cols):
            return sink
        rising = i + j <= reach or rows + cols - i - j <= reach
        return node("crossing", i, j, of in ("n", "w") if rising else of in ("n", "e"))

    for i in range(1, rows):
        for j in range(1, cols):
            a, b = side(i, j, "n"), side(i, j, "s")
            cap = c["rising"] if i + j <= reach or rows + cols - i - j <= reach else c["falling"]
            add(a, b, cap)
            add(b, a, cap)
    for i in range(rows):
        for j in range(cols):
            p = node("pixel", i, j)
            add(source, p, c["wires"])
            for along, k, l in ((True, i, j), (True, i + 1, j), (False, i, j), (False, i, j + 1)):
                if along and k in (0, rows) or not along and l in (0, cols):
                    add(p, sink, c["wires"])
                    continue
                m = node("piece", along, k, l)
                add(p, m, c["wires"])
                ends = ((k, l, "e"), (k, l + 1, "w")) if along else ((k, l, "s"), (k + 1, l, "n"))
                for end in ends:
                    cap = c["row"] if along else c["col"]
                    arcs[m, side(*end)] = cap
                    if side(*end) != sink:
                        arcs[side(*end), m] = cap
    n = len(number)
    tails, heads = zip(*arcs)
    graph = csr_matrix((np.array(list(arcs.values()), dtype=np.int32), (tails, heads)), shape=(n, n))
    return int(maximum_flow(graph, source, sink).flow_value)


def cases():
    rng = random.Random(7)
    for k in range(40):
        row, col = rng.randrange(5), rng.randrange(5)
        least = max(row, col)
        top = 12 if k % 2 else 40
        yield {"rows": rng.randrange(3, top), "cols": rng.randrange(3, top), "wires": rng.randrange(1, 5), "row": row, "col": col,
               "falling": least + rng.randrange(3), "rising": least + rng.randrange(3)}


def main():
    found = []
    for c in cases():
        out = min(flow(c, reach) for reach in range((c["rows"] + c["cols"]) // 2 + 1))
        found.append({**c, "out": out})
    if "--store" in sys.argv:
        PATH.parent.mkdir(exist_ok=True)
        PATH.write_text("[\n" + ",\n".join(json.dumps(c) for c in found) + "\n]\n")
    kept = json.loads(PATH.read_text())
    if kept != found:
        sys.exit("escape: SciPy's maximum flows are not those of " + str(PATH))
    decided = sum(c["out"] < c["wires"] * c["rows"] * c["cols"] for c in found)
    print(f"escape: {len(found)} grids, in {decided} of them not all wires come out; all as stored")


if __name__ == "__main__":
    main()
