"""What does every house recipe do to recordings, by third octave, in loudness and in peak? And to the sum of a recorded kit?

    .venv/bin/python tests/bench/recipes.py [--recipe kick] [--stems 3] [--seed 1]

Instruments are Debian's sound fonts, played; kits are hits of its drum kits put in bars; voices are spoken by its synthesisers. A
lead vocal is in every song, so that what makes room for one is heard. Bands in which a stem has nothing (50 dB under its
fullest) do not count.
"""

from __future__ import annotations

import argparse
import re
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pyebur128
import soundfile
import yaml
from scipy.signal import sosfreqz, welch

sys.path.insert(0, str(Path(__file__).parent / "rings"))
from playing import DRUMS, RATE_HZ, Phrase, drum_events, note_events, rendered
from sources import ENDINGS, cuts, patterns, read, voiced

from stemwright import Song
from stemwright.passes.manifest_file import read_manifest
from stemwright.recipes.folders import house_dir
from stemwright.recipes.library import load_library

FONTS = [Path("/usr/share/sounds/sf2") / name for name in ("FluidR3_GM.sf2", "TimGM6mb.sf2", "sf_GMbank.sf2")]
KITS = Path("/usr/share/hydrogen/data/drumkits")
SAMPLES = Path("/usr/share/sonic-pi/samples")
# General MIDI level 1 programs (from 0) and percussion keys that sound like what a recipe is for.
PLAYED = {
    "808": (38, 39), "sub bass": (38, 39), "bass": (32, 33, 34, 35), "acoustic guitar": (24, 25), "guitar": (26, 27, 29, 30),
    "bells": (9, 14, 112), "mallets": (11, 12, 13, 108), "brass": (56, 57, 61), "choir": (52, 53), "keys": (4, 5, 7),
    "piano": (0, 1, 3), "organ": (16, 17, 19), "pad": (88, 89, 92), "pluck": (45, 46, 104), "strings": (40, 42, 48),
    "synth": (62, 63, 90), "synth lead": (80, 81, 87), "woodwinds": (68, 71, 73),
}  # fmt: skip
HIT = {
    "kick": DRUMS["kick"], "snare": (38, 40), "hats": DRUMS["hats"], "cymbals": (49, 51, 57), "toms": DRUMS["toms"],
    "clap": (39,), "rim": (37,), "snap": (39,), "percussion": (60, 62, 64), "shaker": (69, 70, 82),
}  # fmt: skip
SPOKEN = ("lead vocal", "doubles", "harmonies", "ad libs", "backing vocals", "vocal sample")
LOOPED = ("drum bus", "drum loop", "loop", "effects")
CALLED = {"kick": r"kick|bd", "snare": r"snare|sd|sn_", "toms": r"tom|ft|tm", "hats": r"hat|hh|hihat"}  # as kits call them
THIRDS_HZ = 1000.0 * 2.0 ** (np.arange(-17, 14) / 3.0)  # IEC 61260-1, base two: 20 Hz to 20 kHz
FLOOR_DB = 50.0
LENGTH_S = 8.0


def kits() -> list[dict[str, list[Path]]]:
    """Return the files of each installed drum kit by role, of kits that have all of `CALLED`."""
    found = []
    for folder in sorted(KITS.iterdir()):
        sounds = [path for path in sorted(folder.iterdir()) if path.suffix.lower() in ENDINGS]
        by_role = {role: [path for path in sounds if re.match(words, path.name.lower())] for role, words in CALLED.items()}
        found += [by_role] if all(by_role.values()) else []
    return found


def material(role: str, count: int, rng: np.random.Generator) -> list[np.ndarray]:
    """Return stems for a role, so many of each maker, float, shape (frames, channels)."""
    if role in SPOKEN:
        found = [sound for command in ("espeak-ng", "flite") for _, _, sound in voiced(command, rng, count)]
    elif role in LOOPED:
        folders = [files["kick"][0].parent for files in kits()]
        loops = patterns(folders[0], rng, 6 * count) if role.startswith("drum") else cuts(SAMPLES, rng, count)
        found = [sound for kind, _, sound in loops if kind == "loop" or not role.startswith("drum")][:count]
        found += [sound for _, _, sound in patterns(folders[-1], rng, count)]
    else:
        asked = [_phrase(role, rng) for _ in range(count)]
        found = [sound for font in FONTS for sound in rendered(font, asked)]
    return [sound * (0.5 / peak) for sound in found if (peak := float(np.abs(sound).max())) > 1e-3]


