"""Fit the networks that judge places on what `gather` wrote for ``fitted``, and their certainty on ``chosen``.

Run ``pip install jax==0.10.2`` and ``OPENBLAS_NUM_THREADS=1 python tests/bench/rings/fit.py --folder DIR``; on one machine with
so many processors (two, for the file that ships) it gives the same file to the bit. JAX is wanted here only, for its derivatives:
the finder reads the file with numpy.

Conventions
-----------
The answers of all points and a fixed zero for "no ring" go through one softmax; the loss is the negative logarithm of the
share that falls on the planted ring (a bell curve of 18 cents about it), or on "no ring" for a stem without one. What the network
calls certain is then set right by two numbers (Platt: a logistic curve over the logarithm of its odds), on packages that it was
not fitted to, at the base rate that half of all stems ring.
"""

from __future__ import annotations

import argparse
import os
from importlib import resources
from pathlib import Path

os.environ["XLA_FLAGS"] = "--xla_cpu_multi_thread_eigen=false intra_op_parallelism_threads=1"

import jax
import numpy as np
from jax import numpy as jnp
from scipy import optimize

from stemwright.dsp.rings.curves import THIN
from stemwright.dsp.rings.grid import LOWEST_POINT_HZ
from stemwright.dsp.rings.judge import HARMONICS, Harmonics, Judge, Layer, log_odds_of, peaks_of
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE

LAYERS, TAPS, WIDTH = 6, 7, 32
WHOLE_IN = (1, 3)  # the layers that see the whole spectrum as well
NARROW, MIXED = 8, 16
STEPS, BATCH, STEPPED, DROPPED, NEAR_CENTS, CLEAN_WEIGHS = 9000, 16, 3e-3, 0.03, 18.0, 4.0
BASE_RATE = 0.5
Arrays = dict[str, jax.Array]


def start(rng: np.random.Generator, inputs: int) -> Arrays:
    """Return the network before it has learned anything."""
    out: dict[str, np.ndarray] = {}
    for n in range(LAYERS):
        size = TAPS * (WIDTH if n else inputs)
        out[f"weights.{n}"] = rng.normal(0, (2 / size) ** 0.5 * (0.5 if n else 1), (size, WIDTH))
        out[f"offsets.{n}"] = np.zeros(WIDTH)
        if n in WHOLE_IN:
            out[f"whole.{n}"] = rng.normal(0, 0.3 / WIDTH**0.5, (2 * WIDTH, WIDTH))
    out |= {"last": rng.normal(0, 0.05, (WIDTH * LAYERS, 1)), "offset": np.full(1, -8.0)}
    out["narrow"] = rng.normal(0, 0.1, (WIDTH, NARROW))
    out["mixed"] = rng.normal(0, 0.1, (NARROW * (len(HARMONICS) + 1), MIXED))
    out |= {"mixed_offsets": np.zeros(MIXED), "harmonic": np.zeros((MIXED, 1))}
    return {name: jnp.asarray(array, jnp.float32) for name, array in out.items()}


def moved(values: jax.Array, points: int) -> jax.Array:
    """Return what lies so many points higher (lower, if negative); beyond the ends there is nothing."""
    if points > 0:
        return jnp.pad(values[:, points:], ((0, 0), (0, points), (0, 0)))
    return jnp.pad(values[:, :points], ((0, 0), (-points, 0), (0, 0)))


