"""Bench: covers planted over voices of three kinds in beats made of recordings; found, by whom, and false ones.

``balance.py [--part looked|last|unseen|fresh] [--songs N]``. Voices: synthetic speech (Debian's espeak-ng), recorded
speech (the spoken descriptions in tuxpaint-stamps), and a sung line made of formants here. Beats: loops and notes of
sonic-pi-samples. The parts share no recording of a voice and no loop; all of "unseen" and "fresh" is in `balance_unseen` and
`balance_fresh`. A planted place is loud enough to lower the index by 0.10 or more over its length, 1 to 3 s, and begins and ends
where the voice sounds. "Swells": the cover is no stem of its own, but a stem that plays all along is louder there.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

import balance_fresh as fresh
import balance_unseen as unseen
import numpy as np
import soundfile
import soxr

from stemwright.dsp.bands import BandMeter, powers
from stemwright.plan.balance import judge
from stemwright.plan.beat import Beat

RATE = 44_100
SECONDS = 45
SAMPLES = Path("/usr/share/sonic-pi/samples")
SPOKEN = Path("/usr/share/tuxpaint/stamps")
LOOPS = {
    "looked": ["loop_amen", "loop_garzul", "loop_compus", "loop_mika", "loop_perc1"],
    "last": ["loop_breakbeat", "loop_industrial", "loop_safari", "loop_electric", "loop_tabla", "loop_mehackit1"],
}
BEDS = {"looked": ["ambi_piano", "ambi_glass_hum"], "last": ["ambi_dark_woosh", "ambi_lunar_land", "ambi_choir"]}
LINES = {
    "looked": "the morning light comes over the hill and nobody is awake to see it, so I walk alone and count the windows",
    "last": "seven boats came back before the storm, their sails were torn and every captain swore that he had seen the island move",
}
KINDS = ("guitar fill", "riser", "cymbal wash", "808 note")


def load(path):
    sound, rate = soundfile.read(path, always_2d=True)
    return soxr.resample(sound.mean(axis=1), rate, RATE)


def fitted(sound, rng, seconds=SECONDS):
    out = np.zeros(seconds * RATE)
    at = int(rng.integers(0, RATE))
    while at < len(out):
        part = sound[: len(out) - at]
        out[at : at + len(part)] += part
        at += len(sound) + int(rng.integers(RATE // 10, RATE // 2))
    return out


def synthetic(part, rng):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "v.wav"
        speed, pitch = rng.integers(120, 170), rng.integers(30, 70)
        voice = rng.choice(["en", "de", "fr", "es"])
        subprocess.run(["espeak-ng", "-v", voice, "-s", str(speed), "-p", str(pitch), "-w", path, LINES[part]], check=True)
        return fitted(load(path), rng)


def recorded(part, rng):
    every = sorted(SPOKEN.rglob("*_desc*.ogg"))
    mine = every[: len(every) // 2] if part == "looked" else every[len(every) // 2 :]
    out, at = np.zeros(SECONDS * RATE), int(rng.integers(0, RATE))
    language = rng.choice(sorted({path.stem.split("_desc")[1] for path in mine}))
    same = [path for path in mine if path.stem.endswith(f"_desc{language}")]
    while at < len(out):
        sound = load(same[int(rng.integers(len(same)))])
        sound = sound / (np.sqrt(np.mean(sound**2)) + 1e-9) * 0.1
        part_ = sound[: len(out) - at]
        out[at : at + len(part_)] += part_
        at += len(sound) + int(rng.integers(RATE // 10, RATE // 2))
    return out


VOWELS = [
    (730, 1090, 2440),
    (270, 2290, 3010),
    (530, 1840, 2480),
    (570, 840, 2410),
    (300, 870, 2240),
]  # Peterson & Barney 1952


def sung(_part, rng):
    out, at = np.zeros(SECONDS * RATE), 0
    base = float(rng.choice([130.0, 165.0, 220.0, 294.0]))
    while at < len(out) - RATE:
        length = int(rng.integers(RATE // 4, RATE))
        t = np.arange(length) / RATE
        f0 = base * 2 ** (rng.choice([0, 2, 4, 7, 9, 12]) / 12) * (1 + 0.008 * np.sin(2 * np.pi * 5.5 * t))
        phase = 2 * np.pi * np.cumsum(f0) / RATE
        note = np.zeros(length)
        formants = VOWELS[int(rng.integers(len(VOWELS)))]
        for number in range(1, int(9000 / f0.mean())):
            freq = number * f0.mean()
            gain = sum(
                g / (1 + ((freq - f) / (60 + 0.06 * f)) ** 2)
                for f, g in zip((*formants, 3500, 4500), (1, 0.6, 0.4, 0.25, 0.15), strict=True)
            )
            note += (gain + 0.01) / number**0.4 * np.sin(number * phase)
        note *= np.minimum(1, np.minimum(t, t[::-1]) / 0.03)
        out[at : at + length] += note * 0.1
        if rng.random() < 0.6:
            s = rng.standard_normal(RATE // 12)
            out[at : at + len(s)] += np.diff(s, prepend=0.0) * 0.03 * np.hanning(len(s))
        at += length + (int(rng.integers(RATE // 5, RATE // 2)) if rng.random() < 0.25 else 0)
    return out


VOICES = {"synthetic": synthetic, "recorded": recorded, "sung": sung}
ELSEWHERE = {"unseen": unseen, "fresh": fresh}


def voice_of(part, kind, rng):
    elsewhere = ELSEWHERE.get(part)
    if elsewhere is None:
        return VOICES[kind](part, rng)
    made = {"synthetic": elsewhere.spoken, "sung": elsewhere.sung}
    return fitted(made[kind](rng) if kind in made else elsewhere.syllables(rng, SECONDS), rng)


def cover(kind, seconds, rng):
    frames = round(seconds * RATE)
    t = np.arange(frames) / RATE
    if kind == "guitar fill":
        source = load(SAMPLES / f"{rng.choice(['guit_em9', 'guit_e_fifths', 'guit_harmonics'])}.flac")[: RATE // 3]
        out = np.zeros(frames)
        for start in range(0, frames, RATE // 8):
            note = soxr.resample(source, RATE, int(RATE / 2 ** (rng.integers(0, 13) / 12)))[: frames - start]
            out[start : start + len(note)] += note * np.linspace(1, 0, len(note))
    elif kind == "riser":
        noise = rng.standard_normal(frames)
        out = (np.diff(noise, prepend=0.0) * 0.3 + noise * 0.3) * (0.5 + 0.5 * t / t[-1]) + np.sin(
            2 * np.pi * np.cumsum(300 * 8 ** (t / t[-1])) / RATE
        )
    elif kind == "cymbal wash":
        hit = load(SAMPLES / "drum_cymbal_open.flac")
        out = np.zeros(frames)
        for start in range(0, frames, RATE // 6):
            part = hit[: frames - start]
            out[start : start + len(part)] += part
    else:
        f0 = rng.uniform(45, 70)
        out = np.tanh(6 * np.sin(2 * np.pi * np.cumsum(f0 * (1 + 0.5 * np.exp(-t * 20))) / RATE))
    out *= np.minimum(1, np.minimum(t, t[::-1]) / 0.02)
    return out / np.sqrt(np.mean(out**2))


def matrix(sound):
    meter = BandMeter(RATE, 1)
    meter.feed(sound[:, None])
    return powers(meter.finish()).astype(np.float64)


def level(sound):
    return np.sqrt(np.mean(sound[np.abs(sound) > 1e-5] ** 2)) if np.any(sound) else 1.0


def held(sound):
    """Return a sound whose level over a second is held, as a fader would: a balance is called good here where nothing swells."""
    around = np.convolve(np.square(sound).reshape(-1, RATE // 10).mean(axis=1), np.ones(10) / 10, "same")
    sound = sound / (np.sqrt(np.interp(np.arange(len(sound)), (np.arange(len(around)) + 0.5) * (RATE // 10), around)) + 1e-3)
    return sound / level(sound) * 0.1


def song(part, kind, rng):
    voice = voice_of(part, kind, rng)
    voice *= 0.1 / level(voice)
    stems = {"vocal": voice}
    if part in ELSEWHERE:
        parts = ELSEWHERE[part].beat(rng) | ELSEWHERE[part].loops(rng)
        for name, loop in parts.items():
            stems[str(name)] = held(np.resize(loop, len(voice))) * 10 ** (rng.uniform(-16, -9) / 20)
        return {name: matrix(sound) for name, sound in stems.items()}
    for name in rng.choice(LOOPS[part], 2, replace=False):
        loop = load(SAMPLES / f"{name}.flac")
        stems[str(name)] = held(np.resize(loop, len(voice))) * 10 ** (rng.uniform(-14, -7) / 20)
    bed = load(SAMPLES / f"{rng.choice(BEDS[part])}.flac")
    stems["bed"] = held(np.resize(bed, len(voice))) * 10 ** (rng.uniform(-16, -9) / 20)
    return {name: matrix(sound) for name, sound in stems.items()}


def plant(stems, rng, kinds, found, making, into=None):
    """Return the song with covers of about a drop's size over a second or more in which the voice sounds, and where they are.

    `making` is what makes a cover; `into` the stem that swells by it, where it is none of its own.
    """
    beat = Beat(stems, ["vocal"], voice=True)
    median = judge(beat).median
    for _ in range(50):
        seconds = rng.uniform(1.0, 3.0)
        start = round(rng.uniform(2.0, SECONDS - 6.0), 2)
        place = slice(round(start * 50), round((start + seconds) * 50))
        if (
            beat.sounds[place].mean() > 0.75
            and beat.sounds[place.start : place.start + 5].all()
            and beat.sounds[place.stop - 5 : place.stop].all()
        ):
            break
    else:
        return None
    sounds = {}
    for kind in kinds:
        sound = np.zeros(SECONDS * RATE)
        piece = making(kind, seconds, rng)
        sound[round(start * RATE) : round(start * RATE) + len(piece)] = piece
        sounds[kind] = matrix(sound)
    wanted = rng.uniform(0.12, 0.25) if len(kinds) == 1 else rng.uniform(0.2, 0.3)

    def drop(level_db, some):
        rest = beat.total[place] + sum(
            np.repeat(sounds[k].reshape(-1, 2, 39).mean(axis=1), 1, axis=0)[place] * 10 ** (level_db[k] / 10) for k in some
        )
        return median - beat.index_of(rest, place)

    levels = {}
    for kind in kinds:
        share = wanted if len(kinds) == 1 else wanted * 0.7
        low, high = -60.0, 10.0
        for _ in range(25):
            middle = (low + high) / 2
            low, high = (low, middle) if drop({kind: middle}, [kind]) > share else (middle, high)
        if high > 6.0:
            return None  # no such sound covers this voice by so much at any level that is music
        levels[kind] = high
    found.append(drop(levels, kinds))
    planted = {into or k: sounds[k] * 10 ** (levels[k] / 10) + stems.get(into, 0.0) for k in kinds}
    return {**stems, **planted}, start, start + seconds


def _judged(count, pre, planted, guilty):
    """Count what is said of a song with a planted place."""
    new, start, end = planted
    balance = judge(Beat(new, ["vocal"], voice=True))
    hits = [c for c in balance.covered if c.start_s < end and c.end_s > start]
    count[f"{pre} planted"] += 1
    count[f"{pre} hit"] += bool(hits)
    count[f"{pre} start within 0.2 s"] += any(abs(c.start_s - start) <= 0.2 for c in hits)
    count[f"{pre} both ends"] += any(abs(c.start_s - start) <= 0.2 and abs(c.end_s - end) <= 0.2 for c in hits)
    if hits:
        named = [c.stem for c in hits[0].culprits]
        count[f"{pre} culprit"] += guilty <= set(named) if pre == "two" else named[0] in guilty
        count["cured"] += hits[0].cure is not None and hits[0].cure.enough


def main():
    options = argparse.ArgumentParser()
    options.add_argument("--part", default="looked", choices=[*LOOPS, *ELSEWHERE])
    options.add_argument("--songs", type=int, default=4)
    options.add_argument("--seed", type=int, help="another than the part's own")
    asked = options.parse_args()
    rng = np.random.default_rng(
        asked.seed or {"looked": 17, "last": 1700, "unseen": 170_000, "fresh": 1_700_000}[asked.part]
    )
    elsewhere = ELSEWHERE.get(asked.part)
    every, making = (KINDS, cover) if elsewhere is None else (elsewhere.KINDS, elsewhere.cover)
    sums, minutes, false = {kind: Counter() for kind in VOICES}, 0.0, 0
    drops = []
    for _ in range(asked.songs):
        for kind in VOICES:
            stems = song(asked.part, kind, rng)
            count = sums[kind]
            good = judge(Beat(stems, ["vocal"], voice=True))
            minutes += SECONDS / 60
            false += len(good.covered)
            count["false"] += len(good.covered)
            two = [str(each) for each in rng.choice(every, 2, replace=False)]
            swells = [str(rng.choice(every))], str(rng.choice([each for each in stems if each != "vocal"]))
            for kinds, into in [*(([each], None) for each in every), (two, None), swells]:
                planted = plant(stems, rng, kinds, drops, making, into)
                if planted is None:
                    count["not planted"] += 1
                    continue
                pre = "swells" if into else "one" if len(kinds) == 1 else "two"
                _judged(count, pre, planted, {into} if into else set(kinds))
    for kind, count in sums.items():
        print(kind, dict(count))
    total = sum(sums.values(), Counter())
    print(
        "all", dict(total), f"false a minute on good balances {false / minutes:.2f}, mean drop planted {np.mean(drops):.2f}"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
