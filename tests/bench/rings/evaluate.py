"""How well rings are found: planted rings found, false notches on clean tonal stems, cents, and cost, beside a baseline.

Run ``python tests/bench/rings/evaluate.py`` from the project's folder. Prints one table, from the side of the material that
nothing was fitted on. The baseline is ``scipy.signal.welch`` and ``find_peaks`` by prominence on the same stems.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import dataclass, field

import numpy as np
from material import RATE_HZ, Stem, missing, stems
from planting import Plant, plant_one
from scipy import signal

from stemwright.dsp.rings import RingFinder, RingSettings, find_rings

NEAR_OCTAVES = 1 / 24
BASELINE_PROMINENCE_DB = 4.0
_TIMED = 5


@dataclass
class Tally:
    """What one way of finding did on one kind of stem."""

    ranks: list[int] = field(default_factory=list)
    cents: list[float] = field(default_factory=list)
    at_default: list[bool] = field(default_factory=list)
    false_each: list[int] = field(default_factory=list)

    def line(self) -> str:
        """Return the figures as columns."""
        ranks = np.array(self.ranks or [99])
        cents = f"{np.median(self.cents):6.1f}" if self.cents else "     -"
        false = f"{np.mean(self.false_each):6.2f} ({len(self.false_each)})" if self.false_each else "     -"
        return (
            f"{len(self.ranks):6d}  {np.mean(ranks == 0):6.1%}  {np.mean(ranks < 3):6.1%}  {cents}  "
            f"{np.mean(self.at_default or [False]):6.1%}  {false}"
        )


def ours(audio: np.ndarray, band: tuple[float, float]) -> tuple[list[float], list[float]]:
    """Return frequencies as ranked, and those that the default setting would notch."""
    low_hz, high_hz = band
    ranked = find_rings(audio, RATE_HZ, RingSettings(low_hz, high_hz, at_most=3, least_db=0, least_confidence=0))
    default = find_rings(audio, RATE_HZ, RingSettings(low_hz, high_hz))
    return [r.freq_hz for r in ranked], [r.freq_hz for r in default]


def baseline(audio: np.ndarray, band: tuple[float, float]) -> tuple[list[float], list[float]]:
    """Return peaks of the average spectrum by prominence, and all that stand out by what counts as a ring by default."""
    size = min(4096, len(audio))
    freq_hz, power = signal.welch(audio.sum(axis=1), RATE_HZ, nperseg=size)
    inside = (freq_hz >= band[0]) & (freq_hz <= band[1])
    level = 10 * np.log10(power[inside] + 1e-20)
    peaks, found = signal.find_peaks(level, prominence=BASELINE_PROMINENCE_DB)
    ranked = freq_hz[inside][peaks[np.argsort(-found["prominences"])]]
    return list(ranked[:3]), list(ranked)


def count(tally: Tally, found: tuple[list[float], list[float]], plant: Plant | None, stem: Stem) -> None:
    """Enter one trial."""
    ranked, default = found
    if plant is None:
        if stem.tonal:
            tally.false_each.append(len(default))
        return
    off = [abs(np.log2(f / plant.freq_hz)) for f in ranked]
    rank = next((i for i, octaves in enumerate(off) if octaves < NEAR_OCTAVES), 99)
    tally.ranks.append(rank)
    if rank < 99:
        tally.cents.append(1200 * off[rank])
    tally.at_default.append(any(abs(np.log2(f / plant.freq_hz)) < NEAR_OCTAVES for f in default))


def cost_ratio(minutes: float, rate_hz: int) -> float:
    """Return the time to find rings over the time of six sections, both in blocks, best of five."""
    audio = np.random.default_rng(0).normal(size=(int(rate_hz * 60 * minutes), 2)) * 0.1
    section = [1.0439, -1.8953, 0.8677, 1.0, -1.8953, 0.9117]  # a bell, 1 kHz, +6 dB, Q 1
    sections, size = np.array([section] * 6), 65536

    def render() -> None:
        state = np.zeros((6, 2, 2))
        for start in range(0, len(audio), size):
            _, state = signal.sosfilt(sections, audio[start : start + size], axis=0, zi=state)

    def find() -> None:
        finder = RingFinder(rate_hz, 2)
        for start in range(0, len(audio), size):
            finder.feed(audio[start : start + size])
        finder.finish()

    times: dict[str, list[float]] = {"find": [], "render": []}
    for _ in range(_TIMED):  # in turn, so that another program's load falls on both
        for name, work in (("find", find), ("render", render)):
            start = time.perf_counter()
            work()
            times[name].append(time.perf_counter() - start)
    return min(times["find"]) / min(times["render"])


def main() -> None:
    """Run all trials and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--side", choices=["reporting", "tuning"], default="reporting")
    parser.add_argument("--seed", type=int, default=2024)
    parser.add_argument("--per-kind", type=int, default=30)
    parser.add_argument("--from", dest="low_hz", type=float, default=20.0)
    parser.add_argument("--to", dest="high_hz", type=float, default=20000.0)
    arguments = parser.parse_args()
    for what in missing():
        print(f"MISSING, so not in the table: {what}")
    ways = {"ours": ours, "baseline": baseline}
    tallies: dict[tuple[str, str], Tally] = {}
    rng, band = np.random.default_rng(arguments.seed + 1), (arguments.low_hz, arguments.high_hz)
    for stem in stems(arguments.side, arguments.seed, arguments.per_kind):
        trials: list[tuple[Plant | None, np.ndarray]] = [(None, stem.audio)]
        trials += [planted for planted in (plant_one(stem.audio, RATE_HZ, rng) for _ in range(2)) if planted]
        for plant, audio in trials:
            for way, find in ways.items():
                found = find(audio, band)
                for kind in (stem.kind, "all"):
                    count(tallies.setdefault((way, kind), Tally()), found, plant, stem)
    print(f"{arguments.side} side, seed {arguments.seed}, {band[0]:g} Hz to {band[1]:g} Hz")
    print("way       kind        trials   first    top 3   cents  default  false per tonal stem (stems)")
    for (way, kind), tally in sorted(tallies.items(), key=lambda item: (item[0][0] != "ours", item[0][1] != "all")):
        print(f"{way:9s} {kind:10s} {tally.line()}")
    for minutes, rate_hz in ((1.0, 48000), (5.0, 48000), (1.0, 96000)):
        ratio = cost_ratio(minutes, rate_hz)
        print(f"cost over six sections, stereo, {minutes:g} min at {rate_hz / 1000:g} kHz: {ratio:.2f}")


if __name__ == "__main__":
    main()
