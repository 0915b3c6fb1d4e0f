"""The story of a sum: what a pass did to the whole beat, against as received and against an earlier pass, in a few lines."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.handover.sum_parts import band_changes, families, families_since, family_moves
from stemwright.passes.heard import QUIET_DB
from stemwright.passes.in_sum import add_up, added_up
from stemwright.passes.render import match_gain_db
from stemwright.passes.stretches import STRETCH_S
from stemwright.plan.kit import LEAST_LOSS_DB
from stemwright.plan.wording import frequency, level

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor

    from stemwright.dsp.loudness import Levels
    from stemwright.handover.sum_parts import Band, Family, FamilyMove
    from stemwright.passes.in_sum import InSum
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.passes.stretches import SumLevels
    from stemwright.plain import Plain

LEAST_FAMILY_DB = 0.3  # by which a family stands otherwise to all others before it is told
LEAST_BAND_DB = 0.1
TOLD = 2  # bands: the first is often only the bottom that a high-pass took
_LEAST_SHARE = 10.0 ** (QUIET_DB / 10.0)
_HIGHEST_DB = 1000.0  # of a power: what a manifest may say beyond would be no number


@dataclass(frozen=True, kw_only=True)
class SumChange:
    """From one sum to another; ``was`` and ``now`` say which they are.

    ``bands`` are in dB with both equally loud, ``moves`` the families that moved against all others.
    """

    was: str
    now: str
    before: Levels
    after: Levels
    bands: tuple[Band, ...]
    moves: tuple[FamilyMove, ...]

    @property
    def sentence(self) -> str:
        """Tell it in one line."""
        if self.before.true_peak_dbtp is None and self.after.true_peak_dbtp is None:
            return f"the sum is silent, {self.was} and {self.now}"
        told = [
            f"the sum, {self.was} -> {self.now}: {level(self.before.lufs)} -> {level(self.after.lufs)} LUFS",
            f"true peak {level(self.before.true_peak_dbtp)} -> {level(self.after.true_peak_dbtp)} dBTP",
        ]
        changed = [each for each in sorted(self.bands, key=_size, reverse=True)[:TOLD] if _size(each) >= LEAST_BAND_DB]
        if changed:
            listed = [f"{_named(each)} {each.change_db:+.1f} dB" for each in changed]
            told.append(f"equally loud, most changed: {', '.join(listed)}")
        elif self.bands:
            told.append(f"equally loud, no band changed by {LEAST_BAND_DB:g} dB")
        if self.moves:
            told.append(f"against all others: {', '.join(f'{each.family} {each.move_db:+.1f} dB' for each in self.moves)}")
        return "; ".join(told)


@dataclass(frozen=True, kw_only=True)
class SumStory:
    """What a pass did to the sum of its stems.

    ``measured`` is what it is told from, ``received`` what became of the sum as received, ``since`` of that of an earlier
    pass, where there is one with the same stretches. ``against`` is the pass against the reference mix, in dB, both equally
    loud, ``against_before`` the same of the stems as received; both are empty where the mix says nothing.
    """

    measured: InSum
    received: SumChange
    since: SumChange | None = None
    against_before: tuple[Band, ...] = ()
    against: tuple[Band, ...] = ()

    def as_json(self) -> Plain:
        """Return it as plain JSON values, with what it is based on."""
        kit = self.measured.kit
        return {
            "based_on": self.basis,
            "stems": self.measured.stems,
            "stretches": [asdict(each) for each in self.measured.stretches],
            "received": asdict(self.received.before),
            "prepped": asdict(self.received.after),
            "bands": [asdict(each) for each in self.received.bands],
            "families_moved": [asdict(each) for each in self.received.moves],
            "since": self.since
            and {
                "pass": self.since.was,
                "levels": asdict(self.since.before),
                "bands": [asdict(each) for each in self.since.bands],
                "families_moved": [asdict(each) for each in self.since.moves],
            },
            "reference": self.measured.reference,
            "received_against_reference": [asdict(each) for each in self.against_before],
            "prepped_against_reference": [asdict(each) for each in self.against],
            "kit": kit and {**asdict(kit), "stems": list(kit.stems)},
        }

    @property
    def basis(self) -> str:
        """What it was measured on."""
        count, stems = len(self.measured.stretches), self.measured.stems
        part = "all of the song" if count == 1 else f"{count} stretches of {STRETCH_S:g} s"
        moved = self.received.moves or (self.since and self.since.moves)
        families_by = "; families: their stems' loudness, added as powers" if moved else ""
        return f"{part}, {stems} stem{'' if stems == 1 else 's'} at unity{families_by}"

    @property
    def lines(self) -> tuple[str, ...]:
        """Tell it: since the earlier pass, since it was received, against the reference mix, the kit; a line for each that is."""
        since = self.since and self.since.sentence
        told = (since, f"{self.received.sentence} ({self.basis})", self._against(), self.kit_line)
        return tuple(line for line in told if line)

    def _against(self) -> str:
        reference = self.measured.reference
        if reference is None:
            return ""
        most = max(self.against, key=_size, default=None)
        if most is None:
            return f"against {reference}: nothing to hold it against, the mix is missing, silent or unreadable"
        before = next((each.change_db for each in self.against_before if each.low_hz == most.low_hz), None)
        was = "" if before is None else f" (as received {before:+.1f})"
        return f"against {reference}, equally loud, farthest off: {_named(most)} {most.change_db:+.1f} dB{was}"

    @property
    def kit_line(self) -> str:
        """What the moves' phase did to the sum of a kit's stems, in a line; empty where no stems are one."""
        kit = self.measured.kit
        if kit is None or kit.freq_hz is None:
            return ""
        who = f"the kit ({len(kit.stems)} stems)"
        if abs(kit.change_db) < LEAST_LOSS_DB:
            return f"{who} adds up as its levels alone would: no third octave is {LEAST_LOSS_DB:g} dB off"
        way = "" if kit.declared else "; kit: in session.yaml makes its stems share phase"
        return (
            f"{who} against its levels alone: {kit.change_db:+.1f} dB at {frequency(round(kit.freq_hz))}, "
            f"by what the moves do to phase{way}"
        )


def tell_sum(song: SongFolder, manifest: Manifest, executor: Executor, since: Manifest | None = None) -> SumStory | None:
    """Tell what a pass did to the sum of its stems.

    Parameters
    ----------
    song : SongFolder
    manifest : Manifest
        Of a complete pass of it. What it does not hold, since an earlier version made it, is measured on its files.
    executor : Executor
        Does that.
    since : Manifest, optional
        The pass to hold it against besides.

    Returns
    -------
    SumStory or None
        None where no stem was written.

    Raises
    ------
    SongError
        If a file cannot be read.
    """
    measured = manifest.in_sum or add_up(song, manifest.stems, song.passes_dir / manifest.name / "stems", executor)
    if measured is None:
        return None
    mix = measured.mix
    stems = _stems(manifest, measured)
    return SumStory(
        measured=measured,
        received=_change(
            ("as received", measured.received), ("as prepped", measured.written), families(manifest.written.values(), stems)
        ),
        since=None if since is None else _since(song, manifest, measured, since, executor),
        against_before=() if mix is None else _bands(mix, measured.received),
        against=() if mix is None else _bands(mix, measured.written),
    )


def _since(song: SongFolder, manifest: Manifest, measured: InSum, since: Manifest, executor: Executor) -> SumChange | None:
    last = since.in_sum or added_up(song, since.stems, song.passes_dir / since.name / "stems", executor)
    if last is None or last.stretches != measured.stretches:  # another part of the song, which says nothing of this one
        return None
    loud = families_since(since.written, manifest.written, _stems(manifest, measured))
    return _change((since.name, last.written), (manifest.name, measured.written), loud)


def _stems(manifest: Manifest, measured: InSum) -> list[str]:
    written = manifest.written.items()
    return [stem for stem, each in written if each.item.input is None or each.item.input.path != measured.reference]


def _change(was: tuple[str, SumLevels], now: tuple[str, SumLevels], loud: Sequence[Family]) -> SumChange:
    moves = tuple(each for each in family_moves(loud) if abs(each.move_db) >= LEAST_FAMILY_DB)
    bands = _bands(was[1], now[1])
    return SumChange(was=was[0], now=now[0], before=was[1].levels, after=now[1].levels, bands=bands, moves=moves)


def _bands(before: SumLevels, after: SumLevels) -> tuple[Band, ...]:
    if before.levels.lufs is None or after.levels.lufs is None:
        return ()
    return band_changes(_power(before), _power(after), match_gain_db(before.levels, after.levels), _LEAST_SHARE)


def _power(levels: SumLevels) -> np.ndarray:
    found = np.array([-np.inf if each is None else each for each in levels.bands_dbfs])
    return np.asarray(10.0 ** (np.minimum(found, _HIGHEST_DB) / 10.0))


def _size(band: Band) -> float:
    return abs(band.change_db)


def _named(band: Band) -> str:
    return f"{frequency(band.low_hz)} to {frequency(band.high_hz)}"
