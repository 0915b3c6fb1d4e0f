"""What does looking cost? `look` against reading and decoding the same stems, timed in turn in the same run.

Run: python tests/bench/look.py [--stems 16] [--seconds 90] [--rounds 5]

The reference reads and decodes every block with soundfile over the same pool of threads and throws it away; the claim is
a ratio of at most 1.5. The second ratio is against this program's own reader, which is about twice as fast as that.
All run in this process, so none pays for starting; `look` reads recipes and judges besides listening.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line sets it

import numpy as np
import soundfile

from stemwright.passes.look import look
from stemwright.stems.audio import BLOCK_FRAMES, probe, read_blocks

RATE_HZ = 48_000
MOST = 1.5


def make_stems(folder: Path, stems: int, seconds: float, *, hot: bool) -> None:
    """Write beats of decaying noise, 24 bit stereo; the hot ones reach full scale on every beat."""
    frames = round(seconds * RATE_HZ)
    beat = np.exp(-6.0 * (np.arange(frames) / RATE_HZ * 2.0 % 1.0))
    for number in range(stems):
        audio = np.random.default_rng(number).standard_normal((frames, 2)) * beat[:, None]
        audio *= 0.98 / np.abs(audio).max() * (1.0 if hot else 0.4)
        soundfile.write(folder / f"piano {number + 1:02d}.wav", audio, RATE_HZ, "PCM_24")


def soundfile_all(folder: Path, pool: ThreadPoolExecutor) -> None:
    """Read and decode every stem with soundfile."""

    def one(path: Path) -> int:
        with soundfile.SoundFile(path) as file:
            return sum(len(block) for block in file.blocks(BLOCK_FRAMES, dtype="float64", always_2d=True))

    list(pool.map(one, sorted(folder.glob("*.wav"))))


def read_all(folder: Path, pool: ThreadPoolExecutor) -> None:
    """Read and decode every stem with the program's own reader."""

    def one(path: Path) -> int:
        return sum(len(block) for block in read_blocks(path, probe(path)))

    list(pool.map(one, sorted(folder.glob("*.wav"))))


def timed(run) -> float:
    """Return how long a call takes, in seconds."""
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def main() -> int:
    """Run the bench, print its table, and fail if looking costs more than it may."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--stems", type=int, default=16)
    parser.add_argument("--seconds", type=float, default=90.0)
    parser.add_argument("--rounds", type=int, default=5)
    asked = parser.parse_args()
    worst = 0.0
    for hot in (False, True):
        with tempfile.TemporaryDirectory() as scratch, ThreadPoolExecutor(2) as pool:
            song = Path(scratch)
            make_stems(song, asked.stems, asked.seconds, hot=hot)
            read_all(song, pool)  # from here on every byte comes from memory: the ratio is the hardest to keep
            theirs, own, looks = [], [], []
            for _ in range(asked.rounds):
                looks.append(timed(lambda song=song, pool=pool: look(song, pool)))
                theirs.append(looks[-1] / timed(lambda song=song, pool=pool: soundfile_all(song, pool)))
                own.append(looks[-1] / timed(lambda song=song, pool=pool: read_all(song, pool)))
        worst = max(worst, statistics.median(theirs))
        print(
            f"{'hot' if hot else 'quiet':6s} {asked.stems} stems of {asked.seconds:g} s: look {statistics.median(looks):.2f} s, "
            f"over reading and decoding by soundfile {statistics.median(theirs):.2f} ({min(theirs):.2f} to {max(theirs):.2f}), "
            f"by our own reader {statistics.median(own):.2f}"
        )
    print(f"at most {MOST}: {'kept' if worst <= MOST else 'NOT KEPT'}")
    return int(worst > MOST)


if __name__ == "__main__":
    sys.exit(main())
