"""Branches: a stem's moves run with and without those that are made in some places only, and what goes out between them.

Outside a move's places the stem is to be the same samples as without it, and a filter that follows would carry the move over
the edge. So from the first such move on the rest is run once for every choice of them that is ever needed, all along, so that
each has the state it would have alone; at each frame one of them goes out, and in a fade their weighted sum.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.fades import weights
from stemwright.plan.only import variants

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from stemwright.passes.stages import Line
    from stemwright.plan.items import PlannedMove
    from stemwright.plan.only import Sounds


class Branches:
    """Moves of which some are made in places only, as one stage.

    Parameters
    ----------
    moves : sequence of PlannedMove
        From the first that is made in places only.
    line : callable
        Makes a line of stages from moves.
    channels : int
    """

    def __init__(self, moves: Sequence[PlannedMove], line: Callable[[tuple[PlannedMove, ...]], Line], channels: int) -> None:
        # Moves with the same places come and go together.
        self._sounds: list[Sounds] = list(dict.fromkeys(move.only.sound for move in moves if move.only is not None))
        self._sets = variants(self._sounds)
        self.moves = [_of(moves, [self._sounds[at] for at in chosen]) for chosen in self._sets]
        self.lines = [line(chosen) for chosen in self.moves]
        self._waiting = [np.zeros((0, channels)) for _ in self.lines]
        self._position = 0

    def process(self, block: np.ndarray) -> np.ndarray:
        """Take in the next block and return what every branch has settled by now."""
        return self._out([each.process(block) for each in self.lines])

    def finish(self) -> np.ndarray:
        """Return what was held back."""
        return self._out([each.finish() for each in self.lines])

    def _out(self, results: list[np.ndarray]) -> np.ndarray:
        self._waiting = [
            np.concatenate([held, new]) if len(new) else held for held, new in zip(self._waiting, results, strict=True)
        ]
        ready = min(len(held) for held in self._waiting)
        blocks = [held[:ready] for held in self._waiting]
        self._waiting = [held[ready:] for held in self._waiting]
        result = self._mixed(blocks, ready)
        self._position += ready
        return result

    def _mixed(self, blocks: list[np.ndarray], frames: int) -> np.ndarray:
        if not frames:
            return blocks[0]
        shares = [weights(fade, spans, self._position, frames) for fade, spans in self._sounds]
        if all(isinstance(share, float) for share in shares):
            now = frozenset(at for at, share in enumerate(shares) if share)
            return blocks[self._sets.index(now)]
        out = np.zeros(blocks[0].shape)
        for chosen, block in zip(self._sets, blocks, strict=True):
            weight = np.ones(frames)
            for at, share in enumerate(shares):
                weight *= share if at in chosen else 1.0 - share
            some = np.flatnonzero(weight)
            if len(some):
                part = slice(int(some[0]), int(some[-1]) + 1)
                out[part] += weight[part, np.newaxis] * block[part]
        return out


def _of(moves: Sequence[PlannedMove], there: list[Sounds]) -> tuple[PlannedMove, ...]:
    """Return the moves that are made everywhere or in the places given, as if they were made everywhere."""
    return tuple(replace(move, only=None) for move in moves if move.only is None or move.only.sound in there)
