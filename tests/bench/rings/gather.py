"""What the judge sees of every stem of a purpose, clean and with rings planted, written to one file for fitting.

Run ``python tests/bench/rings/gather.py --folder DIR --purpose fitted --kinds bell mode bell mode``.
"""

from __future__ import annotations

import argparse
import re
from concurrent.futures import ProcessPoolExecutor
from itertools import repeat
from pathlib import Path

import numpy as np
from corpus import RATE_HZ, Stem, load
from planting import plant_one

from stemwright.dsp.rings.curves import curves_of
from stemwright.dsp.rings.judge import looks
from stemwright.dsp.rings.spectra import FrameKeeper


def seen_of(audio: np.ndarray) -> np.ndarray | None:
    """Return what the judge looks at, or None where it would not be asked."""
    keeper = FrameKeeper(RATE_HZ, audio.shape[1])
    keeper.feed(audio)
    curves = curves_of(keeper.spectra())
    return None if curves is None or len(curves.local) < 3 else looks(curves).astype(np.float16)


def one(stem: Stem, kinds: list[str], seed: int) -> list[tuple[float, float, np.ndarray]]:
    """Return frequency and gain (0 without a ring) and what is seen, for every version of a stem."""
    audio, rng = stem.audio(), np.random.default_rng([seed, *stem.file.stem.encode()])
    versions = [(0.0, 0.0, audio)]
    for kind in kinds:
        planted = plant_one(audio, RATE_HZ, rng, kind)
        versions += [(planted[0].freq_hz, planted[0].gain_db, planted[1])] if planted else []
    seen = ((hz, gain_db, seen_of(version)) for hz, gain_db, version in versions)
    return [(hz, gain_db, looked) for hz, gain_db, looked in seen if looked is not None]


def main() -> None:
    """Gather and write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folder", type=Path, required=True)
    parser.add_argument("--purpose", default="fitted")
    parser.add_argument("--kinds", nargs="+", default=["bell", "mode"])
    parser.add_argument("--seed", type=int, default=101)
    parser.add_argument(
        "--planted-only", action="store_true", help="no clean versions: more rings for stems gathered already"
    )
    parser.add_argument("--only", default="", help="only stems whose file name begins so (a regular expression)")
    parser.add_argument("--write", help="file name; the purpose otherwise")
    parser.add_argument("--jobs", type=int, default=1)
    arguments = parser.parse_args()
    stems = [s for s in load(arguments.folder, arguments.purpose) if re.match(arguments.only, s.file.stem)]
    with ProcessPoolExecutor(arguments.jobs) as executor:
        found = [
            row
            for rows in executor.map(one, stems, repeat(arguments.kinds), repeat(arguments.seed), chunksize=8)
            for row in rows
        ]
    found = [row for row in found if row[0] or not arguments.planted_only]
    freq_hz, gain_db, seen = (np.array(column) for column in zip(*found, strict=True))
    np.savez(arguments.folder / f"{arguments.write or arguments.purpose}.npz", freq_hz=freq_hz, gain_db=gain_db, seen=seen)
    print(f"{arguments.purpose}: {len(freq_hz)} versions of {len(stems)} stems")


if __name__ == "__main__":
    main()
