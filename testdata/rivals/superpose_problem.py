"""The superposition that array/lattice and its rivals do: 64 x 64 pixels, 8 x 8
samples each, three components, no margin, float64, one kernel at every pixel.

The kernel is the one of the Go tests (array/lattice, function square): four
pole pairs, so that every side has the same finite function to sum; no field
formula is being compared here. Offsets are in pitches, x right, y up; samples
stand in the middle of their cells, raster row 0 at the top.
"""
import json
import time

import numpy as np

N, S, C = 64, 8, 3


def square(dx, dy):
    """Components (3, ...) of one pixel at offsets dx, dy."""
    out = np.zeros((3,) + np.broadcast(dx, dy).shape)
    for px in (0.2, -0.2):
        for py in (0.2, -0.2):
            for z, sign in ((0.25, 1.0), (0.4, -1.0)):
                x, y = dx - px, dy - py
                f = sign / (x * x + y * y + z * z) ** 1.5
                out[0] += f * x
                out[1] += f * y
                out[2] += f * z
    return out


def levels():
    """Levels between -1 and 1 with no pattern to them, the same in Go."""
    p = np.arange(N * N)
    return (2 * np.mod((p + 1) * 0.6180339887498949, 1) - 1).reshape(N, N)


def fine_kernel():
    """The kernel at every offset between a pixel and a sample, (3, 1016, 1016).

    Index i of an axis is the sample i - (N-1)*S of a pixel's own cell.
    """
    i = np.arange((2 * N - 1) * S) - (N - 1) * S
    d = (2 * i + 1 - S) / (2 * S)
    return square(d[None, :], -d[:, None])


def phase_kernel(reach):
    """The kernel by sample phase, (3, S, S, 2*reach+1, 2*reach+1)."""
    off = np.arange(-reach, reach + 1)
    d = off[None, :] + (2 * np.arange(S)[:, None] + 1 - S) / (2 * S)  # (phase, block)
    return square(d[None, :, None, :], -d[:, None, :, None])


def wrapped(k, n):
    """Kernel planes (..., 2r+1, 2r+1) laid round the corner of (..., n, n)."""
    r = k.shape[-1] // 2
    out = np.zeros(k.shape[:-2] + (n, n))
    at = np.arange(-r, r + 1) % n
    out[..., at[:, None], at[None, :]] = k
    return out


def raster(planes):
    """(3, S, S, N, N) phase planes to (3, N*S, N*S)."""
    return planes.transpose(0, 3, 1, 4, 2).reshape(C, N * S, N * S)


SAMPLES = [(0, 0, 0), (1, 3, 500), (2, 255, 256), (2, 511, 0), (0, 100, 411), (1, 77, 78), (2, 300, 20)]


def report(name, frame, repeats, note=""):
    """Times frame() and prints one JSON object. frame returns (3, 512, 512), or
    a function that makes it, so that reordering the samples is not timed."""
    result = frame()
    result = result() if callable(result) else result
    seconds = []
    for _ in range(repeats):
        start = time.perf_counter()
        frame()
        seconds.append(time.perf_counter() - start)
    print(json.dumps({
        "name": name, "note": note,
        "best": min(seconds), "median": float(np.median(seconds)),
        "values": [[c, i, j, float(result[c, i, j])] for c, i, j in SAMPLES],
        "largest": [float(np.abs(r).max()) for r in result],
    }))
