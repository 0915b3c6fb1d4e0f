"""How near a notch brings a stem with a planted ring back to its clean self: nothing, half and all of the excess taken.

Run ``python tests/bench/rings/restore.py --folder DIR --purpose reported``. The error is the power of the difference from the
clean samples, as a level against the untouched stem's own difference; only rings that the finder takes or offers count.
"""

from __future__ import annotations

import argparse
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
from corpus import RATE_HZ, Stem, load
from evaluate import versions
from planting import Plant, bell
from scipy import signal

from stemwright.dsp.rings import OFFERED_FROM, RingSettings, find_rings, plan_notches

SEED = 2024


def restored(stem: Stem) -> list[tuple[str, float, float, float]]:
    """Return for every ring found its kind, its Q against the bell's that would undo it, and what half and all leave, dB."""
    (_, clean), *planted = versions(stem, SEED)
    out = []
    for plant, audio in planted:
        assert plant is not None
        rings = [
            r
            for r in find_rings(audio, RATE_HZ, RingSettings(least_confidence=OFFERED_FROM))
            if abs(np.log2(r.freq_hz / plant.freq_hz)) < 1 / 24
        ]
        if not rings:
            continue
        left = []
        for depth in (50.0, 100.0):
            (notch,) = plan_notches(rings[:1], depth_percent=depth, deepest_db=24, most_band_loss_db=99) or [None]
            section = (
                bell(Plant("bell", notch.freq_hz, notch.q, notch.gain_db), RATE_HZ)
                if notch
                else np.array([[1.0, 0, 0, 1, 0, 0]])
            )
            after = signal.sosfilt(section, audio, axis=0)
            left.append(10 * np.log10(((after - clean) ** 2).sum() / ((audio - clean) ** 2).sum()))
        undoing_q = plant.q if plant.kind == "bell" else plant.q * 10 ** (-plant.gain_db / 40)
        out.append((plant.kind, rings[0].q / undoing_q, left[0], left[1]))
    return out


def main() -> None:
    """Print one line for bells and one for modes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folder", type=Path, required=True)
    parser.add_argument("--purpose", default="reported")
    parser.add_argument("--jobs", type=int, default=1)
    arguments = parser.parse_args()
    with ProcessPoolExecutor(arguments.jobs) as executor:
        rows = [
            row for each in executor.map(restored, load(arguments.folder, arguments.purpose), chunksize=8) for row in each
        ]
    for kind in ("bell", "mode"):
        q, half, full = (np.array(column) for column in zip(*(row[1:] for row in rows if row[0] == kind), strict=True))
        print(
            f"{kind}: {len(q)} found; Q {np.median(q):.2f} of the undoing bell's; error: half {np.median(half):.1f} dB "
            f"(worse than untouched in"
            f" {np.mean(half > 0):.1%}), all {np.median(full):.1f} dB (worse in {np.mean(full > 0):.1%})"
        )


if __name__ == "__main__":
    main()
