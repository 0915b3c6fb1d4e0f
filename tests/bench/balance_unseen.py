"""Voices, beats and covers for `--part unseen` of `balance.py` and `ride.py`: not heard while covers were searched and rides made.

Debian's flite, festival with festvox-kallpc16k and festvox-italp16k, klettres-data (recorded syllables), fluid-soundfont-gm played by
fluidsynth (its choir sings; drums, bass, guitars and pianos are the beat, driven guitars and brass the covers), and the loops of
sonic-pi-samples that no other part has.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import soundfile
import soxr

sys.path.insert(0, str(Path(__file__).parent / "rings"))
from playing import RATE_HZ, Phrase, rendered

FONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
SYLLABLES = Path("/usr/share/klettres")
SAMPLES = Path("/usr/share/sonic-pi/samples")
LOOPS = ["loop_mehackit2", "loop_perc2", "loop_weirdo", "loop_3d_printer"]
KINDS = ("guitar chords", "brass", "tom fill", "synth bass")
SPEAKERS = ("rms", "slt", "awb", "kal_diphone", "lp_diphone")
LINE = (
    "Under the bridge the river turns to silver, and every lamp along the quay is lit before the last train leaves. "
    "We carried all the boxes up the stairs, then sat among them on the floor and laughed until the neighbours knocked."
)


def spoken(rng, line=LINE, voice=None):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "v.wav"
        voice = voice or rng.choice(SPEAKERS)
        if "diphone" in voice:
            asked = ["text2wave", "-eval", f"(voice_{voice})", "-o", path]
            subprocess.run(asked, input=line, text=True, capture_output=True, check=True)
        else:
            subprocess.run(["flite", "-voice", str(voice), "-t", line, "-o", path], check=True)
        sound, rate = soundfile.read(path)
        return soxr.resample(sound, rate, RATE_HZ)


def speaker(rng):
    """Return a folder of one speaker's recorded syllables."""
    folders = [each for each in sorted(SYLLABLES.glob("*/syllab")) if len(list(each.iterdir())) > 15]
    return folders[int(rng.integers(len(folders)))]


def syllables(rng, seconds, folder=None, breaths=0.15):
    """Return recorded syllables of one speaker one after another, with a breath now and then."""
    every = sorted((folder or speaker(rng)).iterdir())
    parts, length = [], 0
    while length < seconds * RATE_HZ:
        sound, rate = soundfile.read(every[int(rng.integers(len(every)))], always_2d=True)
        sound = soxr.resample(sound.mean(axis=1), rate, RATE_HZ)
        loud = np.flatnonzero(np.abs(sound) > 0.05 * np.abs(sound).max())
        sound = sound[loud[0] : loud[-1]]
        pause = np.zeros(int(rng.uniform(0.25, 0.6) * RATE_HZ) if rng.random() < breaths else RATE_HZ // 50)
        parts += [sound / np.sqrt(np.mean(sound**2)) * 0.1, pause]
        length += len(parts[-2]) + len(pause)
    return np.concatenate(parts)


def phrase(program, notes, length_s, *, drums=False):
    """Return a phrase of notes: (from s, for s, key, velocity)."""
    channel = 9 if drums else 0
    events = [] if drums else [(0.0, bytes([0xC0, program]))]
    for at, long, key, velocity in notes:
        events += [
            (at, bytes([0x90 | channel, int(key), int(velocity)])),
            (min(at + long, length_s - 0.05), bytes([0x80 | channel, int(key), 0])),
        ]
    return Phrase("", "", length_s, events)


def loops(rng):
    """Return a recorded loop."""
    name = str(rng.choice(LOOPS))
    sound, rate = soundfile.read(SAMPLES / f"{name}.flac", always_2d=True)
    return {name: soxr.resample(sound.mean(axis=1), rate, RATE_HZ)}


def sounding(phrases):
    return [sound.mean(axis=1).astype(np.float64) for sound in rendered(FONT, phrases)]


def sung(rng, seconds=11.0):
    """Return a sampled choir's melody."""
    program, base, at, notes = int(rng.choice([52, 53])), int(rng.integers(53, 67)), 0.0, []
    while at < seconds:
        long = float(rng.choice([0.3, 0.45, 0.6, 0.9]))
        notes.append((at, long, base + int(rng.choice([0, 2, 4, 5, 7, 9])), int(rng.integers(85, 110))))
        at += long + (0.4 if rng.random() < 0.15 else 0.0)
    return sounding([phrase(program, notes, seconds + 0.5)])[0]


def beat(rng):
    """Return drums, bass and chords, each a loop of eight beats."""
    step, root = 60.0 / float(rng.uniform(78, 130)), int(rng.integers(40, 48))
    drums = [(n * step / 2, 0.1, 42, int(rng.integers(60, 100))) for n in range(16)]
    drums += [(n * step, 0.2, 36 if n % 2 == 0 else 38, 115) for n in range(8)]
    bass = [(n * step, step * 0.9, root - 12 + int(rng.choice([0, 0, 7, 5])), 100) for n in range(8)]
    chords = [
        (n * 2 * step, step * 1.9, root + 12 + root_ + degree, 90)
        for n, root_ in enumerate(rng.choice([0, 5, 7, 9], 4))
        for degree in (0, 4, 7)
    ]
    keys = int(rng.choice([0, 4, 25, 27, 48]))
    length = 8 * step
    sounds = sounding([phrase(0, drums, length, drums=True), phrase(33, bass, length), phrase(keys, chords, length)])
    return dict(zip(("drums", "bass", "chords"), sounds, strict=True))


def cover(kind, seconds, rng):
    """Return a cover, shape (frames,), its level not yet set."""
    step = float(rng.uniform(0.1, 0.25))
    times = np.arange(0.0, seconds, step)
    if kind == "guitar chords":
        root = int(rng.integers(45, 58))
        notes = [(at, step * 2, root + shift, 110) for at in times[::2] for shift in (0, 7, 12)]
        made = phrase(30, notes, seconds + 0.1)
    elif kind == "brass":
        made = phrase(
            61, [(0.0, seconds, key, 115) for key in int(rng.integers(55, 65)) + np.array([0, 4, 7, 10])], seconds + 0.1
        )
    elif kind == "tom fill":
        made = phrase(0, [(at, 0.1, rng.choice([41, 45, 47, 50, 38, 57]), 115) for at in times], seconds + 0.1, drums=True)
    else:
        made = phrase(38, [(at, step, int(rng.integers(33, 41)), 115) for at in times], seconds + 0.1)
    sound = sounding([made])[0][: round(seconds * RATE_HZ)]
    t = np.arange(len(sound)) / RATE_HZ
    sound = sound * np.minimum(1, np.minimum(t, t[::-1]) / 0.02)
    return sound / np.sqrt(np.mean(sound**2))
