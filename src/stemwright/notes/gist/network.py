"""The network: from what it is shown of a note to how likely each stem is meant, and in which ways it is to change.

Conventions
-----------
Three blocks, each a look at the two items to each side, a look at all items by their likeness and distance, and a mixing of
what came of both; each adds to what was there. ``tests/bench/gist/fit.py`` fits it. Its answers are probabilities.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from importlib import resources
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from stemwright.notes.gist.effects import WAYS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stemwright.notes.gist.looks import Looks

Singles = NDArray[np.float32]
KINDS: Final = ("asks", "back", "elsewhere", "approval", "unclear")
_NORM: Final = 1e-5
_SIDE: Final = 2  # items to each side of a short look


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What the network makes of a note, as probabilities.

    ``ways`` that a stem is to change in each of `WAYS`, shape ``(stems, ways)``; ``meant`` that it is to change at all, and
    ``back`` that it is to go back or stay, shape ``(stems,)``; ``turned`` that an item asks nothing of a stem, more of its
    word of sound, or less, shape ``(stems, items + 1, 3)``; ``kinds`` of note, in the order of `KINDS`.
    """

    ways: Singles
    meant: Singles
    back: Singles
    turned: Singles
    kinds: Singles


@functools.cache
def weights() -> dict[str, Singles]:
    """Return the fitted numbers that are shipped with the program."""
    with resources.files(__package__).joinpath("network.npz").open("rb") as file, np.load(file, allow_pickle=False) as kept:
        return {name: np.asarray(kept[name], np.float32) for name in kept}


def answer(looks: Looks, numbers: Mapping[str, Singles] | None = None) -> Answer:
    """Ask the network.

    Parameters
    ----------
    looks : Looks
        Of at least one stem.
    numbers : mapping of str to np.ndarray, optional
        The fitted numbers; those shipped if not given.
    """
    own = weights() if numbers is None else numbers
    table = np.concatenate([own["emb.weight"], np.zeros((1, own["emb.weight"].shape[1]), np.float32)])
    shared = 0.5 * table[looks.words].sum(axis=1) + _linear(own, "com", looks.shared)
    seen = shared + looks.own @ own["per.weight"].T
    seen[:, 0] += 0.5 * table[looks.roles].sum(axis=1)
    blocks = max(int(name.split(".")[1]) for name in own if name.startswith("blocks.")) + 1
    for number in range(blocks):
        seen = _block(own, f"blocks.{number}.", seen)
    seen = _normal(own, "n", seen)
    whole = _linear(own, "out", np.concatenate([seen[:, 0], seen.max(axis=1)], axis=1))
    count = len(WAYS)
    each = np.asarray(1.0 / (1.0 + np.exp(-whole[:, : count + 2])), np.float32)
    return Answer(
        ways=each[:, :count],
        meant=each[:, count],
        back=each[:, count + 1],
        turned=_shares(_linear(own, "tok", seen)),
        kinds=_shares(whole[:, count + 2 :]).mean(axis=0),
    )


def _block(own: Mapping[str, Singles], name: str, seen: Singles) -> Singles:
    stems, items, width = seen.shape
    near = np.pad(_normal(own, f"{name}n1", seen), ((0, 0), (_SIDE, _SIDE), (0, 0)))
    taps = own[f"{name}conv.weight"][:, 0]
    short = sum(near[:, at : at + items] * taps[:, at] for at in range(2 * _SIDE + 1)) + own[f"{name}conv.bias"]
    seen = seen + _linear(own, f"{name}pw", _gelu(short))
    heads, places = own[f"{name}rel"].shape
    parts = _linear(own, f"{name}qkv", _normal(own, f"{name}n2", seen)).reshape(stems, items, 3, heads, width // heads)
    ask, key, value = parts.transpose(2, 0, 3, 1, 4)
    far = places // 2
    apart = np.clip(np.arange(items) - np.arange(items)[:, np.newaxis], -far, far) + far
    look = _shares(ask @ key.swapaxes(-1, -2) / np.float32(math.sqrt(width // heads)) + own[f"{name}rel"][:, apart])
    seen = seen + _linear(own, f"{name}o", (look @ value).swapaxes(1, 2).reshape(seen.shape))
    return seen + _linear(own, f"{name}f2", _gelu(_linear(own, f"{name}f1", _normal(own, f"{name}n3", seen))))


def _linear(own: Mapping[str, Singles], name: str, values: Singles) -> Singles:
    return np.asarray(values @ own[f"{name}.weight"].T + own[f"{name}.bias"], np.float32)


def _normal(own: Mapping[str, Singles], name: str, values: Singles) -> Singles:
    apart = values - values.mean(axis=-1, keepdims=True)
    spread = np.sqrt((apart * apart).mean(axis=-1, keepdims=True) + np.float32(_NORM))
    return np.asarray(apart / spread * own[f"{name}.weight"] + own[f"{name}.bias"], np.float32)


def _gelu(values: Singles) -> Singles:
    """Return the Gaussian error linear unit by its tanh approximation (Hendrycks and Gimpel, 2016)."""
    inner = np.float32(math.sqrt(2.0 / math.pi)) * (values + np.float32(0.044715) * values * values * values)
    return np.asarray(np.float32(0.5) * values * (np.float32(1.0) + np.tanh(inner)), np.float32)


def _shares(values: Singles) -> Singles:
    raised = np.exp(values - values.max(axis=-1, keepdims=True))
    return np.asarray(raised / raised.sum(axis=-1, keepdims=True), np.float32)
