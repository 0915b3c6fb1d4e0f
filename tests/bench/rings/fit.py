"""Fit the networks that judge places, on the tuning side of the material only, and write it where the finder reads it.

Run ``python tests/bench/rings/fit.py`` from the project's folder; it takes about an hour on two processors. Needs jax and
optax, which the product does not.

Conventions
-----------
The answers of all points and a fixed zero for "no ring" go through one softmax; the loss is the negative logarithm of the
share that falls on the planted ring (a bell curve of 12 cents about it), or on "no ring" for a stem without one.
"""

from __future__ import annotations

import argparse
import json
from concurrent.futures import ProcessPoolExecutor
from importlib import resources
from pathlib import Path

import jax  # type: ignore[import-not-found]
import jax.numpy as jnp  # type: ignore[import-not-found]
import numpy as np
import optax  # type: ignore[import-not-found]
from material import RATE_HZ, missing, stems
from planting import plant_one
from scipy import signal

from stemwright.dsp.rings.curves import LOWEST_POINT_HZ, curves_of
from stemwright.dsp.rings.judge import THIN, looks
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE
from stemwright.dsp.rings.spectra import FrameKeeper

LAYERS, TAPS, WIDTH = 5, 7, 16
BATCH, STEPPED, DROPPED, NEAR_CENTS = 32, 3e-3, 0.1, 12.0
BANDS_HZ = ((700.0, 8000.0), (700.0, 8000.0), (700.0, 8000.0), (350.0, 12000.0))
Weights = list[tuple[jax.Array, jax.Array]]


def seen_of(audio: np.ndarray) -> np.ndarray | None:
    """Return what the network would look at."""
    keeper = FrameKeeper(RATE_HZ, audio.shape[1])
    keeper.feed(audio)
    curves = curves_of(keeper.spectra())
    return None if curves is None or len(curves.local) < 3 else looks(curves).astype(np.float16)


