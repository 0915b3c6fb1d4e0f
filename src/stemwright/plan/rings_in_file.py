"""Listening to one file for rings: every candidate ranked, and which of them a `rings` move would take."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stemwright.dsp.rings import RingFinder, RingSettings
from stemwright.errors import AudioError
from stemwright.stems.audio import probe, read_blocks
from stemwright.stems.limits import are_numbers

if TYPE_CHECKING:
    from pathlib import Path

    from stemwright.dsp.rings import Ring
    from stemwright.plain import Plain
    from stemwright.stems.info import AudioInfo


@dataclass(frozen=True)
class RingsInFile:
    """A file's rings, the most certain first, and those that a move would take."""

    info: AudioInfo
    rings: list[Ring]
    taken: set[Ring]

    def as_json(self) -> Plain:
        """Return the rings as plain JSON values."""
        return {"rings": [{**ring.as_json(), "taken": ring in self.taken} for ring in self.rings]}


def rings_in(file: Path, *, from_hz: float, to_hz: float, at_most: int, least_db: float) -> RingsInFile:
    """Find rings in a file.

    Parameters
    ----------
    file : Path
        Any audio file we read.
    from_hz, to_hz, at_most, least_db : float
        As in a `rings` move.

    Returns
    -------
    RingsInFile
        ``rings`` has candidates of any certainty, for a person to judge; ``taken`` those a move would notch.

    Raises
    ------
    AudioError
        If the file cannot be read.
    RingSettingsError
        If the bounds cross.
    """
    sure = RingSettings(from_hz=from_hz, to_hz=to_hz, at_most=at_most, least_db=least_db)
    every = replace(sure, least_confidence=0.0)
    if not file.is_file():
        raise AudioError(f"{file}: there is no such file; give one audio file")
    info = probe(file)
    finder = RingFinder(info.rate_hz, info.channels)
    for block in read_blocks(file, info):
        if info.bits is None and not are_numbers(block):
            raise AudioError(f"{file}: holds samples that are no numbers, or 180 dB over full scale; ask for it again")
        finder.feed(block)
    rings = finder.finish(every)
    # Candidates come in the same order at any certainty, so what a move takes is among those listed.
    sure_at = {ring.freq_hz for ring in finder.finish(sure)}
    return RingsInFile(info, rings, {ring for ring in rings if ring.freq_hz in sure_at})
