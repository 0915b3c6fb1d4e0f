"""What finding rings costs: the time for 20 s of 48 kHz stereo over that of six compiled sections, timed in turn.

Once in steady noise, where nothing is found, and once in noise that comes and goes and has two rings, which are measured as well.

Run ``OPENBLAS_NUM_THREADS=1 python tests/bench/rings/cost.py``.
"""

from __future__ import annotations

import time

import numpy as np
from planting import Plant, bell
from scipy import signal

from stemwright.dsp.cascade import Cascade
from stemwright.dsp.rings import RingFinder

RATE_HZ, SECONDS, BLOCK, ROUNDS = 48000, 20, 65536, 9
BELL = [1.0439, -1.8953, 0.8677, 1.0, -1.8953, 0.9117]  # 1 kHz, +6 dB, Q 1


def render(audio: np.ndarray) -> None:
    """Filter with six sections, in blocks."""
    cascade = Cascade(np.array([BELL] * 6), 2)
    for at in range(0, len(audio), BLOCK):
        cascade.process(audio[at : at + BLOCK].copy())


def find(audio: np.ndarray) -> None:
    """Find rings, in blocks."""
    finder = RingFinder(RATE_HZ, 2)
    for at in range(0, len(audio), BLOCK):
        finder.feed(audio[at : at + BLOCK])
    finder.finish()


def ringing(noise: np.ndarray) -> np.ndarray:
    """Return noise in hits of a quarter of a second with two rings of +15 dB."""
    beats = np.exp(-(np.arange(len(noise)) % (RATE_HZ // 4)) / (0.04 * RATE_HZ))[:, np.newaxis]
    sections = [bell(Plant("bell", freq_hz, 30.0, 15.0), RATE_HZ) for freq_hz in (900.0, 3000.0)]
    return signal.sosfilt(np.concatenate(sections), noise * beats, axis=0)


def main() -> None:
    """Time both in turn by processor time, so that another program's load counts little, and print the ratio of the best."""
    noise = np.random.default_rng(0).normal(size=(RATE_HZ * SECONDS, 2)) * 0.1
    works = (find, render)
    for name, audio in (("noise", noise), ("two rings", ringing(noise))):
        best = dict.fromkeys(works, 1e9)
        for _ in range(ROUNDS):
            for work in works:
                start = time.process_time()
                work(audio)
                best[work] = min(best[work], time.process_time() - start)
        print(f"finding rings over six sections, {SECONDS} s of {name}: {best[find] / best[render]:.2f}")


if __name__ == "__main__":
    main()