def varied(audio: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Return a stem as it is, or faster or slower, or tilted: few recordings have to stand for many."""
    if rng.random() < 0.6:
        audio = signal.resample_poly(audio, 100, int(rng.integers(70, 140)), axis=0)
    if rng.random() < 0.3:
        audio = signal.lfilter([1, rng.uniform(-0.6, 0.6)], [1], audio, axis=0)
    return audio


def gather(seed: int, per_kind: int) -> tuple[np.ndarray, np.ndarray]:
    """Return what is seen of every version of every stem, shape (versions, points, 12), and the rings' frequencies or 0."""
    rng, variation = np.random.default_rng(seed + 7), np.random.default_rng(seed + 99)
    seen, planted_hz = [], []
    for stem in stems("tuning", seed, per_kind):
        audio = varied(stem.audio, variation)
        versions = [(0.0, audio)]
        for low_hz, high_hz in BANDS_HZ:
            planted = plant_one(audio, RATE_HZ, rng, low_hz, high_hz)
            versions += [(planted[0].freq_hz, planted[1])] if planted else []
        for freq_hz, version in versions:
            one = seen_of(version)
            if one is not None:
                seen.append(one)
                planted_hz.append(freq_hz)
    print(f"seed {seed}: {len(seen)} versions", flush=True)
    return np.stack(seen), np.array(planted_hz)


def start(key: jax.Array, inputs: int) -> Weights:
    """Return random weights."""
    weights = []
    for _ in range(LAYERS):
        key, own = jax.random.split(key)
        shape = (TAPS, inputs, WIDTH)
        weights.append((jax.random.normal(own, shape) * np.sqrt(2 / (TAPS * inputs)), jnp.zeros(WIDTH)))
        inputs = WIDTH
    return [*weights, (jax.random.normal(key, (WIDTH * LAYERS, 1)) * 0.05, jnp.full(1, -8.0))]


def answers(weights: Weights, seen: jax.Array, key: jax.Array) -> jax.Array:
    """Return the logarithm of the odds at every point: `stemwright.dsp.rings.judge.log_odds_of` with some outputs dropped."""
    values, outputs = seen.astype(jnp.float32), []
    for number, (taps, offsets) in enumerate(weights[:-1]):
        apart = 2**number
        reach = apart * (TAPS // 2)
        padded = jnp.pad(values, ((0, 0), (reach, reach), (0, 0)), mode="edge")
        new = sum(padded[:, tap * apart : tap * apart + values.shape[1]] @ taps[tap] for tap in range(TAPS))
        new = jax.nn.relu(new + offsets)
        values = values + new if number else new
        key, own = jax.random.split(key)
        values *= jax.random.bernoulli(own, 1 - DROPPED, (len(values), 1, WIDTH)) / (1 - DROPPED)
        outputs.append(values)
    return (jnp.concatenate(outputs, axis=-1) @ weights[-1][0] + weights[-1][1])[..., 0]


def loss(weights: Weights, seen: jax.Array, near: jax.Array, planted: jax.Array, key: jax.Array) -> jax.Array:
    """Return the mean loss of a batch."""
    points = answers(weights, seen, key)
    everything = jnp.logaddexp(jax.nn.logsumexp(points, axis=1), 0.0)
    ring = jax.nn.logsumexp(points + jnp.log(near + 1e-9), axis=1)
    return jnp.mean(jnp.where(planted, everything - ring, everything))


def fit(seen: np.ndarray, planted_hz: np.ndarray, rounds: int, seed: int) -> Weights:
    """Return fitted weights; other seeds give other networks, whose mean is better than each."""
    each_round = len(seen) // BATCH
    schedule = optax.warmup_cosine_decay_schedule(1e-4, STEPPED, 200, each_round * rounds, 1e-5)
    optimiser = optax.chain(optax.clip_by_global_norm(1.0), optax.adamw(schedule, weight_decay=1e-4))
    key, rng = jax.random.PRNGKey(seed), np.random.default_rng(seed)
    weights = start(key, seen.shape[2])
    state = optimiser.init(weights)

    @jax.jit
    def step(
        weights: Weights, state: object, batch: tuple[np.ndarray, ...], key: jax.Array
    ) -> tuple[Weights, object, float]:
        value, slope = jax.value_and_grad(loss)(weights, *batch, key)
        change, state = optimiser.update(slope, state, weights)
        return optax.apply_updates(weights, change), state, value

    points_hz = LOWEST_POINT_HZ * 2 ** ((np.arange(seen.shape[1]) * THIN + (THIN - 1) / 2) / POINTS_PER_OCTAVE)
    for number in range(rounds):
        order, total = rng.permutation(len(seen)), 0.0
        for at in range(0, each_round * BATCH, BATCH):
            chosen = np.sort(order[at : at + BATCH])
            cents = 1200 * np.log2(points_hz / np.maximum(planted_hz[chosen, np.newaxis], 1.0))
            near = np.exp(-((cents / NEAR_CENTS) ** 2) / 2).astype(np.float32)
            key, own = jax.random.split(key)
            weights, state, value = step(weights, state, (seen[chosen], near, planted_hz[chosen] > 0), own)
            total += float(value)
        print(f"round {number + 1} of {rounds}: loss {total / each_round:.3f}", flush=True)
    return weights


def rounded(values: jax.Array | list[object]) -> object:
    """Return numbers as lists, to five digits."""
    return [rounded(each) for each in values] if np.ndim(values) else float(f"{float(values):.5g}")


def main() -> None:
    """Gather, fit, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--per-kind", type=int, default=40)
    parser.add_argument("--seeds", type=int, nargs="+", default=list(range(101, 117)))
    parser.add_argument("--rounds", type=int, nargs="+", default=[12, 8], help="for each network")
    arguments = parser.parse_args()
    if missing():
        raise SystemExit("cannot fit without: " + "; ".join(missing()))
    with ProcessPoolExecutor(2) as executor:
        parts = list(executor.map(gather, arguments.seeds, [arguments.per_kind] * len(arguments.seeds)))
    seen, planted_hz = (np.concatenate(each) for each in zip(*parts, strict=True))
    judges = []
    for number, rounds in enumerate(arguments.rounds):
        *layers, (last, offset) = fit(seen, planted_hz, rounds, 5 * number)
        judges.append(
            {
                "layers": [{"weights": rounded(weights), "offsets": rounded(offsets)} for weights, offsets in layers],
                "weights": rounded(last[:, 0]),
                "offset": rounded(offset[0]),
            }
        )
    about = "Fitted by tests/bench/rings/fit.py on the tuning half of its material; see judge.py."
    table = {"about": about, "judges": judges}
    text = json.dumps(table, separators=(",", ":"), sort_keys=True).replace("]],[[", "]],\n[[").replace("},{", "},\n{")
    target = Path(str(resources.files("stemwright.dsp.rings"))) / "judge.json"
    target.write_text(text + "\n")
    print(f"wrote {target}: {target.stat().st_size} bytes, fitted on {len(seen)} versions")


if __name__ == "__main__":
    main()
