"""Bench: phrase errors planted in speech, ridden back; what a well-ridden performance is moved; what moves inside a phrase.

``ride.py [--part looked|unseen|fresh] [--songs N] [--seed N]``. Voices: recorded speech (the spoken descriptions in
tuxpaint-stamps), each description a phrase brought to one loudness; synthetic speech (espeak-ng), its sentences as they are spoken.
Loudness is measured by BS.1770 (pyebur128), not as a ride does.
"""

from __future__ import annotations

import argparse
import subprocess
import tempfile
from itertools import pairwise
from pathlib import Path

import balance_fresh as fresh
import balance_unseen as unseen
import numpy as np
import pyebur128
import soundfile
import soxr
from scipy.signal import butter, sosfilt

from stemwright.dsp.bands import BandMeter, powers
from stemwright.dsp.ride import factors
from stemwright.plan.ride import points_of, ridden

RATE = 44_100
VOICE = butter(4, 80.0, "high", fs=RATE, output="sos")  # no voice is lower; rumble of a recording is not voiced sound
SPOKEN = Path("/usr/share/tuxpaint/stamps")
TEXT = (
    "the water in the harbour was still this morning and nobody had come to see it so we waited by the old stone wall until the bells "
    "rang twice then somebody opened the gate and the dogs ran out across the field"
)
WORDS = list(TEXT.split(" "))


def loudness(sound):
    state = pyebur128.R128State(1, RATE, pyebur128.MeasurementMode.MODE_I)
    state.add_frames(np.ascontiguousarray(sound), len(sound))
    return pyebur128.get_loudness_global(state)


def recorded(rng):
    every = sorted(SPOKEN.rglob("*_desc*.ogg"))
    for path in rng.choice(np.array(every, dtype=object), size=40, replace=False):
        sound, rate = soundfile.read(path, always_2d=True)
        yield soxr.resample(sound.mean(axis=1), rate, RATE)


def synthetic(rng):
    voice, speed = rng.choice(["en", "de", "fr", "es"]), rng.integers(120, 170)
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(16):
            path = Path(folder) / "v.wav"
            start = int(rng.integers(0, len(WORDS) - 12))
            said = " ".join(WORDS[start : start + int(rng.integers(5, 12))])
            subprocess.run(["espeak-ng", "-v", voice, "-s", str(speed), "-w", path, said], check=True)
            sound, rate = soundfile.read(path)
            yield soxr.resample(sound, rate, RATE)


def another(rng):
    voice = str(rng.choice(unseen.SPEAKERS))
    for _ in range(16):
        start = int(rng.integers(0, len(WORDS) - 12))
        yield unseen.spoken(rng, " ".join(WORDS[start : start + int(rng.integers(5, 12))]), voice)


def syllables(rng):
    folder = unseen.speaker(rng)
    for _ in range(16):
        yield unseen.syllables(rng, rng.uniform(1.5, 4.0), folder, breaths=0.0)


def choir(rng):
    for _ in range(16):
        yield unseen.sung(rng, rng.uniform(1.5, 5.0))


def fresh_synthetic(rng):
    voice = str(rng.choice(fresh.SPEAKERS))
    for _ in range(16):
        start = int(rng.integers(0, len(WORDS) - 12))
        yield fresh.spoken(rng, " ".join(WORDS[start : start + int(rng.integers(5, 12))]), voice)


def actors(rng):
    every = fresh.speaker(rng)
    for _ in range(40):
        yield fresh.line_of(rng, every)


def singer(rng):
    for _ in range(16):
        yield fresh.sung(rng, rng.uniform(1.5, 5.0))


VOICES = {
    "fresh": {"actors' lines": actors, "synthetic": fresh_synthetic, "singer": singer},
    "looked": {"recorded": recorded, "synthetic": synthetic},
    "unseen": {"recorded syllables": syllables, "synthetic": another, "sampled choir": choir},
}


def laid_out(phrases, rng):
    sound, places = [rng.standard_normal(RATE // 2) * 1e-4], []
    at = RATE // 2
    for phrase in phrases:
        places.append((at, at + len(phrase)))
        gap = int(rng.uniform(0.5, 1.2) * RATE)
        sound += [phrase, rng.standard_normal(gap) * 1e-4]
        at += len(phrase) + gap
    return np.concatenate(sound), places


def ride(sound, keep, at_most_db):
    meter = BandMeter(RATE, 1)
    meter.feed(sound[:, None])
    power = powers(meter.finish()).astype(np.float64)
    points = points_of(ridden(power, np.zeros_like(power), keep, 0.0, at_most_db), RATE)
    return factors([(frame, factor) for frame, _, factor in points], 0, len(sound)) if points else np.ones(len(sound))


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--songs", type=int, default=12)
    parser.add_argument("--part", default="looked", choices=VOICES)
    parser.add_argument("--seed", type=int, default=0, help="of the first song")
    asked = parser.parse_args()
    for name, voice in VOICES[asked.part].items():
        before, after, worst, moved, inside, pauses = [], [], [], [], [], []
        for seed in range(asked.seed, asked.seed + asked.songs):
            rng = np.random.default_rng(seed)
            phrases = [each for each in voice(rng) if len(each) > RATE][:16]
            if len(phrases) < 6:
                continue
            if name != "synthetic":
                phrases = [each * 10 ** ((-26.0 - loudness(each)) / 20) for each in phrases]
            well, places = laid_out(phrases, rng)
            moved.append(np.abs(20 * np.log10(ride(well, 0.5, 4.0))).max())
            planted = [each * 10 ** (rng.uniform(-6.0, 6.0) / 20) for each in phrases]
            sound, places = laid_out(planted, rng)
            gain = ride(sound, 0.0, 9.0)
            before.append(np.std([loudness(sound[a:b]) for a, b in places]))
            levels = [loudness((sound * gain)[a:b]) for a, b in places]
            after.append(np.std(levels))
            worst.append(np.abs(np.array(levels) - np.median(levels)).max())
            envelope = np.convolve(np.abs(sosfilt(VOICE, sound)), np.ones(RATE // 50) * 50 / RATE, mode="same")
            voiced = np.concatenate(
                [a + np.flatnonzero(envelope[a:b] > envelope[a:b].max() * 10 ** (-25 / 20)) for a, b in places]
            )
            inside.append((gain[voiced] != gain[voiced - 1]).mean())
            pauses += [gain[(b + c) // 2] for (_, b), (c, _) in pairwise(places)]
        print(
            f"{name}, {len(after)} songs: deviation {np.mean(before):.2f} -> {np.mean(after):.2f} dB (worst song {max(after):.2f}), "
            f"worst phrase {max(worst):.2f} dB; well ridden, moved {np.max(moved):.2f} dB at most (default settings); "
            f"gain moves in {np.max(inside):.2%} of voiced sound at most; pauses up at most "
            f"{20 * np.log10(max(pauses)):+.2f} dB"
        )


if __name__ == "__main__":
    main()