def _phrase(role: str, rng: np.random.Generator) -> Phrase:
    if role in HIT:
        return Phrase(role, role, LENGTH_S, drum_events([int(rng.choice(HIT[role]))], LENGTH_S, rng))
    program, style = int(rng.choice(PLAYED[role])), str(rng.choice(["melody", "chords", "held"]))
    return Phrase(role, role, LENGTH_S, note_events(program, style, role in ("808", "bass", "sub bass"), LENGTH_S, rng))


def thirds_db(audio: np.ndarray, rate_hz: int) -> np.ndarray:
    """Return the level of each third octave, dB, all channels together."""
    freqs, power = welch(audio, rate_hz, nperseg=16_384, axis=0)
    edges = [(centre * 2 ** (-1 / 6), centre * 2 ** (1 / 6)) for centre in THIRDS_HZ]
    sums = [power[(freqs >= low) & (freqs < high)].sum() for low, high in edges]
    return 10.0 * np.log10(np.maximum(sums, 1e-20))


def peak_db(audio: np.ndarray) -> float:
    return 20.0 * float(np.log10(np.abs(audio).max()))


def prepped(folder: Path, stems: dict[str, np.ndarray], sheet: dict) -> tuple[dict[str, Path], Song]:
    """Write a song, make a pass, and return the files of the pass by the name they were given."""
    for name, audio in stems.items():
        soundfile.write(folder / f"{name}.wav", audio, RATE_HZ, "FLOAT")
    (folder / "session.yaml").write_text(yaml.safe_dump(sheet))
    with ThreadPoolExecutor(2) as pool:
        song = Song(folder, executor=pool)
        made = song.prep()
    return {name: folder / f"passes/{made.name}/stems/{name}.wav" for name in stems}, song


def changes(role: str, count: int, seed: int) -> None:
    """Print what a recipe did: the range in loudness and peak, then each third octave's middle and worst change."""
    rng = np.random.default_rng(seed)
    stems = {f"stem {number}": audio for number, audio in enumerate(material(role, count, rng))}
    voice = voiced("espeak-ng", rng, 1)[0][2]
    sheet = {"stems": {**{f"{name}.wav": {"role": role} for name in stems}, "front.wav": {"role": "lead vocal"}}}
    with tempfile.TemporaryDirectory() as name:
        after, _ = prepped(Path(name), stems | {"front": voice}, sheet)
        rows, louder, higher = [], [], []
        for stem, audio in stems.items():
            new, rate_hz = soundfile.read(after[stem], always_2d=True)
            before = thirds_db(audio, rate_hz)
            rows.append(np.where(before >= before.max() - FLOOR_DB, thirds_db(new, rate_hz) - before, np.nan))
            louder.append(loudness(new) - loudness(audio))
            higher.append(peak_db(new) - peak_db(audio))
    with np.errstate(all="ignore"):
        table = np.array(rows)
        there = ~np.isnan(table).all(axis=0)
        middle = np.nanmedian(table[:, there], axis=0)
        worst = np.take_along_axis(t := table[:, there], np.nanargmax(np.abs(t), axis=0)[None], axis=0)[0]
    bands = [
        f"{hz:.0f}: {m:+.1f} ({w:+.1f})" for hz, m, w in zip(THIRDS_HZ[there], middle, worst, strict=True) if abs(w) >= 0.25
    ]
    print(
        f"{role}: {len(rows)} stems, {min(louder):+.1f} to {max(louder):+.1f} LU, peak {min(higher):+.1f} to {max(higher):+.1f} dB"
    )
    print("    " + (", ".join(bands) or "no third octave changes by 0.25 dB"), flush=True)


