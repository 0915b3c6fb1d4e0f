"""Build the corpus: a few hundred clean stems in a folder outside the project, with a list of what each is.

Run ``python tests/bench/rings/corpus.py --folder DIR --downloads DIR``; the other programs here read it with `load`.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from made import made
from packages import PACKAGES, PURPOSES, Package, missing
from playing import played
from sources import cuts, patterns, roomed, spoken, voiced

RATE_HZ = 44100
ROOMED_SHARE = 0.12


@dataclass(frozen=True)
class Stem:
    """A clean stem: which package it is from, what for, its class, and its file."""

    package: str
    purpose: str
    kind: str
    name: str
    file: Path

    def audio(self) -> np.ndarray:
        """Return its samples, shape (frames, channels)."""
        return np.load(self.file).astype(np.float64)


def sounds_of(package: Package, downloads: Path, rng: np.random.Generator) -> list[tuple[str, str, np.ndarray]]:
    """Return class, name and samples of a package's stems."""
    where = downloads / package.where if package.registry == "pypi" else Path(package.where)
    if package.how == "made":
        return made(rng, package.stems)
    if package.how == "notes":
        return played(where, rng, package.stems)
    if package.how == "voice":
        return voiced(package.where, rng, package.stems)
    return {"hits": patterns, "as is": cuts, "speech files": spoken}[package.how](where, rng, package.stems)


def build(folder: Path, downloads: Path) -> None:
    """Write every stem as float32 and the list of them."""
    folder.mkdir(parents=True, exist_ok=True)
    rows = []
    for number, package in enumerate(PACKAGES):
        if missing(package, downloads):
            print(f"MISSING, so not in the corpus: {package.name}")
            continue
        label = "made-here-made" if package.how == "made" else f"{number:02d}"
        rng = np.random.default_rng([1600, *label.encode()] if package.how == "made" else 1600 + number)
        for at, (kind, name, audio) in enumerate(sounds_of(package, downloads, rng)):
            roomy = rng.random() < ROOMED_SHARE
            sound = roomed(audio, rng) if roomy else audio
            peak = float(np.abs(sound).max()) if len(sound) else 0.0
            if not (np.isfinite(peak) and peak > 1e-4):
                continue
            if sound.shape[1] == 2 and np.array_equal(sound[:, 0], sound[:, 1]):
                sound = sound[:, :1]
            file = f"{label}-{at:03d}.npy"
            np.save(folder / file, (sound * (0.5 / peak)).astype(np.float32))
            rows.append([package.name, package.purpose, "room" if roomy else kind, name, file])
        print(
            f"{package.purpose:9s} {package.name:28s} {package.how:13s} {sum(r[0] == package.name for r in rows)}",
            flush=True,
        )
    (folder / "list.json").write_text(json.dumps(rows, indent=0))


def load(folder: Path, *purposes: str) -> list[Stem]:
    """Return the stems for some purposes."""
    rows = json.loads((folder / "list.json").read_text())
    return [Stem(p, purpose, kind, name, folder / file) for p, purpose, kind, name, file in rows if purpose in purposes]


def main() -> None:
    """Build, and count."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folder", type=Path, required=True)
    parser.add_argument("--downloads", type=Path, default=Path())
    arguments = parser.parse_args()
    build(arguments.folder, arguments.downloads)
    for purpose in PURPOSES:
        print(purpose, dict(Counter(s.kind for s in load(arguments.folder, purpose)).most_common()))


if __name__ == "__main__":
    main()
