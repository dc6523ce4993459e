"""scipy.fft on the pixel lattice, 128 x 128, one inverse transform per sample
phase and component, the kernel's spectra kept: SciPy's best exact form. Chunk
sizes from 2 planes to all at once are tried in three forms, and the fastest is
reported:

  irfft2  both axes of real planes in one call
  pruned  rows first, the half that is not wanted dropped, then the other axis
  packed  two real planes as one complex plane, both axes in one call
"""
import time

import numpy as np
from scipy import fft

import superpose_problem as p

n = 2 * p.N
planes = p.wrapped(p.phase_kernel(p.N - 1), n).reshape(-1, n, n)
half = fft.rfft2(planes)
packed = fft.fft2(planes[0::2] + 1j * planes[1::2])
out = np.empty((len(planes), p.N, p.N))


def irfft2(chunk):
    spectrum = fft.rfft2(p.levels(), s=(n, n), workers=1)
    for i in range(0, len(half), chunk):
        out[i:i + chunk] = fft.irfft2(spectrum * half[i:i + chunk], s=(n, n), workers=1, overwrite_x=True)[:, :p.N, :p.N]


def pruned(chunk):
    spectrum = fft.rfft2(p.levels(), s=(n, n), workers=1)
    for i in range(0, len(half), chunk):
        rows = fft.ifft(spectrum * half[i:i + chunk], axis=-2, workers=1, overwrite_x=True)[:, :p.N]
        out[i:i + chunk] = fft.irfft(rows, n=n, workers=1, overwrite_x=True)[:, :, :p.N]


def two(chunk):
    spectrum = fft.fft2(p.levels(), s=(n, n), workers=1)
    for i in range(0, len(packed), chunk):
        z = fft.ifft2(spectrum * packed[i:i + chunk], workers=1, overwrite_x=True)[:, :p.N, :p.N]
        out[2 * i:2 * (i + chunk):2] = z.real
        out[2 * i + 1:2 * (i + chunk) + 1:2] = z.imag


best = None
for name, form in (("irfft2", irfft2), ("pruned", pruned), ("packed", two)):
    for chunk in (2, 4, 8, 16, 48, 192):
        form(chunk)
        seconds = []
        for _ in range(5):
            start = time.perf_counter()
            form(chunk)
            seconds.append(time.perf_counter() - start)
        if best is None or min(seconds) < best[0]:
            best = (min(seconds), name, form, chunk)
_, name, form, chunk = best


def frame():
    form(chunk)
    return lambda: p.raster(out.reshape(p.C, p.S, p.S, p.N, p.N))


p.report("scipy.fft, polyphase 128 x 128, best of chunks and forms", frame, 15, f"{name}, chunks of {chunk}")
