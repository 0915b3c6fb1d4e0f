"""Stages: a stem's moves as arithmetic, block by block, in order."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Protocol, runtime_checkable

import numpy as np

from stemwright.dsp.cascade import Cascade
from stemwright.dsp.compressor import SteppedCompressor
from stemwright.dsp.de_ess import DeEsser, DeEssSettings
from stemwright.dsp.dynamics import Compressor, CompressorSettings
from stemwright.dsp.fades import FadedGain
from stemwright.dsp.ride import Ridden
from stemwright.dsp.zero_phase import ZeroPhase
from stemwright.passes.branches import Branches
from stemwright.plan.items import TIMES_DEFINED

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

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


def _ride(move: PlannedMove, _rate_hz: int, _channels: int) -> Stage:
    return Ridden([(frame, factor) for frame, _, factor in move.points])


#: What makes each kind that has a stage of its own; called with the move, the rate in Hz and the number of channels.
OWN_STAGES: Final[dict[str, Callable[[PlannedMove, int, int], Stage]]] = {
    "compress": _compress,
    "de_ess": _de_ess,
    "ride": _ride,
}


class Line:
    """Stages one after the other; what a stage holds back comes out at the end."""

    def __init__(self, stages: list[Stage]) -> None:
        self.stages = stages

    def process(self, block: np.ndarray) -> np.ndarray:
        """Return what the next block, shape (frames, channels), gives by now, possibly nothing."""
        result = block
        for stage in self.stages:
            result = stage.process(result)
        return result

    def finish(self) -> np.ndarray:
        """Return what stages that look ahead have held back."""
        left: list[np.ndarray] = []
        for number, stage in enumerate(self.stages):
            if isinstance(stage, LooksAhead):
                result = stage.finish()
                for later in self.stages[number + 1 :]:
                    result = later.process(result)
                left.append(result)
        return np.concatenate(left) if left else np.zeros((0, 0))


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
    for at, move in enumerate(moves):
        if move.runs_as_sections and move.only is None:
            rows.extend(move.sections)
            continue
        if rows:
            stages.append(Cascade(np.array(rows), channels))
            rows = []
        if move.only is not None and not all(each.has_no_state for each in moves[at:]):

            def line(chosen: tuple[PlannedMove, ...]) -> Line:
                return Line(chain(chosen, rate_hz, channels))

            return [*stages, Branches(moves[at:], line, channels)]
        stages.append(_own_stage(move, rate_hz, channels))
    if rows:
        stages.append(Cascade(np.array(rows), channels))
    return stages


def _own_stage(move: PlannedMove, rate_hz: int, channels: int) -> Stage:
    """Return the stage of a move that is more than a cascade."""
    if move.only is not None:  # a gain with nothing behind it that would remember it
        return FadedGain(move.sections[0][0], *move.only.sound)
    if move.settings.get("linear_phase"):
        return ZeroPhase(np.array(move.sections), channels)
    return OWN_STAGES[move.kind](move, rate_hz, channels)


def through(stages: list[Stage], blocks: Iterable[np.ndarray]) -> Iterator[np.ndarray]:
    """Yield blocks, shape (frames, channels), after all stages, and at the end what stages that look ahead have held back."""
    line = Line(stages)
    for block in blocks:
        result = line.process(block)
        if len(result):
            yield result
    result = line.finish()
    if len(result):
        yield result


def reductions(moves: tuple[PlannedMove, ...], stages: list[Stage]) -> tuple[str, ...]:
    """Say what de-essers did, of one that runs in several branches in the first; and which rides moved nothing."""
    names = [move.name for move in moves if move.kind == "de_ess"]
    found: dict[str, DeEsser] = {}
    _collect(moves, stages, found)
    said = []
    for name in names:
        did = found[name].reduction
        worked = (
            f"{did.most_db:.1f} dB at most, {did.mean_db:.1f} dB on average while it worked, {did.share:.0%} of the time"
        )
        said.append(f"{name}: took {worked}" if did.share else f"{name}: had nothing to take")
    still = [move.name for move in moves if move.kind == "ride" and not move.points]
    return (*said, *(f"{name}: the phrases lie evenly enough; nothing was moved" for name in still))


def _collect(moves: Sequence[PlannedMove], stages: list[Stage], found: dict[str, DeEsser]) -> None:
    names = iter([move.name for move in moves if move.kind == "de_ess"])
    for stage in stages:
        if isinstance(stage, DeEsser):
            found.setdefault(next(names), stage)
        elif isinstance(stage, Branches):
            for chosen, line in zip(stage.moves, stage.lines, strict=True):
                _collect(chosen, line.stages, found)
