"""Voices, beats and covers for `--part fresh` of `balance.py` and `ride.py`; the names are those of `balance_unseen`.

Debian's fillets-ng-data-cs and -nl (actors' recorded lines), festival with festvox-czech-dita, -czech-machac, -kdlpc16k,
-suopuhe-mv and -itapc16k (synthetic; one of them sings, in festival's singing mode), freepats played by timidity (drums, bass and
chords are the beat, guitars, winds, an organ and kettledrums the covers), asc-music (cut into loops).
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

import numpy as np
import soundfile
import soxr
from balance_unseen import LINE, phrase
from playing import RATE_HZ, rendered

FONT = Path("/etc/timidity/freepats.cfg")
LINES = Path("/usr/share/games/fillets-ng/sound")
MUSIC = Path("/usr/share/games/asc/music")
KINDS = ("driven guitar", "saxophones", "kettledrum roll", "organ")
SPEAKERS = ("ked_diphone", "czech_dita", "czech_machac", "hy_fi_mv_diphone", "pc_diphone")
ACTORS = ("cs/*-m-", "cs/*-v-", "nl/*-m-", "nl/*-v-")  # two in each of two languages
SYLLABLES = ("la", "dee", "moon", "silver", "over", "sea", "away", "no", "falling", "high", "stone", "river")


def _heard(command, text):
    with tempfile.TemporaryDirectory() as folder:
        path, said = Path(folder) / "v.wav", Path(folder) / "said"
        said.write_text(text)
        subprocess.run(["text2wave", *command, said, "-o", path], capture_output=True, check=True)
        sound, rate = soundfile.read(path)
    return soxr.resample(sound, rate, RATE_HZ)


def spoken(rng, line=LINE, voice=None):
    """Return a line in a synthetic voice, and a little noise of a room, which such a voice has none of."""
    sound = _heard(["-eval", f"(voice_{voice or rng.choice(SPEAKERS)})"], line)
    return sound + rng.standard_normal(len(sound)) * 1e-5


def speaker(rng):
    """Return one actor's lines."""
    return sorted(LINES.glob(f"*/{rng.choice(ACTORS)}*.ogg"))


def line_of(rng, every):
    """Return one recorded line, what is silent before and after it cut off."""
    sound = np.zeros((0, 1))
    while not np.any(sound):  # a few of them hold nothing
        sound, rate = soundfile.read(every[int(rng.integers(len(every)))], always_2d=True)
    sound = soxr.resample(sound.mean(axis=1), rate, RATE_HZ)
    loud = np.flatnonzero(np.abs(sound) > 0.03 * np.abs(sound).max())
    return sound[loud[0] : loud[-1]]


def syllables(rng, seconds):
    """Return recorded lines of one actor one after another, each brought to one level."""
    every, parts, length = speaker(rng), [], 0
    while length < seconds * RATE_HZ:
        sound = line_of(rng, every)
        parts += [sound / np.sqrt(np.mean(sound**2)) * 0.1, np.zeros(int(rng.uniform(0.1, 0.5) * RATE_HZ))]
        length += len(parts[-2]) + len(parts[-1])
    return np.concatenate(parts)


def sung(rng, seconds=11.0):
    """Return a synthetic singer's melody."""
    base, at, notes = int(rng.integers(43, 55)), 0.0, []
    names = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
    while at < seconds:
        long, key = float(rng.choice([0.3, 0.45, 0.6, 0.9])), base + int(rng.choice([0, 2, 4, 5, 7, 9]))
        name = f"{names[key % 12]}{key // 12 - 1}"
        notes.append(
            f'<PITCH NOTE="{name}"><DURATION SECONDS="{long}">{rng.choice(SYLLABLES)}</DURATION></PITCH>'
            + ('<REST SECONDS="0.4"></REST>' if rng.random() < 0.15 else "")
        )
        at += long + (0.4 if "REST" in notes[-1] else 0.0)
    doc = (
        '<?xml version="1.0"?>\n<!DOCTYPE SINGING PUBLIC "-//SINGING//DTD SINGING mark up//EN" "Singing.v0_1.dtd" []>\n'
        f'<SINGING BPM="60">{"".join(notes)}</SINGING>'
    )
    sound = _heard(["-mode", "singing", "-eval", "(voice_ked_diphone)"], doc)
    return sound + rng.standard_normal(len(sound)) * 1e-5


def sounding(phrases):
    return [sound.mean(axis=1).astype(np.float64) for sound in rendered(FONT, phrases)]


def loops(rng):
    """Return eight bars or so of an orchestra's recording."""
    path = sorted(MUSIC.glob("*.mp3"))[int(rng.integers(3))]
    sound, rate = soundfile.read(path, always_2d=True)
    start = int(rng.integers(len(sound) - 12 * rate))
    return {path.stem: soxr.resample(sound[start : start + 12 * rate].mean(axis=1), rate, RATE_HZ)}


def beat(rng):
    """Return drums, bass and chords, each a loop of eight beats."""
    step, root = 60.0 / float(rng.uniform(70, 140)), int(rng.integers(40, 50))
    drums = [(n * step / 2, 0.1, 42, int(rng.integers(60, 100))) for n in range(16)]
    drums += [(n * step, 0.2, 35 if n % 2 == 0 else 40, 115) for n in range(8)]
    bass = [(n * step, step * 0.8, root - 12 + int(rng.choice([0, 0, 7, 3])), 105) for n in range(8)]
    chords = [
        (n * 2 * step, step * 1.8, root + 12 + base + degree, 85)
        for n, base in enumerate(rng.choice([0, 3, 7, 10], 4))
        for degree in (0, 3, 7)
    ]
    keys, low = int(rng.choice([0, 4, 7, 24, 26])), int(rng.choice([32, 33, 34, 35]))
    asked = [phrase(0, drums, 8 * step, drums=True), phrase(low, bass, 8 * step), phrase(keys, chords, 8 * step)]
    return dict(zip(("drums", "bass", "chords"), sounding(asked), strict=True))


def cover(kind, seconds, rng):
    """Return a cover, shape (frames,), its level not yet set."""
    step = float(rng.uniform(0.12, 0.3))
    times = np.arange(0.0, seconds, step)
    if kind == "driven guitar":
        root = int(rng.integers(40, 55))
        made = [phrase(30, [(at, step, root + shift, 112) for at in times for shift in (0, 7)], seconds + 0.1)]
    elif kind == "saxophones":
        at_once = int(rng.integers(55, 67)) + np.array([0, 3, 7])
        made = [phrase(66, [(at, step * 2, key, 110) for at in times[::2] for key in at_once], seconds + 0.1)]
    elif kind == "kettledrum roll":
        made = [phrase(47, [(at, 0.3, int(rng.integers(40, 52)), 118) for at in times], seconds + 0.1)]
    else:
        made = [
            phrase(
                16, [(0.0, seconds, key, 110) for key in int(rng.integers(52, 64)) + np.array([0, 4, 7, 12])], seconds + 0.1
            )
        ]
    sound = sounding(made)[0][: round(seconds * RATE_HZ)]
    t = np.arange(len(sound)) / RATE_HZ
    sound = sound * np.minimum(1, np.minimum(t, t[::-1]) / 0.02)
    return sound / np.sqrt(np.mean(sound**2))
