"""A song as people have it: prep with the house recipes, rings and page, against a plain script with like filters and no page.

Run: python tests/bench/people.py [--minutes 4] [--rounds 3] [--keep DIR]

Twenty stems of 44.1 kHz/24 bit stereo, sequenced from recordings (Debian's sonic-pi-samples, CC0), with whole bars missing
here and there, as in a beat. The script reads, filters with four pedalboard filters a stem and writes, over a pool of all
cores. The floor reads, hashes and writes the same bytes. All run as commands, start-up included; processor time is beside
the clock's, since other work on the machine stretches the clock.
"""

from __future__ import annotations

import argparse
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile
from prep import ENVIRONMENT, floor

SAMPLES = Path("/usr/share/sonic-pi/samples")
RATE_HZ = 44_100
BEAT = round(RATE_HZ * 60 / 96)
WANTED = 1.2
# Stem, recording, beats at which it sounds in a bar of four, share of bars in which it plays.
STEMS = {
    "kick": ("bd_haus", (0, 1, 2, 3), 0.8),
    "kick sub": ("bd_boom", (0, 2.5), 0.6),
    "snare top": ("drum_snare_hard", (1, 3), 0.75),
    "snare soft": ("drum_snare_soft", (1, 3), 0.3),
    "hat": ("drum_cymbal_closed", (0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5), 0.7),
    "hat open": ("drum_cymbal_open", (3.5,), 0.5),
    "crash": ("drum_splash_hard", (0,), 0.15),
    "tom": ("drum_tom_mid_hard", (2.5, 3.25), 0.2),
    "clap": ("perc_snap", (1, 3), 0.4),
    "tabla perc": ("tabla_na", (0.5, 1.75, 2.5), 0.5),
    "tabla perc low": ("tabla_ghe1", (0, 2.25), 0.5),
    "bass": ("bass_hit_c", (0, 1.5, 3), 0.8),
    "guitar": ("guit_em9", (0,), 0.5),
    "guitar 2": ("guit_harmonics", (0, 2), 0.3),
    "piano": ("ambi_piano", (0, 2), 0.5),
    "choir": ("ambi_choir", (0, 2), 0.4),
    "pad": ("ambi_lunar_land", (0,), 0.4),
    "bells": ("perc_bell", (0,), 0.25),
    "drum loop": ("loop_amen", (0,), 0.5),
    "fx": ("ambi_glass_rub", (0,), 0.2),
}
SCRIPT = """
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
import pedalboard as pb
from pedalboard.io import AudioFile

def work(path):
    board = pb.Pedalboard([pb.HighpassFilter(90), pb.HighpassFilter(90), pb.PeakFilter(300, -2, 1), pb.PeakFilter(3000, 1.5, 1)])
    with AudioFile(str(path)) as source:
        audio, rate = source.read(source.frames), source.samplerate
    out = board(audio, rate)
    with AudioFile(str(Path(sys.argv[2]) / path.name), "w", rate, out.shape[0], bit_depth=24) as target:
        target.write(out)

with ThreadPoolExecutor() as pool:
    list(pool.map(work, sorted(Path(sys.argv[1]).glob("*.wav"))))
"""


def make_stems(folder: Path, minutes: float) -> None:
    """Sequence the recordings; which bars are missing is seeded."""
    bar = 4 * BEAT
    bars = round(minutes * 60 * RATE_HZ / bar)
    for seed, (name, (recording, beats, share)) in enumerate(STEMS.items()):
        sound, _ = soundfile.read(SAMPLES / f"{recording}.flac", always_2d=True)
        sound = np.repeat(sound, 2, axis=1)[:, :2] if sound.shape[1] == 1 else sound
        stem = np.zeros((bars * bar, 2))
        plays = np.repeat(np.random.default_rng(seed).random(-(-bars // 4)) < share, 4)[:bars]  # four bars at a time
        plays[: min(4, bars)] |= not plays.any()
        for number in np.flatnonzero(plays):
            for beat in beats:
                at = number * bar + round(beat * BEAT)
                part = sound[: len(stem) - at]
                stem[at : at + len(part)] += 0.4 * part
        soundfile.write(folder / f"{name}.wav", np.clip(stem, -0.99, 0.99), RATE_HZ, "PCM_24")


def timed(run) -> tuple[float, float]:
    """Return how long a call takes by the clock, and the processor time of it and its children, in seconds."""
    os.sync()
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
    parser.add_argument("--minutes", type=float, default=4.0)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--keep", type=Path, help="keep the song here, and use it if it is there")
    asked = parser.parse_args()
    if not SAMPLES.is_dir():
        raise SystemExit("Debian's package sonic-pi-samples is not installed, so there are no recordings to sequence")
    with tempfile.TemporaryDirectory() as scratch:
        song, target = asked.keep or Path(scratch) / "song", Path(scratch) / "out"
        if not song.exists():
            song.mkdir(parents=True)
            make_stems(song, asked.minutes)

        def fresh() -> None:
            shutil.rmtree(target, ignore_errors=True)
            shutil.rmtree(song / "passes", ignore_errors=True)
            target.mkdir()

        def command(*arguments: str) -> None:
            done = subprocess.run([sys.executable, *arguments], capture_output=True, text=True, check=False, env=ENVIRONMENT)
            if done.returncode not in (0, 1):
                raise SystemExit(done.stderr)

        runs = {
            "ours, rings and page": lambda: command("-m", "stemwright", "prep", str(song)),
            "ours, rings, no page": lambda: command("-m", "stemwright", "prep", str(song), "--no-page"),
            "pedalboard script": lambda: command("-c", SCRIPT, str(song), str(target)),
            "read, hash, write": lambda: floor(song, target),
        }
        times: dict[str, list[tuple[float, float]]] = {name: [] for name in runs}
        for _ in range(asked.rounds):
            for name, run in runs.items():
                fresh()
                times[name].append(timed(run))
    print(f"{len(STEMS)} stems of {asked.minutes:g} min, 44.1 kHz/24 bit stereo; {asked.rounds} rounds in turn")
    theirs = times["pedalboard script"]
    for name, values in times.items():
        clock, work = ([one[side] / their[side] for one, their in zip(values, theirs, strict=True)] for side in (0, 1))
        print(
            f"{name:22s} median {statistics.median(one[0] for one in values):6.2f} s, {statistics.median(clock):5.2f} of the "
            f"script's ({min(clock):.2f} to {max(clock):.2f}); {statistics.median(work):.2f} of its processor time"
        )
    pages = [mine[0] / other[0] for mine, other in zip(*list(times.values())[:2], strict=True)]
    print(f"page / pass without it: {statistics.median(pages):.2f}; wanted at most {WANTED} for it and for the first line")


if __name__ == "__main__":
    main()
