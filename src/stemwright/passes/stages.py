"""Stages: a stem's moves as arithmetic, block by block, in order."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Protocol, runtime_checkable

import numpy as np

from stemwright.dsp.cascade import Cascade
from stemwright.dsp.compressor import SteppedCompressor
from stemwright.dsp.de_ess import DeEsser, DeEssSettings
from stemwright.dsp.dynamics import Compressor, CompressorSettings
from stemwright.dsp.zero_phase import ZeroPhase
from stemwright.plan.items import TIMES_DEFINED

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from stemwright.plan.items import PlannedMove


class Stage(Protocol):
    """Takes a sound block by block."""

    def process(self, block: np.ndarray) -> np.ndarray:
        """Return the next block, shape (frames, channels)."""


@runtime_checkable
class LooksAhead(Stage, Protocol):
    """A stage that holds sound back."""

    def finish(self) -> np.ndarray:
        """Return what is still held back, shape (frames, channels)."""


def _compress(move: PlannedMove, rate_hz: int, channels: int) -> Stage:
    settings = CompressorSettings(**{key: value for key, value in move.settings.items() if key != TIMES_DEFINED})
    if TIMES_DEFINED in move.settings:
        return SteppedCompressor(settings, rate_hz, channels)
    return Compressor(settings, rate_hz)  # a plan made before the times had a definition is rendered as it was then


def _de_ess(move: PlannedMove, rate_hz: int, channels: int) -> Stage:
    return DeEsser(DeEssSettings(**move.settings), np.array(move.sections), rate_hz, channels)


#: What makes each kind that has a stage of its own; called with the move, the rate in Hz and the number of channels.
OWN_STAGES: Final[dict[str, Callable[[PlannedMove, int, int], Stage]]] = {"compress": _compress, "de_ess": _de_ess}


def chain(moves: tuple[PlannedMove, ...], rate_hz: int, channels: int) -> list[Stage]:
    """Return the stages of a stem: neighbouring section moves run as one cascade.

    Parameters
    ----------
    moves : tuple of PlannedMove
        In order.
    rate_hz, channels : int
        Of the stem.
    """
    stages: list[Stage] = []
    rows: list[tuple[float, ...]] = []
    for move in moves:
        if move.runs_as_sections:
            rows.extend(move.sections)
            continue
        if rows:
            stages.append(Cascade(np.array(rows), channels))
            rows = []
        linear = move.settings.get("linear_phase")
        stages.append(
            ZeroPhase(np.array(move.sections), channels) if linear else OWN_STAGES[move.kind](move, rate_hz, channels)
        )
    if rows:
        stages.append(Cascade(np.array(rows), channels))
    return stages


def through(stages: list[Stage], blocks: Iterable[np.ndarray]) -> Iterator[np.ndarray]:
    """Yield blocks, shape (frames, channels), after all stages, and at the end what stages that look ahead have held back."""
    for block in blocks:
        result = block
        for stage in stages:
            result = stage.process(result)
        if len(result):
            yield result
    for number, stage in enumerate(stages):
        if isinstance(stage, LooksAhead):
            result = stage.finish()
            for later in stages[number + 1 :]:
                result = later.process(result)
            if len(result):
                yield result


def reductions(moves: tuple[PlannedMove, ...], stages: list[Stage]) -> tuple[str, ...]:
    """Say what de-essers did."""
    names = [move.name for move in moves if move.kind == "de_ess"]
    said = []
    for name, stage in zip(names, (stage for stage in stages if isinstance(stage, DeEsser)), strict=True):
        did = stage.reduction
        worked = (
            f"{did.most_db:.1f} dB at most, {did.mean_db:.1f} dB on average while it worked, {did.share:.0%} of the time"
        )
        said.append(f"{name}: took {worked}" if did.share else f"{name}: had nothing to take")
    return tuple(said)
