"""Fit the table by which places are judged, on the tuning side of the material only, and write it where the finder reads it.

Run ``python tests/bench/rings/fit.py`` from the project's folder. Needs scikit-learn, which the product does not.
"""

from __future__ import annotations

import argparse
import json
from importlib import resources
from pathlib import Path

import numpy as np
from material import RATE_HZ, Stem, missing, stems
from planting import plant_one
from sklearn.ensemble import HistGradientBoostingClassifier  # type: ignore[import-not-found]

from stemwright.dsp.rings.curves import curves_of
from stemwright.dsp.rings.evidence import numbers_at, places_of, scores_of
from stemwright.dsp.rings.spectra import FrameKeeper

TREES, QUESTIONS = 200, 11


def rows_of(audio: np.ndarray) -> list[tuple[float, dict[str, float]]]:
    """Return frequency and numbers of every place that would be judged."""
    keeper = FrameKeeper(RATE_HZ, audio.shape[1])
    keeper.feed(audio)
    curves = curves_of(keeper.spectra())
    if curves is None:
        return []
    scores = scores_of(curves)
    inside = (curves.freq_hz > 100) & (curves.freq_hz < 18000)
    return [(float(curves.freq_hz[p]), numbers_at(p, curves, scores)) for p in places_of(scores, inside)]


def lone_tones(rng: np.random.Generator, count: int) -> list[Stem]:
    """One to three steady sines over faint noise: nothing but notes."""
    made = []
    for _ in range(count):
        t = np.arange(int(rng.uniform(1, 5) * RATE_HZ)) / RATE_HZ
        tones = [np.sin(2 * np.pi * 150 * 2 ** rng.uniform(0, 5.5) * t) for _ in range(int(rng.integers(1, 4)))]
        faint = rng.normal(size=len(t)) * 10 ** (rng.uniform(-110, -50) / 20)
        made.append(Stem("tones", "tones", tonal=True, audio=(np.sum(tones, axis=0) * 0.2 + faint)[:, np.newaxis]))
    return made


def gather(per_kind: int, seeds: list[int]) -> tuple[np.ndarray, np.ndarray, list[str]]:
    """Return numbers, shape (places, numbers), whether each place is the planted ring, and the numbers' names."""
    numbers, truth, names = [], [], []
    for seed in seeds:
        rng = np.random.default_rng(seed + 7)
        for stem in [*stems("tuning", seed, per_kind), *lone_tones(rng, per_kind // 2)]:
            versions: list[tuple[float | None, np.ndarray]] = [(None, stem.audio)]
            for low_hz, high_hz in ((700.0, 8000.0), (700.0, 8000.0), (350.0, 12000.0)) if stem.kind != "tones" else ():
                planted = plant_one(stem.audio, RATE_HZ, rng, low_hz, high_hz)
                versions += [(planted[0].freq_hz, planted[1])] if planted else []
            for freq_hz, audio in versions:
                for at_hz, row in rows_of(audio):
                    names = list(row)
                    numbers.append(list(row.values()))
                    truth.append(freq_hz is not None and abs(np.log2(at_hz / freq_hz)) < 1 / 24)
        print(f"seed {seed}: {len(truth)} places, {sum(truth)} of them planted", flush=True)
    return np.array(numbers), np.array(truth), names


def table_of(model: HistGradientBoostingClassifier, names: list[str]) -> dict[str, object]:
    """Return the fitted trees as plain lists: each node [number, at most, if so, if not] or [points]."""
    trees = []
    for (tree,) in model._predictors:
        nodes = []
        for node in tree.nodes:
            if node["is_leaf"]:
                nodes.append([round(float(node["value"]), 5)])
            else:
                limit = float(f"{node['num_threshold']:.8g}")
                nodes.append([int(node["feature_idx"]), limit, int(node["left"]), int(node["right"])])
        trees.append(nodes)
    return {"numbers": names, "start": round(float(model._baseline_prediction.ravel()[0]), 5), "trees": trees}


def main() -> None:
    """Gather, fit, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--per-kind", type=int, default=40)
    parser.add_argument("--seeds", type=int, nargs="+", default=[11, 12, 13])
    arguments = parser.parse_args()
    if missing():
        raise SystemExit("cannot fit without: " + "; ".join(missing()))
    numbers, truth, names = gather(arguments.per_kind, arguments.seeds)
    model = HistGradientBoostingClassifier(
        max_iter=TREES, learning_rate=0.05, max_leaf_nodes=QUESTIONS + 1, l2_regularization=5, max_features=0.4,
        random_state=1, early_stopping=False,
    ).fit(numbers, truth)  # fmt: skip
    table = table_of(model, names) | {
        "about": "Fitted by tests/bench/rings/fit.py on the tuning half of its material; see judge.py.",
        "fitted_on": {"places": len(truth), "planted": int(truth.sum()), "seeds": arguments.seeds},
    }
    target = Path(str(resources.files("stemwright.dsp.rings"))) / "judge.json"
    target.write_text(json.dumps(table, separators=(",", ":"), sort_keys=True).replace("]],[[", "]],\n[[") + "\n")
    print(f"wrote {target}: {target.stat().st_size} bytes")


if __name__ == "__main__":
    main()
