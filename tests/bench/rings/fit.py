"""Fit the network that judges places on what `gather` wrote for ``fitted``, and its certainty on ``chosen``; numpy only.

Run ``OPENBLAS_NUM_THREADS=1 python tests/bench/rings/fit.py --folder DIR``; on one machine it gives the same file to the bit.

Conventions
-----------
The answers of all points and a fixed zero for "no ring" go through one softmax; the loss is the negative logarithm of the
share that falls on the planted ring (a bell curve of 18 cents about it), or on "no ring" for a stem without one. What the network
calls certain is then set right by two numbers (Platt: a logistic curve over the logarithm of its odds), on packages that it was
not fitted to, at the base rate that half of all stems ring.
"""

from __future__ import annotations

import argparse
from importlib import resources
from pathlib import Path

import numpy as np
from scipy import optimize

from stemwright.dsp.rings.curves import THIN
from stemwright.dsp.rings.grid import LOWEST_POINT_HZ
from stemwright.dsp.rings.judge import Judge, log_odds_of, peaks_of
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE

LAYERS, TAPS, WIDTH = 5, 7, 24
BATCH, STEPPED, DROPPED, NEAR_CENTS, CLEAN_WEIGHS = 16, 4e-3, 0.1, 18.0, 4.0
BASE_RATE = 0.5
Arrays = list[np.ndarray]


def start(rng: np.random.Generator, inputs: int) -> Arrays:
    """Return weights ``(taps x inputs, outputs)`` and offsets of every layer, then those of the sum at the end."""
    out: Arrays = []
    for number in range(LAYERS):
        size = TAPS * (WIDTH if number else inputs)
        out += [rng.normal(0, (2 / size) ** 0.5 * (0.5 if number else 1), (size, WIDTH)), np.zeros(WIDTH)]
    return [a.astype(np.float32) for a in [*out, rng.normal(0, 0.05, (WIDTH * LAYERS, 1)), np.full(1, -8.0)]]


