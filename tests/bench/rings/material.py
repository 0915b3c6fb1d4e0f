"""Stems for the ring evaluation: recordings where they are installed, played notes, speech, and signals made here.

Every source belongs to one of two sides, ``tuning`` or ``reporting``, by a hash of its name: no file, instrument or voice that
the judges were fitted to is on the reporting side. Two kinds are on both, and are counted apart: the piano (its phrases
differ), and the sounds made here. The reporting side's seeds choose from the same files; the threshold and which networks to
ship were chosen with seed 2024. The tuning side makes more of what it has: instruments the other side does not know, hits
faster or slower than recorded, lines of one timbre.
"""

from __future__ import annotations

import hashlib
import shutil
import struct
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import soundfile as sf
from scipy import signal

if TYPE_CHECKING:
    from collections.abc import Iterator

RATE_HZ = 44100
SAMPLES = Path("/usr/share/sonic-pi/samples")
KITS = Path("/usr/share/hydrogen/data/drumkits")
SOUNDFONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
TONAL_PREFIXES = ("guit_", "ambi_piano", "ambi_choir", "bass_", "ambi_glass", "ambi_drone", "loop_drone", "loop_garzul")
INSTRUMENTS = (
    *range(8), 11, 12, 16, 18, 19, 21, *range(24, 29), 32, 33, 35, 40, 42, 45, 46, 48, 52, 56, 57, 60, 65, 66, 68, 71, 73, 75,
    80, 81, 88, 89, 104, 105,
)  # fmt: skip
PITCHED = range(120)
VOICES = ("en", "en-us", "de", "fr-fr", "it", "es", "sv", "nl", "pl", "cs", "fi", "pt")
VARIANTS = ("", "+m1", "+m3", "+m5", "+m7", "+f1", "+f2", "+f4", "+f5")
SENTENCES = (
    "The kettle boils while the rain comes down on the roof again.",
    "Seven grey boats went out before the morning bell and nine came home.",
    "Leave the window open, the evening air is good for all of us.",
    "She counted every step along the wall and then turned round.",
    "Nobody asked why the old clock in the kitchen ran so fast.",
    "A loud yellow bird sat on the fence and would not go away.",
)


@dataclass(frozen=True)
class Stem:
    """One unplanted stem: samples ``(frames, channels)``, where it came from, and whether it is clean tonal material."""

    name: str
    kind: str
    tonal: bool
    audio: np.ndarray


def side_of(name: str) -> str:
    """Return ``tuning`` or ``reporting`` for a source's name (half each, by hash)."""
    return "tuning" if hashlib.sha256(name.encode()).digest()[0] % 2 else "reporting"


def missing() -> list[str]:
    """Name what is not installed, with the Debian package that brings it."""
    needs = (
        (SAMPLES.is_dir(), "recordings (package sonic-pi-samples)"),
        (KITS.is_dir(), "drum kits (package hydrogen-drumkits)"),
        (shutil.which("espeak-ng") is not None, "speech (package espeak-ng)"),
        (shutil.which("fluidsynth") is not None and SOUNDFONT.is_file(), "notes (packages fluidsynth, fluid-soundfont-gm)"),
    )
    return [what for there, what in needs if not there]


def stems(side: str, seed: int, per_kind: int) -> Iterator[Stem]:
    """Yield up to ``per_kind`` stems of every kind that is installed, all from sources on one side.

    Parameters
    ----------
    side : str
        ``tuning``, ``reporting`` or ``both``.
    seed : int
        Seed of every choice.
    per_kind : int
        How many stems of each kind; recordings are at most as many as there are files.
    """
    rng = np.random.default_rng(seed)
    if SAMPLES.is_dir():
        yield from _recordings(side, rng, per_kind)
    if SAMPLES.is_dir() or KITS.is_dir():
        yield from _beats(side, rng, per_kind)
    if not any(line.startswith("notes") for line in missing()):
        yield from _played(side, rng, per_kind)
    if shutil.which("espeak-ng"):
        yield from _spoken(side, rng, per_kind)
    yield from _made(side, rng, per_kind)


def _mine(side: str, names: list[str]) -> list[str]:
    return [n for n in names if side in ("both", side_of(n))]


def _read(path: Path) -> np.ndarray:
    audio, rate_hz = sf.read(path, always_2d=True, dtype="float64")
    if rate_hz != RATE_HZ:
        audio = signal.resample_poly(audio, RATE_HZ, rate_hz, axis=0)
    return audio