def answers(net: Arrays, seen: jax.Array, key: jax.Array) -> jax.Array:
    """Return the log odds at every point, shape (stems, points), as `log_odds_of` does, some of each layer dropped."""
    values, total = seen, 0.0
    for n in range(LAYERS):
        apart = 2**n
        new = jax.lax.conv_general_dilated(
            jnp.pad(values, ((0, 0), (TAPS // 2 * apart, TAPS // 2 * apart), (0, 0)), mode="edge"),
            net[f"weights.{n}"].reshape(TAPS, -1, WIDTH),
            (1,),
            "VALID",
            rhs_dilation=(apart,),
            dimension_numbers=("NWC", "WIO", "NWC"),
        )
        new = new + net[f"offsets.{n}"]
        if n in WHOLE_IN:
            new = new + (jnp.concatenate([values.mean(1), values.max(1)], -1) / 2 @ net[f"whole.{n}"])[:, None]
        new = jax.nn.relu(new)
        values = new + values if n else new
        key, mine = jax.random.split(key)
        values = values * (jax.random.bernoulli(mine, 1 - DROPPED, (len(values), 1, WIDTH)) / (1 - DROPPED))
        total = total + values @ net["last"][n * WIDTH : (n + 1) * WIDTH]
    narrow = values @ net["narrow"]
    beside = jnp.concatenate([narrow, *(moved(narrow, points) for points in HARMONICS)], -1)
    total = total + jax.nn.relu(beside @ net["mixed"] + net["mixed_offsets"]) @ net["harmonic"]
    return total[..., 0] + net["offset"]


def loss_of(net: Arrays, batch: tuple[jax.Array, ...], key: jax.Array) -> jax.Array:
    """Return the mean loss of a batch: what is seen, where the ring is near, whether there is one, and its weight."""
    seen, near, has, weighs = batch
    points = answers(net, seen, key)
    top = jnp.maximum(points.max(1, keepdims=True), 0)
    odds, none = jnp.exp(points - top), jnp.exp(-top)[:, 0]
    total = odds.sum(1) + none
    right = jnp.where(has, (odds * near).sum(1) + 1e-12 * total, none)
    return (weighs * jnp.log(total / right)).mean()


@jax.jit
def step(net: Arrays, first: Arrays, second: Arrays, number: int, batch: tuple, key: jax.Array, rate: float) -> tuple:
    """Take one step of Adam with decoupled decay, the gradient no longer than one."""
    loss, change = jax.value_and_grad(loss_of)(net, batch, key)
    length = jnp.sqrt(sum((c**2).sum() for c in change.values()))
    change = {k: c * jnp.minimum(1, 1 / jnp.maximum(length, 1e-9)) for k, c in change.items()}
    first = {k: 0.9 * first[k] + 0.1 * change[k] for k in net}
    second = {k: 0.999 * second[k] + 0.001 * change[k] ** 2 for k in net}
    at = {k: first[k] / (1 - 0.9**number) / (jnp.sqrt(second[k] / (1 - 0.999**number)) + 1e-8) for k in net}
    return {k: net[k] - rate * (at[k] + 2e-3 * net[k]) for k in net}, first, second, loss


def fit(seen: np.ndarray, freq_hz: np.ndarray, seed: int) -> dict[str, np.ndarray]:
    """Return the fitted network (one rise and fall of the step)."""
    rng, key = np.random.default_rng(seed), jax.random.PRNGKey(seed)
    net = start(rng, seen.shape[2])
    first = second = {name: jnp.zeros_like(array) for name, array in net.items()}
    cents = 1200 * np.log2(points_hz(seen.shape[1]) / np.maximum(freq_hz[:, np.newaxis], 1.0))
    near = np.exp(-((cents / NEAR_CENTS) ** 2) / 2) * (freq_hz[:, np.newaxis] > 0)
    near = np.where(near > 1e-6, near, 0).astype(np.float32)
    has, weighs = freq_hz > 0, np.where(freq_hz > 0, 1.0, CLEAN_WEIGHS).astype(np.float32)
    order, at, total = rng.permutation(len(seen)), 0, 0.0
    for number in range(1, STEPS + 1):
        if at + BATCH > len(order):
            order, at = rng.permutation(len(seen)), 0
        chosen = np.sort(order[at : at + BATCH])
        at += BATCH
        done = number / STEPS
        rate = STEPPED * (done / 0.1 if done < 0.1 else 0.5 * (1 + np.cos(np.pi * (done - 0.1) / 0.9)) + 0.01)
        key, mine = jax.random.split(key)
        batch = (seen[chosen].astype(np.float32), near[chosen], has[chosen], weighs[chosen])
        net, first, second, loss = step(net, first, second, number, batch, mine, rate)
        total += float(loss)
        if number % 500 == 0:
            print(f"step {number} of {STEPS}: loss {total / 500:.3f}", flush=True)
            total = 0.0
    return {name: np.array(array) for name, array in net.items()}


def points_hz(count: int) -> np.ndarray:
    """Return the frequencies of the points that the network judges."""
    return LOWEST_POINT_HZ * 2 ** ((np.arange(count) * THIN + (THIN - 1) / 2) / POINTS_PER_OCTAVE)


def judge_of(net: dict[str, np.ndarray]) -> Judge:
    """Return the network as the finder uses it."""
    layers = (
        Layer(net[f"weights.{n}"].reshape(TAPS, -1, WIDTH), net[f"offsets.{n}"], net.get(f"whole.{n}"))
        for n in range(LAYERS)
    )
    harmonics = Harmonics(net["narrow"], net["mixed"], net["mixed_offsets"], net["harmonic"][:, 0])
    return Judge(tuple(layers), net["last"][:, 0], float(net["offset"][0]), harmonics)


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
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--write", type=Path, default=Path(str(resources.files("stemwright.dsp.rings"))) / "judges.npz")
    arguments = parser.parse_args()
    files = [np.load(file) for file in sorted(arguments.folder.glob("fitted*.npz"))]
    seen, freq_hz = (np.concatenate([file[name] for file in files]) for name in ("seen", "freq_hz"))
    every = [fit(seen, freq_hz, seed) for seed in arguments.seeds]
    other = np.load(arguments.folder / "chosen.npz")
    slope, shift = calibrated([judge_of(net) for net in every], other["seen"], other["freq_hz"])
    found: dict[str, np.ndarray] = {"judges": np.array(len(every)), "certainty": np.array([slope, shift])}
    for number, net in enumerate(every):
        found |= {f"{number}.{name}": array for name, array in net.items()}
    np.savez(arguments.write, **found)
    print(f"wrote {arguments.write}: {arguments.write.stat().st_size} bytes; slope {slope:.3f}, shift {shift:.3f}")


if __name__ == "__main__":
    main()
