"""Fit the networks that judge places, on the tuning side of the material only, and write them where the finder reads them.

Run ``python tests/bench/rings/fit.py`` from the project's folder; it takes an hour or two on two processors. Needs PyTorch,
which the product does not. The shipped networks were fitted in steps, the first one with three rounds more on extra lines,
phrases and beats: another run gives networks of the same kind, not the same numbers.

Conventions
-----------
The answers of all points and a fixed zero for "no ring" go through one softmax; the loss is the negative logarithm of the
share that falls on the planted ring (a bell curve of 12 cents about it), or on "no ring" for a stem without one.
"""

from __future__ import annotations

import argparse
from concurrent.futures import ProcessPoolExecutor
from importlib import resources
from pathlib import Path

import numpy as np
import torch  # type: ignore[import-not-found]
from material import RATE_HZ, missing, stems
from planting import plant_one
from scipy import signal
from torch import nn
from torch.nn import functional

from stemwright.dsp.rings.curves import THIN, curves_of
from stemwright.dsp.rings.grid import LOWEST_POINT_HZ
from stemwright.dsp.rings.judge import looks
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE
from stemwright.dsp.rings.spectra import FrameKeeper

LAYERS, TAPS, WIDTH = 5, 7, 32
BATCH, STEPPED, DROPPED, NEAR_CENTS = 32, 3e-3, 0.1, 12.0
BANDS_HZ = ((700.0, 8000.0), (700.0, 8000.0), (700.0, 8000.0), (350.0, 12000.0))


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
    """Return what is seen of every version of every stem, shape (versions, points, 19), and the rings' frequencies or 0."""
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


class Network(nn.Module):
    """`stemwright.dsp.rings.judge.log_odds_of`, with some outputs dropped while it is fitted."""

    def __init__(self, inputs: int) -> None:
        super().__init__()
        self.layers = nn.ModuleList()
        for number in range(LAYERS):
            layer = nn.Conv1d(inputs, WIDTH, TAPS, dilation=2**number)
            nn.init.normal_(layer.weight, 0, (2 / (TAPS * inputs)) ** 0.5)
            nn.init.zeros_(layer.bias)
            self.layers.append(layer)
            inputs = WIDTH
        self.last = nn.Conv1d(WIDTH * LAYERS, 1, 1)
        nn.init.normal_(self.last.weight, 0, 0.05)
        nn.init.constant_(self.last.bias, -8.0)

    def forward(self, seen: torch.Tensor) -> torch.Tensor:
        """Return the logarithm of the odds at every point, shape (versions, points), of shape (versions, inputs, points)."""
        values, outputs = seen, []
        for number, layer in enumerate(self.layers):
            reach = 2**number * (TAPS // 2)
            new = functional.relu(layer(functional.pad(values, (reach, reach), mode="replicate")))
            values = values + new if number else new
            if self.training:
                values = values * (torch.rand(len(values), WIDTH, 1) > DROPPED) / (1 - DROPPED)
            outputs.append(values)
        return self.last(torch.cat(outputs, 1))[:, 0]

    def arrays(self, number: int) -> dict[str, np.ndarray]:
        """Return weights and offsets as the finder reads them, as network of that number."""
        found = {f"{number}.last": self.last.weight[0, :, 0], f"{number}.offset": self.last.bias[0]}
        for at, layer in enumerate(self.layers):
            found |= {f"{number}.weights.{at}": layer.weight.permute(2, 1, 0), f"{number}.offsets.{at}": layer.bias}
        return {name: values.detach().numpy() for name, values in found.items()}


def loss(points: torch.Tensor, near: torch.Tensor, planted: torch.Tensor) -> torch.Tensor:
    """Return the mean loss of a batch."""
    everything = torch.logaddexp(torch.logsumexp(points, 1), torch.zeros(()))
    ring = torch.logsumexp(points + torch.log(near + 1e-9), 1)
    return torch.where(planted, everything - ring, everything).mean()


def fit(seen: np.ndarray, planted_hz: np.ndarray, rounds: int, seed: int) -> Network:
    """Return a fitted network; other seeds give other networks, whose mean is better than each."""
    torch.manual_seed(seed)
    each_round, rng, network = len(seen) // BATCH, np.random.default_rng(seed), Network(seen.shape[2])
    optimiser = torch.optim.AdamW(network.parameters(), lr=STEPPED, weight_decay=1e-3)
    schedule = torch.optim.lr_scheduler.OneCycleLR(
        optimiser, STEPPED, total_steps=each_round * rounds + 1, pct_start=0.1, div_factor=30, final_div_factor=10
    )
    points_hz = LOWEST_POINT_HZ * 2 ** ((np.arange(seen.shape[1]) * THIN + (THIN - 1) / 2) / POINTS_PER_OCTAVE)
    for number in range(rounds):
        order, total = rng.permutation(len(seen)), 0.0
        for at in range(0, each_round * BATCH, BATCH):
            chosen = np.sort(order[at : at + BATCH])
            cents = 1200 * np.log2(points_hz / np.maximum(planted_hz[chosen, np.newaxis], 1.0))
            near = torch.from_numpy(np.exp(-((cents / NEAR_CENTS) ** 2) / 2).astype(np.float32))
            batch = torch.from_numpy(seen[chosen].astype(np.float32).transpose(0, 2, 1).copy())
            optimiser.zero_grad(set_to_none=True)
            value = loss(network(batch), near, torch.from_numpy(planted_hz[chosen] > 0))
            value.backward()
            nn.utils.clip_grad_norm_(network.parameters(), 1.0)
            optimiser.step()
            schedule.step()
            total += value.item()
        print(f"round {number + 1} of {rounds}: loss {total / each_round:.3f}", flush=True)
    return network


def main() -> None:
    """Gather, fit, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--per-kind", type=int, default=40)
    parser.add_argument("--seeds", type=int, nargs="+", default=list(range(101, 117)))
    parser.add_argument("--rounds", type=int, nargs="+", default=[8, 7], help="for each network")
    parser.add_argument("--write", type=Path, default=Path(str(resources.files("stemwright.dsp.rings"))) / "judges.npz")
    arguments = parser.parse_args()
    if missing():
        raise SystemExit("cannot fit without: " + "; ".join(missing()))
    with ProcessPoolExecutor(2) as executor:
        parts = list(executor.map(gather, arguments.seeds, [arguments.per_kind] * len(arguments.seeds)))
    seen, planted_hz = (np.concatenate(each) for each in zip(*parts, strict=True))
    arrays = {"judges": np.array(len(arguments.rounds))}
    for number, rounds in enumerate(arguments.rounds):
        arrays |= fit(seen, planted_hz, rounds, 5 * number).arrays(number)
    np.savez(arguments.write, **arrays)
    print(f"wrote {arguments.write}: {arguments.write.stat().st_size} bytes, fitted on {len(seen)} versions")


if __name__ == "__main__":
    main()