def _recordings(side: str, rng: np.random.Generator, count: int) -> Iterator[Stem]:
    names = _mine(side, sorted(p.name for p in SAMPLES.glob("*.flac") if sf.info(p).duration >= 1.4))
    for name in rng.permutation(names)[:count]:
        yield Stem(name, "recording", name.startswith(TONAL_PREFIXES), _read(SAMPLES / name))


def _beats(side: str, rng: np.random.Generator, count: int) -> Iterator[Stem]:
    """Sequences of one-shots: one to three sounds, uneven strengths, a loose grid."""
    pool = [p for p in sorted(SAMPLES.glob("*.flac")) if sf.info(p).duration < 1.4 and not p.name.startswith("ambi_")]
    pool += sorted(p for p in KITS.rglob("*") if p.suffix.lower() in (".flac", ".wav"))
    kept = set(_mine(side, [f"{p.parent.name}/{p.name}" for p in pool]))
    pool = [p for p in pool if f"{p.parent.name}/{p.name}" in kept]
    for _ in range(count):
        chosen = [pool[i] for i in rng.integers(0, len(pool), rng.integers(1, 4))]
        beat_s = 60.0 / rng.uniform(75, 160) / 2.0
        out = np.zeros((int(RATE_HZ * rng.uniform(4.0, 9.0)), 2))
        for path in chosen:
            hit = _read(path)[: 2 * RATE_HZ, :2]
            if side == "tuning" and rng.random() < 0.7:
                hit = signal.resample_poly(hit, 100, int(rng.integers(65, 150)), axis=0)
            hit = np.repeat(hit, 2, axis=1)[:, :2] if hit.shape[1] == 1 else hit
            for step in range(int(len(out) / RATE_HZ / beat_s)):
                if rng.random() < 0.45:
                    at = int((step * beat_s + rng.normal(0, 0.004)) * RATE_HZ)
                    if 0 <= at < len(out):
                        part = hit[: len(out) - at]
                        out[at : at + len(part)] += part * 10 ** (rng.uniform(-14, 0) / 20)
        yield Stem("+".join(p.stem for p in chosen), "beat", tonal=False, audio=out)


def _midi(events: list[tuple[float, bytes]]) -> bytes:
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


