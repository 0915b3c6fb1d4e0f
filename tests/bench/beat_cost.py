"""What the beat costs on sixteen stems of four minutes, in processor time against their pass: balance, a ride, the sum's story.

Run: python tests/bench/beat_cost.py [--seconds 240]
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line sets it, before numpy is there

import numpy as np
import soundfile

import stemwright
from stemwright.native.heap import keep_freed
from stemwright.passes.in_sum import add_up
from stemwright.passes.song import open_song

if TYPE_CHECKING:
    from stemwright.passes.make import Made

RATE_HZ = 48_000
NAMES = (
    "lead vocal", "double left", "double right", "kick", "snare", "hats", "808", "bass", "piano", "keys", "guitar", "strings", "pad",
    "brass", "percussion", "crash",
)  # fmt: skip


def make_song(folder: Path, seconds: float) -> None:
    """Write sixteen 24-bit stereo stems: noise in bursts, the voice in phrases of uneven loudness."""
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    for number, name in enumerate(NAMES):
        rng = np.random.default_rng(number)
        phrases = (t % 4.0 < 3.0) * (0.5 + 0.5 * rng.random(int(seconds / 4.0) + 1)[(t / 4.0).astype(int)])
        shape = phrases if number < 3 else np.exp(-4.0 * (t * 2.0 % 1.0))
        if name == "brass":  # covers the voice for three seconds in forty
            shape = np.where(t % 40.0 < 3.0, 4.0, 0.1)
        soundfile.write(folder / f"{name}.wav", rng.standard_normal((len(t), 2)) * 0.08 * shape[:, None], RATE_HZ, "PCM_24")


def spent(work) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def measure_sum(folder: Path, made: Made) -> None:
    with ThreadPoolExecutor(2) as pool:
        add_up(open_song(folder), made.manifest.stems, folder / "passes" / "pass-01" / "stems", pool)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seconds", type=float, default=240.0)
    asked = options.parse_args()
    keep_freed()  # as the command line asks for
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        make_song(folder, asked.seconds)
        song = stemwright.Song(folder)
        made: list[Made] = []
        whole = spent(lambda: made.append(song.prep()))
        in_sum = spent(lambda: measure_sum(folder, made[0]))
        times = {"the pass": whole - in_sum, "the sum, measured while it is made": in_sum}
        first = spent(song.balance)
        looked = spent(song.look)
        again = spent(song.balance)
        times["listening"] = first - again
        times["balance, without looking at the song"] = again - looked
        noted = spent(lambda: song.note("turn the vocal down 1 dB"))
        times["a ride, over a note without one"] = spent(lambda: song.note("ride the vocal")) - noted
    times["all of it"] = sum(times.values()) - times["the pass"]
    for what, seconds in times.items():
        print(f"{what}: {seconds:.1f} s of a processor, {seconds / times['the pass']:.2f} of the pass")


if __name__ == "__main__":
    main()
