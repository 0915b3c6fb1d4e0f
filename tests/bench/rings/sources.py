"""Recorded sound made into stems: patterns of hits, cuts of loops and music, speech, and small rooms."""

from __future__ import annotations

import io
import re
import struct
import subprocess
import tempfile
import zipfile
from pathlib import Path

import numpy as np
import soundfile as sf
from scipy import signal

RATE_HZ = 44100
# Folders that another package puts beside its own; its sounds are that package's, and have that package's purpose.
OF_ANOTHER_PACKAGE = {"belofilms_GuitarStrums", "GMRockKit", "TR808EmulationKit", "lomiri"}
ENDINGS = {".wav", ".flac", ".ogg", ".oga", ".aiff", ".opus"}
# Words in file names that tell a class; the first that fits.
NAMED = (
    ("snare", r"snare|snr|_sn_|rim|clap|clp|sd\d|\bsn"), ("hats", r"hat|hh|hihat|_hc|open_?h|closed"),
    ("cymbals", r"cymb|crash|ride|splash|china|_cy"), ("kick", r"kick|bd_|bass ?drum|\bbd|kik"), ("toms", r"tom"),
    ("bells", r"bell|glass|chime|gong|metal|cow|tri"), ("choir", r"choir|voice|vox|vocal"), ("bass", r"bass"),
    ("guitar", r"guit|strum|major|minor"), ("pad", r"drone|pad|ambi|hum"), ("loop", r"loop|break"),
    ("organ", r"organ|montre|bourdon|trompette|prestant|flute|gedackt"), ("music", r"music|theme"),
)  # fmt: skip
TEXTS = (
    "The kettle boils while the rain comes down on the roof again.",
    "Seven grey boats went out before the morning bell and nine came home.",
    "Leave the window open, the evening air is good for all of us.",
    "She counted every step along the wall and then turned round.",
    "Nobody asked why the old clock in the kitchen ran so fast.",
    "A loud yellow bird sat on the fence and would not go away.",
)
VOICES = {
    "espeak-ng": [f"{v}{w}" for v in ("en", "en-us", "de", "fr-fr", "it", "es", "sv", "nl", "pl", "cs", "fi", "pt", "ru", "ja", "hi")
                  for w in ("", "+m3", "+m7", "+f2", "+f5")],
    "text2wave": ["kal_diphone", "cmu_us_slt_arctic_hts", "lp_diphone", "czech_ph", "suo_fi_lj_diphone", "upc_ca_ona_hts"],
    "flite": ["awb", "kal", "rms", "slt", "kal16"],
}  # fmt: skip
Sound = tuple[str, str, np.ndarray]


