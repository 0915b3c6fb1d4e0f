"""How fast is a pass? Ours against two plain scripts on the same sixteen stems, timed in turn in the same run.

Run: python tests/bench/prep.py [--stems 16] [--seconds 90] [--rounds 3]

Both references read, filter with the same six sections and write 24-bit files over a thread pool of all cores, as whole
files. Ours also hashes, measures loudness and true peak before and after, dithers, checks and writes a manifest.
The floor reads, hashes and writes the same bytes and does nothing else.
"""

from __future__ import annotations

import argparse
import hashlib
import os
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

RATE_HZ = 48_000
RECIPE = """\
recipe: bench
version: 1
about: Six sections at 48 kHz.
family: music
stems: {names: [stem]}
moves:
  - high_pass: {freq: 90 Hz, slope: 24 dB/oct}
    why: two sections
  - bell: {freq: 300 Hz, gain: -2 dB, q: 1}
    why: one section
  - bell: {freq: 700 Hz, gain: 1.5 dB, q: 1.2}
    why: one section
  - bell: {freq: 1200 Hz, gain: -1.5 dB, q: 2}
    why: one section
  - low_shelf: {freq: 200 Hz, gain: 1 dB}
    why: one section
"""


def make_stems(folder: Path, stems: int, seconds: float) -> None:
    """Write noise bursts with a decay, so that levels move as they do in stems; 24 bit stereo."""
    frames = round(seconds * RATE_HZ)
    for number in range(stems):
        random = np.random.default_rng(number)
        beat = np.exp(-6.0 * (np.arange(frames) / RATE_HZ * 2.0 % 1.0))
        audio = random.standard_normal((frames, 2)) * 0.08 * beat[:, None]
        soundfile.write(folder / f"stem {number + 1:02d}.wav", audio, RATE_HZ, "PCM_24")


PEDALBOARD = """
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
import pedalboard as pb
from pedalboard.io import AudioFile

def work(path):
    board = pb.Pedalboard([pb.HighpassFilter(90), pb.HighpassFilter(90), pb.PeakFilter(300, -2, 1),
                           pb.PeakFilter(700, 1.5, 1.2), pb.PeakFilter(1200, -1.5, 2), pb.LowShelfFilter(200, 1)])
    with AudioFile(str(path)) as source:
        audio, rate = source.read(source.frames), source.samplerate
    out = board(audio, rate)
    with AudioFile(str(Path(sys.argv[2]) / path.name), "w", rate, out.shape[0], bit_depth=24) as target:
        target.write(out)

with ThreadPoolExecutor() as pool:
    list(pool.map(work, sorted(Path(sys.argv[1]).glob("*.wav"))))
"""
SOSFILT = """
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
import numpy as np, soundfile
from scipy.signal import sosfilt
sos = np.array(eval(sys.argv[3]))

def work(path):
    audio, rate = soundfile.read(path, always_2d=True)
    soundfile.write(Path(sys.argv[2]) / path.name, sosfilt(sos, audio, axis=0), rate, "PCM_24")

with ThreadPoolExecutor() as pool:
    list(pool.map(work, sorted(Path(sys.argv[1]).glob("*.wav"))))
"""


def floor(source: Path, target: Path) -> None:
    """Read, hash and write the same bytes over a pool of threads."""

    def work(path: Path) -> None:
        data = path.read_bytes()
        hashlib.sha256(data).digest()
        (target / path.name).write_bytes(data)

    with ThreadPoolExecutor() as pool:
        list(pool.map(work, sorted(source.glob("*.wav"))))


def six_sections() -> str:
    """Return the sections of the recipe as text for the script."""
    from stemwright.plan.resolve import sections_of

    rows: list[tuple[float, ...]] = []
    rows += sections_of("high_pass", {"freq_hz": 90.0, "slope_db_oct": 24.0}, RATE_HZ)
    for freq_hz, gain_db, q in ((300.0, -2.0, 1.0), (700.0, 1.5, 1.2), (1200.0, -1.5, 2.0)):
        rows += sections_of("bell", {"freq_hz": freq_hz, "gain_db": gain_db, "q": q}, RATE_HZ)
    rows += sections_of("low_shelf", {"freq_hz": 200.0, "gain_db": 1.0, "q": 0.7071}, RATE_HZ)
    return repr([list(row) for row in rows])


# Users' installations have their bytecode; an environment that forbids writing it would be timed compiling.
ENVIRONMENT = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}


def timed(run) -> float:
    """Return how long a call takes, in seconds."""
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def main() -> None:
    """Run the bench and print its table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--stems", type=int, default=16)
    parser.add_argument("--seconds", type=float, default=90.0)
    parser.add_argument("--rounds", type=int, default=3)
    asked = parser.parse_args()
    sections = six_sections()
    with tempfile.TemporaryDirectory() as scratch:
        song, target = Path(scratch) / "song", Path(scratch) / "out"
        (song / "stems").mkdir(parents=True)
        (song / "recipes").mkdir()
        (song / "recipes" / "bench.yaml").write_text(RECIPE, encoding="utf-8")
        make_stems(song / "stems", asked.stems, asked.seconds)

        def script(text: str) -> None:
            shutil.rmtree(target, ignore_errors=True)
            target.mkdir()
            subprocess.run(
                [sys.executable, "-c", text, str(song / "stems"), str(target), sections], check=True, env=ENVIRONMENT
            )

        def ours() -> None:
            shutil.rmtree(song / "passes", ignore_errors=True)
            subprocess.run(
                [sys.executable, "-m", "stemwright", "prep", str(song), "--no-page"],
                check=True,
                env=ENVIRONMENT,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )

        def bare() -> None:
            shutil.rmtree(target, ignore_errors=True)
            target.mkdir()
            floor(song / "stems", target)

        runs = {
            "ours": ours,
            "soundfile + sosfilt": lambda: script(SOSFILT),
            "pedalboard": lambda: script(PEDALBOARD),
            "read, hash, write": bare,
        }
        times: dict[str, list[float]] = {name: [] for name in runs}
        for _ in range(asked.rounds):
            for name, run in runs.items():
                os.sync()  # nobody pays for the bytes of the one before
                times[name].append(timed(run))
    print(f"{asked.stems} stems of {asked.seconds:g} s, 48 kHz/24 bit stereo, six sections; {asked.rounds} rounds in turn")
    for name, values in times.items():
        ratios = [mine / other for mine, other in zip(times["ours"], values, strict=True)]
        print(
            f"{name:22s} median {statistics.median(values):6.2f} s   ours/this {statistics.median(ratios):5.2f}"
            f"  ({min(ratios):.2f} to {max(ratios):.2f})"
        )


if __name__ == "__main__":
    main()
