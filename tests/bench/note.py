"""What does a note cost? One stem of sixteen changed, against the full pass before it, timed in turn in the same run.

Run: python tests/bench/note.py [--stems 16] [--seconds 90] [--rounds 3] [--page]

Both are whole runs of the command, start-up included. The floor copies and hashes the files that are taken over. Processor
time is beside the clock's, since a busy machine stretches the start-up of a short run more than a long run.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import soundfile
from prep import ENVIRONMENT

RATE_HZ = 48_000
WANTED = 0.15


def make_stems(folder: Path, stems: int, seconds: float) -> None:
    """Write noise bursts with a decay, 24 bit stereo, under names that the house's piano recipe takes."""
    frames = round(seconds * RATE_HZ)
    for number in range(stems):
        beat = np.exp(-6.0 * (np.arange(frames) / RATE_HZ * 2.0 % 1.0))
        audio = np.random.default_rng(number).standard_normal((frames, 2)) * 0.08 * beat[:, None]
        soundfile.write(folder / f"synth {number + 1:02d}.wav", audio, RATE_HZ, "PCM_24")


def stemwright(*arguments: str) -> None:
    """Run the command as a user does; a finding at intake is no failure here."""
    command = [sys.executable, "-m", "stemwright", *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=ENVIRONMENT)
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr)


def floor(song: Path, target: Path) -> None:
    """Copy and hash all files of the pass but one, over a pool of threads."""

    def work(path: Path) -> None:
        data = path.read_bytes()
        hashlib.sha256(data).digest()
        (target / path.name).write_bytes(data)

    with ThreadPoolExecutor() as pool:
        list(pool.map(work, sorted((song / "passes/pass-01/stems").glob("*.wav"))[1:]))


def timed(run) -> tuple[float, float]:
    """Return how long a call takes by the clock, and how much processor time it and its children use, in seconds."""
    os.sync()  # nobody pays for the bytes of the one before
    start, used = time.perf_counter(), processor()
    run()
    return time.perf_counter() - start, processor() - used


def processor() -> float:
    """Return the processor time this process and its finished children have used."""
    both = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(one.ru_utime + one.ru_stime for one in both)


def main() -> None:
    """Run the bench and print its table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--stems", type=int, default=16)
    parser.add_argument("--seconds", type=float, default=90.0)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--page", action="store_true", help="all of them with their pages")
    asked = parser.parse_args()
    page = [] if asked.page else ["--no-page"]
    names = ("full pass", "note on one stem", "recall of one stem", "copy and hash the rest")
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in names}
    with tempfile.TemporaryDirectory() as scratch:
        song, target = Path(scratch) / "song", Path(scratch) / "out"
        song.mkdir()
        make_stems(song, asked.stems, asked.seconds)
        for _ in range(asked.rounds):
            shutil.rmtree(song / "passes", ignore_errors=True)
            shutil.rmtree(target, ignore_errors=True)
            target.mkdir()
            runs = (
                lambda: stemwright("prep", str(song), *page),
                lambda: stemwright("note", str(song), '"synth 01.wav": more bite', *page),
                lambda: stemwright("recall", str(song), "1", "--stem", "synth 01", *page),
                lambda: floor(song, target),
            )
            for name, run in zip(names, runs, strict=True):
                times[name].append(timed(run))
    print(f"{asked.stems} stems of {asked.seconds:g} s, 48 kHz/24 bit stereo; {asked.rounds} rounds in turn")
    whole = times["full pass"]
    for name, values in times.items():
        shares = [[one[side] / full[side] for one, full in zip(values, whole, strict=True)] for side in (0, 1)]
        clock, work = map(statistics.median, shares)
        print(
            f"{name:24s} median {statistics.median(one[0] for one in values):6.2f} s   {clock:6.1%} of the full pass "
            f"({min(shares[0]):.1%} to {max(shares[0]):.1%}), {work:.1%} of its processor time"
        )
    note = statistics.median(one[0] / full[0] for one, full in zip(times["note on one stem"], whole, strict=True))
    print(
        f"a note on one stem of {asked.stems}: {note:.1%}, wanted at most {WANTED:.0%}: {'met' if note <= WANTED else 'MISSED'}"
    )


if __name__ == "__main__":
    main()