def files_in(where: Path) -> list[tuple[str, bytes | Path]]:
    """Return names and contents of all sound in a folder, an archive of WavPack files, or a game's catalogue."""
    if where.suffix == ".cat":
        data = where.read_bytes()
        first, _ = struct.unpack_from("<II", data)
        entries = [struct.unpack_from("<II", data, 8 * n) for n in range((first & 0x7FFFFFFF) // 8)]
        return [(f"effect {n}", _riff(data, at & 0x7FFFFFFF)) for n, (at, _) in enumerate(entries)]
    archives = sorted(where.glob("*.orgue")) if where.is_dir() else []
    if archives:
        with zipfile.ZipFile(archives[0]) as archive:
            return [(n, archive.read(n)) for n in sorted(archive.namelist()) if n.endswith(".wav")]
    found = ((p.relative_to(where), p) for p in sorted(where.rglob("*")) if p.suffix.lower() in ENDINGS)
    return [(str(name), p) for name, p in found if name.parts[0] not in OF_ANOTHER_PACKAGE]


def _riff(data: bytes, at: int) -> bytes:
    at = data.index(b"RIFF", at)
    return data[at : at + 8 + struct.unpack_from("<I", data, at + 4)[0]]


def read(content: bytes | Path) -> np.ndarray:
    """Return sound at 44.1 kHz, shape (frames, 1 or 2)."""
    if isinstance(content, bytes) and content[:4] == b"wvpk":
        content = subprocess.run(
            ["wvunpack", "-q", "-w", "-", "-o", "-"], input=content, check=True, capture_output=True
        ).stdout
    try:
        audio, rate_hz = sf.read(
            io.BytesIO(content) if isinstance(content, bytes) else content, always_2d=True, dtype="float32", frames=-1
        )
    except sf.LibsndfileError:
        return np.zeros((0, 1), np.float32)  # a package may hold files that nobody can read
    audio = audio[: 60 * rate_hz, :2]
    if rate_hz != RATE_HZ:
        common = np.gcd(rate_hz, RATE_HZ)
        audio = signal.resample_poly(audio, RATE_HZ // common, rate_hz // common, axis=0).astype(np.float32)
    return audio


def class_of(name: str, otherwise: str) -> str:
    """Return a file's class by its name."""
    return next((kind for kind, words in NAMED if re.search(words, name.lower())), otherwise)


def patterns(where: Path, rng: np.random.Generator, count: int) -> list[Sound]:
    """Return patterns of one to four short sounds, uneven in strength, on a loose grid; one in six is a lone hit."""
    pool = [(n, c) for n, c in files_in(where)]
    shorts = []
    for at in rng.permutation(len(pool)):
        if len(shorts) == 3 * count:
            break
        audio = read(pool[at][1])
        if 0.03 < len(audio) / RATE_HZ < 4 and np.abs(audio).max() > 1e-3:
            shorts.append((pool[at][0], np.broadcast_to(audio, (len(audio), 2))[: 3 * RATE_HZ]))
    out = []
    for number in range(count):
        chosen = [shorts[i] for i in rng.integers(0, len(shorts), int(rng.choice([1, 1, 2, 3, 4])))]
        step_s = 60.0 / rng.uniform(75, 160) / 2
        audio = np.zeros((int(RATE_HZ * rng.uniform(4, 10)), 2), np.float32)
        lone = number % 6 == 5
        for _name, hit in chosen[: 1 if lone else 4]:
            density = float(rng.choice([0.2, 0.45, 0.9]))
            for step in range(1 if lone else int(len(audio) / RATE_HZ / step_s)):
                if step == 0 or rng.random() < density:
                    at = max(0, int((step * step_s + rng.normal(0, 0.004)) * RATE_HZ))
                    part = hit[: max(0, len(audio) - at)]
                    audio[at : at + len(part)] += part * np.float32(10 ** (rng.uniform(-14, 0) / 20))
        kind = class_of(chosen[0][0], "percussion") if len(chosen) == 1 or lone else "loop"
        out.append((kind, "+".join(n for n, _ in chosen), audio))
    return out


def cuts(where: Path, rng: np.random.Generator, count: int) -> list[Sound]:
    """Return single files as they are, cut to at most 15 s."""
    pool, out = files_in(where), []
    for at in rng.permutation(len(pool)):
        name, content = pool[at]
        audio = read(content)
        if len(out) == count:
            break
        if len(audio) < 1.2 * RATE_HZ or np.abs(audio).max() < 1e-3:
            continue
        start = int(rng.uniform(0, max(1, len(audio) - 15 * RATE_HZ)))
        out.append(
            (class_of(name, "music" if len(audio) > 15 * RATE_HZ else "effects"), name, audio[start : start + 15 * RATE_HZ])
        )
    return out


def spoken(where: Path, rng: np.random.Generator, count: int) -> list[Sound]:
    """Return words of one speaker (a folder) in a row."""
    pool: dict[str, list[bytes | Path]] = {}
    for name, content in files_in(where):
        pool.setdefault(name.split("/")[0], []).append(content)
    folders = [f for f, c in pool.items() if len(c) >= 8]
    out = []
    for number in range(count):
        folder = str(rng.choice(folders))
        words = [read(pool[folder][i]).mean(axis=1, keepdims=True) for i in rng.integers(0, len(pool[folder]), 8)]
        gap = np.zeros((RATE_HZ // 5, 1), np.float32)
        out.append(("speech", f"{folder} #{number}", np.concatenate([p for w in words for p in (w, gap)])[: 12 * RATE_HZ]))
    return out


def voiced(command: str, rng: np.random.Generator, count: int) -> list[Sound]:
    """Return sentences of a speech synthesiser."""
    out = []
    with tempfile.TemporaryDirectory() as folder:
        for number in range(count):
            voice = VOICES[command][number % len(VOICES[command])]
            if command == "espeak-ng":
                voice = str(rng.choice(VOICES[command]))
            text, wav = " ".join(rng.permutation(TEXTS)[:2]), Path(folder) / "speech.wav"
            pitch, speed = str(int(rng.integers(20, 80))), str(int(rng.integers(130, 190)))
            asked = {
                "espeak-ng": ["espeak-ng", "-v", voice, "-p", pitch, "-s", speed, "-w", str(wav), text],
                "text2wave": ["text2wave", "-eval", f"(voice_{voice})", "-o", str(wav), "-"],
                "flite": ["flite", "-voice", voice, "-t", text, "-o", str(wav)],
            }[command]
            subprocess.run(asked, check=True, capture_output=True, input=text.encode())
            out.append(("speech", f"{voice} #{number}", read(wav)))
    return out


def roomed(audio: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Return sound in a small room (dense decaying modes), through a plate, or with a comb: many weak resonances, no ring."""
    kind = str(rng.choice(["room", "plate", "comb"]))
    length = int(RATE_HZ * 0.6)
    t = np.arange(length) / RATE_HZ
    if kind == "comb":
        answer = np.zeros(length)
        delay, share = int(RATE_HZ * rng.uniform(0.002, 0.02)), rng.uniform(0.2, 0.6)
        for n in range(length // delay):
            answer[n * delay] = share**n
    else:
        modes = 60 if kind == "room" else 500
        freq_hz = 60 * 2 ** (rng.uniform(0, 1, modes) ** (0.6 if kind == "room" else 0.8) * np.log2(9000 / 60))
        t60_s = rng.uniform(0.15, 0.5) * rng.uniform(0.7, 1.4, modes)
        answer = np.zeros(length)
        for f, t60 in zip(freq_hz, t60_s, strict=True):
            answer += np.exp(-6.9078 * t / t60) * np.sin(2 * np.pi * f * t + rng.uniform(0, 6.28))
        answer *= 0.35 / np.sqrt((answer**2).sum())
        answer[0] += 1.0
    return signal.oaconvolve(audio, answer[:, np.newaxis], axes=0)[: len(audio)].astype(np.float32)