def loudness(audio: np.ndarray) -> float:
    """Return the integrated loudness, LUFS, by the outside meter."""
    meter = pyebur128.R128State(audio.shape[1], RATE_HZ, pyebur128.MeasurementMode.MODE_I)
    meter.add_frames(np.ascontiguousarray(audio, dtype=np.float64).reshape(-1), len(audio))
    return float(pyebur128.get_loudness_global(meter))


def kit(seed: int) -> None:
    """Print what prepping costs the sum of close microphones and overheads of recorded hits, in the worst third octave."""
    rng = np.random.default_rng(seed)
    for number, files in enumerate(kits(), start=1):
        close = {role: _in_bars(read(these[int(rng.integers(len(these)))]), role, rng) for role, these in files.items()}
        # The overheads hear all of it through the air: 1.2 m later than the close microphones, the kick from a little further.
        air = sum(
            np.roll(audio, round((0.0044 if role == "kick" else 0.0035) * RATE_HZ), axis=0) for role, audio in close.items()
        )
        stems = {**close, "overheads": air * 0.7}
        roles = {"overheads": "cymbals"}
        said = []
        for declared in (True, False):
            sheet: dict = {"stems": {f"{name}.wav": {"role": roles.get(name, name)} for name in stems}}
            if declared:
                sheet["kit"] = [f"{name}.wav" for name in stems]
            with tempfile.TemporaryDirectory() as name:
                after, _ = prepped(Path(name), stems, sheet)
                manifest = read_manifest(Path(name) / "passes/pass-01")
                total = sum(soundfile.read(path, always_2d=True)[0] for path in after.values())
                meant = sum(_without_turning(stems[item.stem.removesuffix(".wav")], item) for item in manifest.items())
            lost = thirds_db(total, RATE_HZ) - (level := thirds_db(meant, RATE_HZ))
            lost = np.where(level >= level.max() - 30.0, lost, 0.0)
            at = int(np.abs(lost).argmax())
            said.append(f"{'declared' if declared else 'not declared'} {lost[at]:+.1f} dB at {THIRDS_HZ[at]:.0f} Hz")
        print(f"kit {number}: {', '.join(said)}", flush=True)


def _in_bars(hit: np.ndarray, role: str, rng: np.random.Generator) -> np.ndarray:
    beat = RATE_HZ * 60 // 100
    out = np.zeros((16 * beat, 2))
    for step in {"kick": (0, 2), "snare": (1, 3), "toms": (3.5,), "hats": (0, 1, 2, 3)}[role]:
        for bar in range(4):
            at = round((4 * bar + step) * beat)
            part = hit[: len(out) - at]
            out[at : at + len(part)] += part * rng.uniform(0.3, 0.5)
    return out


def _without_turning(audio: np.ndarray, item) -> np.ndarray:
    """Return a stem with its moves' magnitudes and no turn of phase: what the sum would be if nothing cancelled anew."""
    spectrum = np.fft.rfft(audio, 2 * len(audio), axis=0)
    freqs = np.fft.rfftfreq(2 * len(audio), 1.0 / RATE_HZ)
    for move in item.moves:
        for section in move.sections:
            _, answer = sosfreqz(np.array([section]), freqs, fs=RATE_HZ)
            twice = move.settings.get("phase") == "linear"
            spectrum *= (np.abs(answer) ** (2 if twice else 1))[:, None]
    return np.fft.irfft(spectrum, axis=0)[: len(audio)]


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    reader.add_argument("--recipe", action="append")
    reader.add_argument("--stems", type=int, default=3, help="of each maker")
    reader.add_argument("--seed", type=int, default=1)
    asked = reader.parse_args()
    roles = sorted({recipe.name for recipe in load_library([house_dir()]).all} & {*PLAYED, *HIT, *SPOKEN, *LOOPED})
    for recipe in asked.recipe or roles:
        changes(recipe, asked.stems, asked.seed)
    if not asked.recipe:
        kit(asked.seed)


if __name__ == "__main__":
    main()
