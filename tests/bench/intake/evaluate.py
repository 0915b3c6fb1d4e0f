"""How many planted faults does intake find, and what does it say of recordings that have none?

Run: python tests/bench/intake/evaluate.py [--part looked|never] [--files 120]

Prints a line for each fault and strength, and every finding on the recordings as they are, by its id.
"""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from pathlib import Path

import numpy as np
import packages
import planting
import soundfile

from stemwright.stems.audio import probe
from stemwright.stems.intake import Arrived, inquire, listen
from stemwright.stems.marks import Marks

LOWEST_RATE_HZ = 8000
PLANTS = {
    **{
        f"hum {mains:g} Hz {level} dBFS, gaps {share:.0%}": (
            "hum",
            lambda stem, rate, rng, m=mains, level=level, share=share: planting.hum(
                planting.with_gaps(stem, rate, share), rate, m, level, rng
            ),
        )
        for mains in (50.0, 60.0)
        for level in (-45, -55, -65, -75)
        for share in (0.1, 0.4, 0.75)
    },
    **{
        f"hum {mains:g} Hz {level} dBFS, no gaps": (
            "hum",
            lambda stem, rate, rng, m=mains, level=level: planting.hum(stem, rate, m, level, rng),
        )
        for mains in (50.0, 60.0)
        for level in (-45, -55)
    },
    **{
        f"clipped by {over} dB, lowered by {-gain} dB": (
            "clipped",
            lambda stem, _rate, _rng, over=over, gain=gain: planting.clipped_then_lowered(stem, over, gain),
        )
        for over in (3.0, 6.0, 12.0)
        for gain in (-1.0, -6.0)
    },
    "clicks": ("clicks", lambda stem, rate, rng: planting.clicks(stem, rate, 3, rng)),
    "dropouts of 10 ms": ("dropouts", lambda stem, rate, rng: planting.dropouts(stem, rate, 3, 0.010, rng)),
}


def findings(folder: Path, audio: np.ndarray, rate_hz: int, subtype: str) -> set[str]:
    """Return the ids of what intake says of one stem."""
    path = folder / "stem.wav"
    soundfile.write(path, audio, rate_hz, subtype)
    info = probe(path)
    heard = listen(path, info)
    return {each.id for each in inquire([Arrived(stem="stem.wav", source=path, info=info, heard=heard, marks=Marks())])}


def main() -> None:
    """Run the bench and print its lines."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--part", choices=("looked", "never"), default="looked")
    parser.add_argument("--files", type=int, default=120)
    parser.add_argument("--clean-only", action="store_true")
    parser.add_argument("--show", action="store_true")
    parser.add_argument("--only", default="")
    asked = parser.parse_args()
    files = packages.recordings(asked.part)
    with tempfile.TemporaryDirectory() as scratch:
        as_they_are(Path(scratch), files, show=asked.show)
        if not asked.clean_only:
            planted(Path(scratch), files, asked)


def as_they_are(folder: Path, files: list[Path], *, show: bool) -> None:
    """Print what intake says of recordings that nothing was done to."""
    said: Counter[str] = Counter()
    for path in files:
        audio, rate_hz = packages.read(path)
        if not len(audio) or rate_hz < LOWEST_RATE_HZ:
            continue
        found = findings(folder, audio, rate_hz, "PCM_24")
        said.update(found)
        if show and found & {"hum", "clipped-earlier", "clicks", "dropouts"}:
            print("   ", sorted(found), path)
    print(f"{len(files)} recordings as they are:", dict(said.most_common()))


def planted(folder: Path, files: list[Path], asked: argparse.Namespace) -> None:
    """Print how many of each planted fault are found."""
    rng = np.random.default_rng(5)
    chosen = [files[n] for n in rng.permutation(len(files))[: asked.files]]
    for label, (kind, plant) in PLANTS.items():
        if asked.only not in label:
            continue
        verdicts = {}
        for number, path in enumerate(chosen):
            audio, rate_hz = packages.read(path)
            if len(audio) < rate_hz // 20 or np.abs(audio).max() < 0.02 or rate_hz < LOWEST_RATE_HZ:
                continue
            each = np.random.default_rng(number)
            stem = planting.as_stem(audio, rate_hz, each)
            stem *= 0.5 / np.abs(stem).max()
            found = findings(folder, plant(stem, rate_hz, each), rate_hz, "PCM_24" if number % 2 else "PCM_16")
            verdicts[path] = bool(found & {kind, f"{kind}-earlier"})
        print(f"{label}: {sum(verdicts.values())} of {len(verdicts)}", flush=True)
        if asked.show:
            print("    missed:", *(path for path, good in verdicts.items() if not good), sep="\n      ")


if __name__ == "__main__":
    main()
