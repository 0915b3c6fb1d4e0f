"""How well rings are found in the corpus: planted rings, false notches on clean stems, cents, calibration, by class.

Run ``python tests/bench/rings/evaluate.py --folder DIR --purpose reported``. Every stem is heard clean, with a bell and with a
mode planted in it.
"""

from __future__ import annotations

import argparse
import itertools
import json
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from corpus import RATE_HZ, Stem, load
from planting import Plant, plant_one

from stemwright.dsp.rings import RingFinder, RingSettings

NEAR_OCTAVES = 1 / 24


@dataclass(frozen=True)
class Trial:
    """One hearing: the stem's class and package, what was planted, what was ranked and with what certainty, what was taken."""

    kind: str
    package: str
    plant: Plant | None
    ranked: list[tuple[float, float]]
    taken: list[float]
    name: str = ""

    def rank(self) -> int:
        """Return the planted ring's place in the ranking, from 0, or 99."""
        near = (i for i, (hz, _) in enumerate(self.ranked) if self.hits(hz))
        return next(near, 99)

    def hits(self, hz: float) -> bool:
        """Say whether a frequency is the planted ring's."""
        return self.plant is not None and abs(np.log2(hz / self.plant.freq_hz)) < NEAR_OCTAVES


def versions(stem: Stem, seed: int) -> list[tuple[Plant | None, np.ndarray]]:
    """Return a stem clean, with a bell, and with a mode."""
    audio = stem.audio()
    rng = np.random.default_rng([seed, *stem.file.stem.encode()])
    planted = (plant_one(audio, RATE_HZ, rng, kind) for kind in ("bell", "mode"))
    return [(None, audio), *(p for p in planted if p)]


def hear(stem: Stem, seed: int) -> list[Trial]:
    """Return the trials of one stem."""
    trials = []
    for plant, audio in versions(stem, seed):
        finder = RingFinder(RATE_HZ, audio.shape[1])
        finder.feed(audio)
        ranked = finder.finish(RingSettings(at_most=8, least_db=0, least_confidence=0))
        taken = finder.finish(RingSettings())
        trials.append(
            Trial(
                stem.kind,
                stem.package,
                plant,
                [(r.freq_hz, r.confidence) for r in ranked],
                [r.freq_hz for r in taken],
                stem.name,
            )
        )
    return trials


def figures(trials: list[Trial]) -> str:
    """Return one line of figures: trials, first, first three, first eight, cents, taken, false a clean stem, clean stems."""
    clean = [t for t in trials if t.plant is None]
    planted = [t for t in trials if t.plant is not None]
    ranks = np.array([t.rank() for t in planted] or [99])
    taken = [any(t.hits(hz) for hz in t.taken) for t in planted]
    cents = [1200 * abs(np.log2(t.ranked[t.rank()][0] / t.plant.freq_hz)) for t in planted if t.plant and t.rank() < 99]
    false = [len(t.taken) for t in clean]
    return (
        f"{len(planted):6d} {np.mean(ranks == 0):7.1%} {np.mean(ranks < 3):7.1%} {np.mean(ranks < 8):7.1%} "
        f"{np.median(cents or [0]):6.1f} "
        f"{np.mean(taken or [0]):7.1%} {np.mean(false or [0]):7.2f} ({len(clean)})"
    )


def parts(trials: list[Trial]) -> dict[str, list[Trial]]:
    """Return the trials by class, by what was planted, and by package; the clean ones with each class and package."""
    out: dict[str, list[Trial]] = {"all": trials}
    for gains in ((4, 8), (8, 12), (12, 18)):
        out[f"+{gains[0]} to +{gains[1]} dB"] = [t for t in trials if t.plant and gains[0] <= t.plant.gain_db < gains[1]]
    for low, high in ((120, 400), (400, 2000), (2000, 10000)):
        out[f"{low} to {high} Hz"] = [t for t in trials if t.plant and low <= t.plant.freq_hz < high]
    for low, high in ((5, 12), (12, 30), (30, 80)):
        out[f"Q {low} to {high}"] = [t for t in trials if t.plant and low <= t.plant.q < high]
    for kind in ("bell", "mode"):
        out[kind] = [t for t in trials if t.plant and t.plant.kind == kind]
    for kind in sorted({t.kind for t in trials}):
        out[f"class {kind}"] = [t for t in trials if t.kind == kind]
    for package in sorted({t.package for t in trials}):
        out[package] = [t for t in trials if t.package == package]
    return out


def calibration(trials: list[Trial]) -> list[str]:
    """Return for bands of certainty how many first candidates are rings, clean stems weighed so that half of all stems ring."""
    share = float(np.mean([t.plant is not None for t in trials]))
    lines = ["of first candidates, as if half of all stems rang:"]
    edges = (0.0, 0.1, 0.3, 0.5, 0.65, 0.75, 0.85, 0.95, 1.01)
    for low, high in itertools.pairwise(edges):
        first = [t for t in trials if t.ranked and low <= t.ranked[0][1] < high]
        if first:
            weighs = np.array([0.5 / share if t.plant else 0.5 / (1 - share) for t in first])
            right = np.average([t.hits(t.ranked[0][0]) for t in first], weights=weighs)
            mean = np.average([t.ranked[0][1] for t in first], weights=weighs)
            lines.append(f"  certain {low:.2f} to {high:.2f} ({len(first):4d}, mean {mean:.2f}): {right:.0%} are rings")
    lines.append("taken of planted, of +8 dB and more, and false a clean stem, by what is taken from:")
    for least in (0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95):
        planted, clean = [t for t in trials if t.plant], [t for t in trials if not t.plant]
        got = [any(t.hits(hz) and c >= least for hz, c in t.ranked[:2]) for t in planted]
        high_gain = [g for g, t in zip(got, planted, strict=True) if t.plant and t.plant.gain_db >= 8]
        false = np.mean([sum(c >= least for _, c in t.ranked[:2]) for t in clean])
        lines.append(f"  {least:.2f}: {np.mean(got):.1%} {np.mean(high_gain):.1%} {false:.2f}")
    return lines


def main() -> None:
    """Run all trials and print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folder", type=Path, required=True)
    parser.add_argument("--purpose", default="reported")
    parser.add_argument("--seed", type=int, default=2024)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--false", action="store_true", help="name the clean stems with false notches")
    arguments = parser.parse_args()
    stems = load(arguments.folder, arguments.purpose)
    with ProcessPoolExecutor(arguments.jobs) as executor:
        heard = list(executor.map(hear, stems, [arguments.seed] * len(stems), chunksize=8))
    trials = [trial for each in heard for trial in each]
    print(f"{arguments.purpose}, seed {arguments.seed}")
    print(f"{'':28s} trials   first   top 3   top 8  cents   taken  false (clean stems)")
    for name, part in parts(trials).items():
        print(f"{name:28s} {figures(part)}")
    print("\n".join(calibration(trials)))
    if arguments.false:
        for t in trials:
            if t.plant is None and t.taken:
                print(
                    f"  {t.kind:10s} {t.package:20s} {t.name:50.50s}",
                    json.dumps([[round(hz), round(c, 2)] for hz, c in t.ranked[:3]]),
                )


if __name__ == "__main__":
    main()