def columns(values: np.ndarray, apart: int) -> np.ndarray:
    """Return the seven taps of every point side by side; beyond the ends the last value goes on."""
    reach = apart * (TAPS // 2)
    padded = np.pad(values, ((0, 0), (reach, reach), (0, 0)), mode="edge")
    return np.concatenate([padded[:, t * apart : t * apart + values.shape[1]] for t in range(TAPS)], axis=2)


def back(change: np.ndarray, apart: int, width: int) -> np.ndarray:
    """Return what `columns` hands back to the values (what lies beyond the ends is left out)."""
    points, out = change.shape[1], np.zeros((*change.shape[:2], width), np.float32)
    for tap in range(TAPS):
        shift = (tap - TAPS // 2) * apart
        low, high = max(0, -shift), min(points, points - shift)
        out[:, low + shift : high + shift] += change[:, low:high, tap * width : (tap + 1) * width]
    return out


def learn(
    weights: Arrays, seen: np.ndarray, near: np.ndarray, weighs: np.ndarray, rng: np.random.Generator
) -> tuple[float, Arrays]:
    """Return a batch's loss and its gradient; ``near`` is zero all over where there is no ring."""
    values, kept, outputs = seen, [], []
    for n in range(LAYERS):
        taps = columns(values, 2**n)
        new = np.maximum(taps @ weights[2 * n] + weights[2 * n + 1], 0)
        keep = ((rng.random((len(seen), 1, WIDTH)) > DROPPED) / (1 - DROPPED)).astype(np.float32)
        values = (new + values if n else new) * keep
        kept.append((taps, new > 0, keep))
        outputs.append(values)
    points = sum(outputs[n] @ weights[-2][n * WIDTH : (n + 1) * WIDTH] for n in range(LAYERS))[..., 0] + weights[-1]
    top = np.maximum(points.max(1, keepdims=True), 0)
    odds, none = np.exp(points - top), np.exp(-top)
    total = odds.sum(1, keepdims=True) + none
    at_ring = odds * near
    has = near.any(1, keepdims=True)
    right = np.where(has, at_ring.sum(1, keepdims=True) + 1e-12 * total, none)
    loss = float((weighs * np.log(total / right)[:, 0]).mean())
    pull = odds / total - np.where(has, at_ring / right, 0)
    pull = (pull * weighs[:, np.newaxis] / len(seen)).astype(np.float32)[..., np.newaxis]
    found: Arrays = [np.zeros(0)] * len(weights)
    found[-1] = pull.sum((0, 1))
    found[-2] = np.concatenate([np.einsum("bpw,bp->w", o, pull[..., 0]) for o in outputs])[:, np.newaxis]
    onward = np.zeros_like(outputs[0])
    for n in reversed(range(LAYERS)):
        taps, on, keep = kept[n]
        onward = (onward + pull * weights[-2][n * WIDTH : (n + 1) * WIDTH, 0]) * keep
        inner = onward * on
        flat = inner.reshape(-1, WIDTH)
        found[2 * n], found[2 * n + 1] = taps.reshape(len(flat), -1).T @ flat, flat.sum(0)
        if n:
            onward = onward + back(inner @ weights[2 * n].T, 2**n, WIDTH)
    return loss, found


def fit(seen: np.ndarray, freq_hz: np.ndarray, rounds: int, seed: int) -> Arrays:
    """Return fitted weights (Adam, decoupled decay, one rise and fall of the step)."""
    rng = np.random.default_rng(seed)
    weights = start(rng, seen.shape[2])
    first, second = [np.zeros_like(w) for w in weights], [np.zeros_like(w) for w in weights]
    cents = 1200 * np.log2(points_hz(seen.shape[1]) / np.maximum(freq_hz[:, np.newaxis], 1.0))
    near = np.exp(-((cents / NEAR_CENTS) ** 2) / 2) * (freq_hz[:, np.newaxis] > 0)
    near = np.where(near > 1e-6, near, 0).astype(np.float32)
    weighs = np.where(freq_hz > 0, 1.0, CLEAN_WEIGHS)
    each, step = len(seen) // BATCH, 0
    for number in range(rounds):
        order, total = rng.permutation(len(seen)), 0.0
        for at in range(0, each * BATCH, BATCH):
            chosen = order[at : at + BATCH]
            loss, change = learn(weights, seen[chosen].astype(np.float32), near[chosen], weighs[chosen], rng)
            step, total = step + 1, total + loss
            done = step / (rounds * each)
            rate = STEPPED * (done / 0.1 if done < 0.1 else 0.5 * (1 + np.cos(np.pi * (done - 0.1) / 0.9)) + 0.01)
            size = min(1.0, 1.0 / max(1e-9, float(np.sqrt(sum((c.astype(float) ** 2).sum() for c in change)))))
            for i, c in enumerate(change):
                first[i] = 0.9 * first[i] + 0.1 * size * c
                second[i] = 0.999 * second[i] + 0.001 * (size * c) ** 2
                move = first[i] / (1 - 0.9**step) / (np.sqrt(second[i] / (1 - 0.999**step)) + 1e-8)
                weights[i] = (weights[i] - rate * (move + 2e-3 * weights[i])).astype(np.float32)
        print(f"round {number + 1} of {rounds}: loss {total / each:.3f}", flush=True)
    return weights


def points_hz(count: int) -> np.ndarray:
    """Return the frequencies of the points that the network judges."""
    return LOWEST_POINT_HZ * 2 ** ((np.arange(count) * THIN + (THIN - 1) / 2) / POINTS_PER_OCTAVE)


def arrays(weights: Arrays, number: int) -> dict[str, np.ndarray]:
    """Return weights and offsets as the finder reads them."""
    out = {f"{number}.last": weights[-2][:, 0], f"{number}.offset": weights[-1][0]}
    for n in range(LAYERS):
        out |= {
            f"{number}.weights.{n}": weights[2 * n].reshape(TAPS, -1, WIDTH),
            f"{number}.offsets.{n}": weights[2 * n + 1],
        }
    return out


def judge_of(weights: Arrays) -> Judge:
    """Return the network as the finder uses it."""
    layers = tuple((weights[2 * n].reshape(TAPS, -1, WIDTH), weights[2 * n + 1]) for n in range(LAYERS))
    return Judge(layers, weights[-2][:, 0], float(weights[-1][0]))


def calibrated(judges: list[Judge], seen: np.ndarray, freq_hz: np.ndarray) -> tuple[float, float]:
    """Return slope and shift of the logarithm of the odds, from the first two candidates of every version."""
    called, right, weighs = [], [], []
    share = float(np.mean(freq_hz > 0))
    for row, hz in zip(seen, freq_hz, strict=True):
        opinions = np.mean([log_odds_of(row.astype(np.float32), judge) for judge in judges], axis=0)
        for odds, point in list(peaks_of(opinions))[:2]:
            found_hz = LOWEST_POINT_HZ * 2 ** (point / POINTS_PER_OCTAVE)
            called.append(np.log(odds))
            right.append(hz > 0 and abs(np.log2(found_hz / hz)) < 1 / 24)
            weighs.append(BASE_RATE / share if hz > 0 else (1 - BASE_RATE) / (1 - share))
    x, y, w = np.array(called), np.array(right, float), np.array(weighs)
    found = optimize.minimize(
        lambda v: float((w * (np.logaddexp(0, v[0] * x + v[1]) - y * (v[0] * x + v[1]))).sum()),
        [1.0, 0.0],
        method="Nelder-Mead",
    )
    return float(found.x[0]), float(found.x[1])


def main() -> None:
    """Fit, calibrate, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folder", type=Path, required=True)
    parser.add_argument("--rounds", type=int, default=10)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1])
    parser.add_argument("--write", type=Path, default=Path(str(resources.files("stemwright.dsp.rings"))) / "judges.npz")
    arguments = parser.parse_args()
    files = [np.load(file) for file in sorted(arguments.folder.glob("fitted*.npz"))]
    seen, freq_hz = (np.concatenate([file[name] for file in files]) for name in ("seen", "freq_hz"))
    every = [fit(seen, freq_hz, arguments.rounds, seed) for seed in arguments.seeds]
    other = np.load(arguments.folder / "chosen.npz")
    slope, shift = calibrated([judge_of(w) for w in every], other["seen"], other["freq_hz"])
    found: dict[str, np.ndarray] = {"judges": np.array(len(every)), "certainty": np.array([slope, shift])}
    for number, weights in enumerate(every):
        found |= arrays(weights, number)
    np.savez(arguments.write, **found)
    print(f"wrote {arguments.write}: {arguments.write.stat().st_size} bytes; slope {slope:.3f}, shift {shift:.3f}")


if __name__ == "__main__":
    main()
