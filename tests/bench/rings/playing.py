"""Sound fonts played: one MIDI file holds every phrase of a package, and is cut up again.

Conventions
-----------
A phrase has a class (what a clean stem of it is a trap for) and is at most ``MOST_S`` long; phrases start ``SLOT_S`` apart.
"""

from __future__ import annotations

import struct
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile as sf

RATE_HZ = 44100
SLOT_S, MOST_S = 15.0, 12.0
# General MIDI level 1 program numbers, from 0, and percussion keys.
MELODIC = {
    "piano": range(8), "bells": range(8, 16), "organ": range(16, 24), "guitar": range(24, 32), "bass": range(32, 40),
    "strings": range(40, 52), "choir": range(52, 55), "brass": range(56, 64), "winds": range(64, 80), "lead": range(80, 88),
    "pad": range(88, 96), "plucked": range(104, 112),
}  # fmt: skip
DRUMS = {
    "kick": (35, 36), "snare": (37, 38, 39, 40), "hats": (42, 44, 46), "cymbals": (49, 51, 52, 53, 55, 57, 59),
    "toms": (41, 43, 45, 47, 48, 50), "percussion": (54, 56, 60, 61, 62, 63, 64, 67, 68, 69, 70, 75, 76, 77, 81),
}  # fmt: skip
SCALES = ((0, 2, 4, 5, 7, 9, 11), (0, 2, 3, 5, 7, 8, 10), (0, 3, 5, 6, 7, 10, 12))
Event = tuple[float, bytes]


@dataclass(frozen=True)
class Phrase:
    """What is played: its class, its length in seconds and its MIDI events, from time 0."""

    kind: str
    name: str
    length_s: float
    events: list[Event]


def phrases(rng: np.random.Generator, count: int, *, drums_only: bool) -> list[Phrase]:
    """Return phrases of all classes in turn."""
    melodic = [] if drums_only else list(MELODIC)
    kinds = [*melodic, *([] if drums_only else ["held", "vibrato", "glide", "melody"]), *DRUMS, "loop"]
    return [_phrase(kinds[number % len(kinds)], number, rng) for number in range(count)]


def _phrase(kind: str, number: int, rng: np.random.Generator) -> Phrase:
    length_s = float(rng.uniform(4, MOST_S))
    if kind in DRUMS or kind == "loop":
        keys = (
            [int(rng.choice(DRUMS[kind]))]
            if kind in DRUMS
            else [int(rng.choice(DRUMS[k])) for k in rng.permutation(list(DRUMS))[:4]]
        )
        return Phrase(kind, f"{kind} {keys} #{number}", length_s, drum_events(keys, length_s, rng))
    family = kind if kind in MELODIC else str(rng.choice([k for k in MELODIC if k not in ("bells", "plucked")]))
    program = int(rng.choice(MELODIC[family]))
    style = (
        kind if kind in ("held", "vibrato", "glide", "melody") else str(rng.choice(["melody", "chords", "held", "arpeggio"]))
    )
    return Phrase(
        kind, f"program {program} {style} #{number}", length_s, note_events(program, style, family == "bass", length_s, rng)
    )


def drum_events(keys: list[int], length_s: float, rng: np.random.Generator) -> list[Event]:
    step_s, events = 60.0 / rng.uniform(75, 160) / 2, []
    for key in keys:
        density = float(rng.choice([0.2, 0.4, 0.9]))
        for step in range(int((length_s - 1) / step_s)):
            if step == 0 or rng.random() < density:
                at = max(0.0, step * step_s + rng.normal(0, 0.003))
                events += [(at, bytes([0x99, key, int(rng.integers(50, 125))])), (at + 0.2, bytes([0x89, key, 0]))]
    return events


