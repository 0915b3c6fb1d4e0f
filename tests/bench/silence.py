"""What silence costs: the time of sound that stops, pauses or fades, over the time of sound that goes on, for every stage.

.venv/bin/python tests/bench/silence.py            # the compiled kernels, where they are there
STEMWRIGHT_PURE=1 .venv/bin/python tests/bench/silence.py
"""

from __future__ import annotations

import statistics
import time

import numpy as np
from scipy.signal import butter

from stemwright import native
from stemwright.dsp.cascade import Cascade
from stemwright.dsp.dither import Quantiser
from stemwright.dsp.dynamics import Compressor, CompressorSettings
from stemwright.dsp.loudness import LevelMeter
from stemwright.dsp.rings import RingFinder
from stemwright.dsp.sections import design

RATE_HZ, SECONDS, BLOCK, ROUNDS = 48_000, 30, 65_536, 5
SECTIONS = np.concatenate(
    [
        butter(2, 24, "hp", fs=RATE_HZ, output="sos"),
        design("bell", {"freq_hz": 320.0, "gain_db": -2.0, "q": 1.0}, RATE_HZ),
        design("high_shelf", {"freq_hz": 20_000.0, "gain_db": 3.0, "q": 0.7071}, RATE_HZ),
    ]
)
COMPRESSOR = CompressorSettings(threshold_db=-20.0, ratio=4.0, attack_ms=5.0, release_ms=50.0)
STAGES = {
    "sections": lambda: Cascade(SECTIONS, 2).process,
    "meter": lambda: LevelMeter(RATE_HZ, 2).feed,
    "compressor": lambda: Compressor(COMPRESSOR, RATE_HZ).process,
    "dither": lambda: Quantiser(24, 1).process,
    "rings": lambda: RingFinder(RATE_HZ, 2).feed,
}


def sounds() -> dict[str, np.ndarray]:
    """Return noise that goes on, stops after a second, pauses every two seconds, fades."""
    on = np.random.default_rng(0).standard_normal((SECONDS * RATE_HZ, 2)) * 0.1
    stops, pauses = on.copy(), on.copy()
    stops[RATE_HZ:] = 0.0
    for second in range(2, SECONDS, 4):
        pauses[second * RATE_HZ : (second + 2) * RATE_HZ] = 0.0
    fades = on * np.exp(-np.arange(len(on)) / (0.03 * RATE_HZ))[:, np.newaxis]
    return {"goes on": on, "stops": stops, "pauses": pauses, "fades": fades}


def seconds(make, audio: np.ndarray) -> float:
    """Return how long a stage takes for a sound."""
    stage, start = make(), time.perf_counter()
    for at in range(0, len(audio), BLOCK):
        stage(audio[at : at + BLOCK])
    return time.perf_counter() - start


def main() -> None:
    """Print the ratios, medians of rounds in which all are taken in turn."""
    heard = sounds()
    print(f"kernels: {native.NAME}; time over that of sound that goes on")
    print(f"{'':12}" + "".join(f"{name:>9}" for name in list(heard)[1:]))
    for stage, make in STAGES.items():
        rounds = [{name: seconds(make, audio) for name, audio in heard.items()} for _ in range(ROUNDS)]
        ratios = [statistics.median(r[name] / r["goes on"] for r in rounds) for name in list(heard)[1:]]
        print(f"{stage:12}" + "".join(f"{ratio:9.2f}" for ratio in ratios))


if __name__ == "__main__":
    main()