def _phrase(rng: np.random.Generator, program: int) -> list[tuple[float, bytes]]:
    events = [(0.0, bytes([0xC0, program]))]
    root, scale = int(rng.integers(40, 66)), (0, 2, 4, 5, 7, 9, 11) if rng.random() < 0.5 else (0, 2, 3, 5, 7, 8, 10)
    time_s, style = 0.05, rng.choice(["melody", "chords", "held"], p=[0.45, 0.4, 0.15])
    step_s = {"melody": rng.uniform(0.12, 0.5), "chords": rng.uniform(0.5, 1.6), "held": 8.0}[style]
    while time_s < 7.5:
        size = 1 if style == "melody" or (style == "held" and rng.random() < 0.5) else int(rng.integers(3, 5))
        first = int(rng.integers(0, 12))
        for voice in range(size):
            degree = first + 2 * voice
            note = root + 12 * (degree // 7) + scale[degree % 7]
            strength = int(rng.integers(45, 120))
            events.append((time_s, bytes([0x90, note, strength])))
            events.append((time_s + step_s * rng.uniform(0.6, 1.05), bytes([0x80, note, 0])))
        time_s += step_s * (1 if style != "melody" else float(rng.choice([0.5, 1, 1, 2])))
    return events


def _played(side: str, rng: np.random.Generator, count: int) -> Iterator[Stem]:
    """Phrases on sampled instruments; a third of them piano."""
    programs = [int(n) for n in _mine(side, [str(p) for p in (PITCHED if side == "tuning" else INSTRUMENTS)])]
    with tempfile.TemporaryDirectory() as folder:
        for number in range(count):
            program = 0 if rng.random() < 0.33 else int(rng.choice(programs))
            midi, wav = Path(folder) / f"{number}.mid", Path(folder) / f"{number}.wav"
            midi.write_bytes(_midi(_phrase(rng, program)))
            reverb = "1" if rng.random() < 0.3 else "0"
            command = ["fluidsynth", "-ni", "-q", "-r", str(RATE_HZ), "-g", "0.6", "-R", reverb, "-C", "0", "-O", "s24"]
            subprocess.run([*command, "-F", str(wav), str(SOUNDFONT), str(midi)], check=True, capture_output=True)
            audio = _read(wav)[: 9 * RATE_HZ]
            wav.unlink()
            kind = "notes" if program else "piano"
            yield Stem(f"program {program} #{number}", kind, tonal=True, audio=audio)


def _spoken(side: str, rng: np.random.Generator, count: int) -> Iterator[Stem]:
    voices = _mine(side, [v + w for v in VOICES for w in VARIANTS])
    with tempfile.TemporaryDirectory() as folder:
        for number in range(count):
            voice = str(rng.choice(voices))
            text = " ".join(rng.permutation(SENTENCES)[:2])
            wav = Path(folder) / "speech.wav"
            pitch, speed = str(int(rng.integers(20, 80))), str(int(rng.integers(130, 190)))
            command = ["espeak-ng", "-v", voice, "-p", pitch, "-s", speed, "-w", str(wav), text]
            subprocess.run(command, check=True, capture_output=True)
            yield Stem(f"voice {voice} #{number}", "speech", tonal=False, audio=_read(wav))


def _tone(rng: np.random.Generator, f0_hz: float, length_s: float, steady: bool, uneven_db: float = 3.0) -> np.ndarray:  # noqa: FBT001
    """One note: uneven partials with a random tilt, some inharmonicity, a decay of their own unless steady."""
    t = np.arange(int(length_s * RATE_HZ)) / RATE_HZ
    out, tilt, stretch = np.zeros_like(t), rng.uniform(0.6, 1.6), rng.choice([0.0, 0.0, 4e-4])
    rate = 0.0 if steady else rng.uniform(0.5, 4.0)
    vibrato = rng.choice([0.0, 0.004]) * np.sin(2 * np.pi * rng.uniform(4, 6.5) * t) / 30
    for k in range(1, int(9000 / f0_hz) + 1):
        f_hz = k * f0_hz * np.sqrt(1 + stretch * k * k)
        level = k**-tilt * 10 ** (rng.normal(0, uneven_db) / 20)
        out += level * np.exp(-rate * (1 + 0.1 * k) * t) * np.sin(2 * np.pi * f_hz * (t + vibrato) + rng.uniform(0, 6.28))
    edge = int(0.006 * RATE_HZ)
    out[:edge] *= np.linspace(0, 1, edge)
    out[-edge:] *= np.linspace(1, 0, edge)
    return out


def _made(side: str, rng: np.random.Generator, count: int) -> Iterator[Stem]:
    """Held notes, chords, drones, plucked lines, and noise, made here."""
    for number in range(count):
        shape = str(rng.choice(["held", "chord", "drone", "line", "line", "noise"]))
        length_s = float(rng.uniform(3, 7))
        out = np.zeros(int(length_s * RATE_HZ))
        root_hz = 55.0 * 2 ** rng.uniform(0, 3)
        if shape == "noise":
            out = rng.normal(size=len(out))
            out = signal.lfilter([1.0], [1.0, -float(rng.choice([0.0, 0.9, 0.97]))], out)
            if rng.random() < 0.5:
                out = out * (np.arange(len(out)) % int(RATE_HZ * 0.25) < RATE_HZ * 0.1)
        elif shape == "line":
            at, uneven_db = 0.0, float(rng.choice([0.0, 1.0, 3.0])) if side == "tuning" else 3.0
            voice = int(rng.integers(2**32)) if side == "tuning" and rng.random() < 0.7 else None  # one timbre for all notes
            while at < length_s - 0.8:
                f0_hz, note_s = root_hz * 2 ** (int(rng.integers(0, 15)) / 12), float(rng.uniform(0.15, 0.7))
                own = rng if voice is None else np.random.default_rng(voice)
                note = _tone(own, f0_hz, note_s, steady=False, uneven_db=uneven_db)
                start = int(at * RATE_HZ)
                out[start : start + len(note)] += note * rng.uniform(0.3, 1.0)
                at += float(rng.choice([0.15, 0.3, 0.45]))
        else:
            for ratio in {"held": (1.0,), "chord": (1.0, 2 ** (4 / 12), 2 ** (7 / 12)), "drone": (1.0, 1.5, 1.003)}[shape]:
                out += _tone(rng, root_hz * ratio, length_s, steady=shape != "chord")
        out = out / np.max(np.abs(out)) * 0.5
        out += rng.normal(size=len(out)) * 10 ** (rng.uniform(-100, -70) / 20)
        yield Stem(f"{shape} #{number}", "made", shape != "noise", out[:, np.newaxis])


if __name__ == "__main__":
    for stem in stems(sys.argv[1] if len(sys.argv) > 1 else "both", 1, 4):
        print(stem.kind, stem.name, stem.audio.shape, f"{20 * np.log10(np.abs(stem.audio).max() + 1e-12):.1f} dBFS")