def note_events(program: int, style: str, low: bool, length_s: float, rng: np.random.Generator) -> list[Event]:  # noqa: FBT001
    events: list[Event] = [(0.0, bytes([0xC0, program])), (0.0, bytes([0xB0, 1, 100 if style == "vibrato" else 0]))]
    root, scale = int(rng.integers(28, 44) if low else rng.integers(45, 70)), SCALES[int(rng.integers(3))]
    step_s = {"melody": rng.uniform(0.12, 0.6), "arpeggio": rng.uniform(0.1, 0.25), "chords": rng.uniform(0.5, 2)}.get(
        style, length_s
    )
    if style in ("vibrato", "glide"):
        step_s = float(rng.uniform(0.8, 3))
    at = 0.02
    while at < length_s - 0.6:
        size = 1 if style not in ("chords", "held") or low else int(rng.integers(1, 5))
        first = int(rng.integers(0, 10))
        for voice in range(size):
            degree = first + 2 * voice
            note = min(100, root + 12 * (degree // 7) + scale[degree % 7])
            off = min(length_s - 0.3, at + step_s * rng.uniform(0.6, 1.05))
            events += [(at, bytes([0x90, note, int(rng.integers(45, 120))])), (off, bytes([0x80, note, 0]))]
        if style == "glide":
            bends = np.linspace(0, float(rng.choice([-8191, 8191])), 24)
            events += [
                (at + i * step_s / 30, struct.pack("<BBB", 0xE0, int(b + 8192) & 127, int(b + 8192) >> 7))
                for i, b in enumerate(bends)
            ]
        at += step_s * (1 if style != "melody" else float(rng.choice([0.5, 1, 1, 2])))
    return [*events, (length_s, bytes([0xE0, 0, 64]))]


def midi(events: list[Event]) -> bytes:
    """Return a one-track MIDI file, 960 ticks a second (Standard MIDI File 1.0: MThd, MTrk, variable-length deltas)."""
    track, last = b"\x00\xff\x51\x03\x0f\x42\x40", 0
    for time_s, message in sorted(events, key=lambda e: e[0]):
        tick = round(time_s * 960)
        delta, last = tick - last, tick
        digits = [delta & 0x7F]
        while delta := delta >> 7:
            digits.append((delta & 0x7F) | 0x80)
        track += bytes(reversed(digits)) + message
    track += b"\x00\xff\x2f\x00"
    return b"MThd" + struct.pack(">IHHH", 6, 0, 1, 960) + b"MTrk" + struct.pack(">I", len(track)) + track


def played(font: Path, rng: np.random.Generator, count: int) -> list[tuple[str, str, np.ndarray]]:
    """Return class, name and sound of every phrase, played dry."""
    asked = phrases(rng, count, drums_only="LV2" in font.name)
    return [(phrase.kind, phrase.name, audio) for phrase, audio in zip(asked, rendered(font, asked), strict=True)]


def rendered(font: Path, asked: list[Phrase]) -> list[np.ndarray]:
    """Return the sound of phrases, each shape (frames, 2)."""
    drums_only = "LV2" in font.name
    # A font of drums alone has them as its first program.
    events = [
        (number * SLOT_S + at, bytes([message[0] & 0xF0]) + message[1:] if drums_only else message)
        for number, phrase in enumerate(asked)
        for at, message in phrase.events
    ]
    with tempfile.TemporaryDirectory() as folder:
        song, wav = Path(folder) / "all.mid", Path(folder) / "all.wav"
        song.write_bytes(midi(events))
        if font.suffix == ".cfg":
            command = [
                "timidity",
                "-c",
                str(font),
                "-Ow",
                "-s",
                str(RATE_HZ),
                "-EFreverb=0",
                "-EFchorus=0",
                "-o",
                str(wav),
                str(song),
            ]
        else:
            command = [
                "fluidsynth",
                "-ni",
                "-q",
                "-r",
                str(RATE_HZ),
                "-g",
                "0.5",
                "-R",
                "0",
                "-C",
                "0",
                "-O",
                "s24",
                "-F",
                str(wav),
            ]
            command += [str(font), str(song)]
        subprocess.run(command, check=True, capture_output=True)
        audio, _ = sf.read(wav, always_2d=True, dtype="float32")
    slots = [round(n * SLOT_S * RATE_HZ) for n in range(len(asked))]
    return [audio[at : at + round(p.length_s * RATE_HZ)] for p, at in zip(asked, slots, strict=True)]
