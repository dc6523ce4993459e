#!/usr/bin/env python3
"""Makes the sample sound and its expected values:  make_sound.py DIR

Origin of the stored files: SciPy 1.10.1, NumPy 1.24.2. sines24.wav is 0.4 s of
three sines, 24-bit, two channels that differ by a part of opposite sign; the rest
of the folder's values come from scipy.signal.get_window and
scipy.signal.periodogram, implementations independent of this project.

  windows.txt       NAME N, then N values of the periodic window
  sines24.wav.txt   per frame of 20 ms, the power in 16 bands from 50 Hz to 4 kHz
"""
import os
import sys
import wave

import numpy as np
import scipy
import scipy.signal

WINDOWS = {  # this project's names and SciPy's
    "rectangular": "boxcar",
    "hann": "hann",
    "hamming": "hamming",
    "blackman": "blackman",
    "blackman-harris": "blackmanharris",
    "flat-top": "flattop",
}
RATE, SECONDS, FRAME, N = 8000, 0.4, 0.02, 400
SINES = ((200.0, 0.5), (900.0, 0.25), (2500.0, 0.1))  # Hz, amplitude
LOW, HIGH, BANDS = 50.0, 4000.0, 16


def windows(path):
    with open(path, "w", encoding="ascii") as out:
        print(f"# scipy.signal.get_window(..., fftbins=True), SciPy {scipy.__version__}", file=out)
        for name, theirs in WINDOWS.items():
            for n in (16, 25):
                print(name, n, *(f"{v:.17g}" for v in scipy.signal.get_window(theirs, n, fftbins=True)), file=out)


def sound(path):
    t = np.arange(int(RATE * SECONDS)) / RATE
    mono = sum(a * np.sin(2 * np.pi * f * t) for f, a in SINES)
    # The second half is silent, so that decay is seen.
    mono[len(t) // 2:] = 0
    side = 0.1 * np.sin(2 * np.pi * 3000 * t)  # cancels in the mean of the channels
    pcm = np.rint(np.stack([mono + side, mono - side], axis=1) * (2**23 - 1)).astype(np.int64)
    raw = np.zeros(pcm.shape + (3,), dtype=np.uint8)
    for i in range(3):
        raw[..., i] = (pcm >> (8 * i)) & 0xFF
    with wave.open(path, "wb") as out:
        out.setnchannels(2)
        out.setsampwidth(3)
        out.setframerate(RATE)
        out.writeframes(raw.tobytes())
    return pcm.mean(axis=1) / 2**23


def bands(x, path):
    edges = LOW * (HIGH / LOW) ** (np.arange(BANDS + 1) / BANDS)
    with open(path, "w", encoding="ascii") as out:
        print(f"# scipy.signal.periodogram, hann, density times bin width, SciPy {scipy.__version__}", file=out)
        padded = np.concatenate([np.zeros(N), x, np.zeros(N)])
        for i in range(int(round(SECONDS / FRAME))):
            start = int(round((i + 0.5) * FRAME * RATE)) - N // 2 + N
            f, density = scipy.signal.periodogram(padded[start:start + N], RATE, "hann", detrend=False)
            step = RATE / N
            power = density * step
            share = np.clip(np.minimum(edges[1:, None], f + step / 2) - np.maximum(edges[:-1, None], f - step / 2), 0, None) / step
            print(*(f"{v:.12e}" for v in share @ power), file=out)


def main():
    out = sys.argv[1]
    os.makedirs(out, exist_ok=True)
    windows(os.path.join(out, "windows.txt"))
    x = sound(os.path.join(out, "sines24.wav"))
    bands(x, os.path.join(out, "sines24.wav.txt"))


main()
