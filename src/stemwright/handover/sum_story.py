"""The story of a sum: what a pass did to the whole beat, told from a few stretches of all its stems."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from stemwright.errors import AudioError, SongError, StemwrightError
from stemwright.handover.mixdown import Part, form_of, parts_of
from stemwright.handover.stretches import STRETCH_S, measure, stretches_of
from stemwright.handover.sum_parts import Band, band_changes, families, family_moves
from stemwright.passes.heard import QUIET_DB
from stemwright.passes.render import match_gain_db
from stemwright.plan.wording import frequency, level
from stemwright.recipes.session import load_session
from stemwright.stems.audio import probe
from stemwright.stems.names import pairs
from stemwright.stems.opening import wrong_link

if TYPE_CHECKING:
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.dsp.loudness import Levels
    from stemwright.handover.stretches import Measured, Stretch
    from stemwright.handover.sum_parts import FamilyMove
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain

LEAST_FAMILY_DB = 0.3  # by which a family stands otherwise to all others before it is told
LEAST_BAND_DB = 0.1
TOLD = 2  # bands: the first is often only the bottom that a high-pass took
_LEAST_SHARE = 10.0 ** (QUIET_DB / 10.0)


@dataclass(frozen=True, kw_only=True)
class SumStory:
    """What a pass did to the sum of its stems.

    ``bands`` is prepped against received and ``against`` prepped against the reference mix, in dB, both equally loud;
    ``against_before`` is received against the reference. ``reference`` is the mix that the sheet names; where it is missing,
    silent or unreadable, ``against`` is empty. ``moves`` are the families that moved against all others.
    """

    stems: int
    stretches: tuple[Stretch, ...]
    whole: bool
    received: Levels
    prepped: Levels
    bands: tuple[Band, ...]
    moves: tuple[FamilyMove, ...]
    reference: str | None = None
    against_before: tuple[Band, ...] = ()
    against: tuple[Band, ...] = ()

    def as_json(self) -> Plain:
        """Return it as plain JSON values, with what it is based on."""
        return {
            "based_on": self.basis,
            "stems": self.stems,
            "stretches": [asdict(each) for each in self.stretches],
            "received": _rounded(self.received),
            "prepped": _rounded(self.prepped),
            "bands": [asdict(each) for each in self.bands],
            "families_moved": [asdict(each) for each in self.moves],
            "reference": self.reference,
            "received_against_reference": [asdict(each) for each in self.against_before],
            "prepped_against_reference": [asdict(each) for each in self.against],
        }

    @property
    def basis(self) -> str:
        """What it was measured on."""
        part = "all of the song" if self.whole else f"{len(self.stretches)} stretches of {STRETCH_S:g} s"
        families_by = "; families: their stems' loudness, added as powers" if self.moves else ""
        return f"{part}, {self.stems} stem{'' if self.stems == 1 else 's'} at unity{families_by}"

    @property
    def lines(self) -> tuple[str, ...]:
        """Tell it in one line, and in a second one where there is a reference mix."""
        was, now = self.received, self.prepped
        if was.true_peak_dbtp is None and now.true_peak_dbtp is None:
            return (f"the sum is silent, as received and as prepped ({self.basis})",)
        told = [
            f"the sum, as received -> as prepped: {level(was.lufs)} -> {level(now.lufs)} LUFS",
            f"true peak {level(was.true_peak_dbtp)} -> {level(now.true_peak_dbtp)} dBTP",
        ]
        changed = [each for each in sorted(self.bands, key=_size, reverse=True)[:TOLD] if _size(each) >= LEAST_BAND_DB]
        if changed:
            listed = [f"{_named(each)} {each.change_db:+.1f} dB" for each in changed]
            told.append(f"equally loud, most changed: {', '.join(listed)}")
        elif self.bands:
            told.append(f"equally loud, no band changed by {LEAST_BAND_DB:g} dB")
        if self.moves:
            told.append(f"against all others: {', '.join(f'{each.family} {each.move_db:+.1f} dB' for each in self.moves)}")
        first = f"{'; '.join(told)} ({self.basis})"
        return (first,) if self.reference is None else (first, self._against())

    def _against(self) -> str:
        most = max(self.against, key=_size, default=None)
        if most is None:
            return f"against {self.reference}: nothing to hold it against, the mix is missing, silent or unreadable"
        before = next((each.change_db for each in self.against_before if each.low_hz == most.low_hz), None)
        was = "" if before is None else f" (as received {before:+.1f})"
        return f"against {self.reference}, equally loud, farthest off: {_named(most)} {most.change_db:+.1f} dB{was}"


def tell_sum(song: SongFolder, manifest: Manifest, executor: Executor) -> SumStory | None:
    """Tell what a pass did to the sum of its stems.

    Parameters
    ----------
    song : SongFolder
    manifest : Manifest
        Of a complete pass of it, whose files are there.
    executor : Executor
        Adds up both sides, and reads the reference, at once.

    Returns
    -------
    SumStory or None
        None where no stem was written.

    Raises
    ------
    SongError
        If a file cannot be read.
    """
    asked = _asked(song)
    reference = None if asked is None else song.folder / asked
    received: dict[str, Path] = {}
    prepped: dict[str, Path] = {}
    for stem, entry in manifest.written.items():
        source, output = entry.item.input, entry.output
        if source is not None and output is not None and song.folder / source.path != reference:
            received[stem] = song.folder / source.path
            prepped[stem] = song.passes_dir / manifest.name / "stems" / output.path
    if not received:
        return None
    try:
        sides = pairs(tuple(received))
        parts = [parts_of(received, sides), parts_of(prepped, sides)]
        forms = [form_of(each) for each in parts]
        seconds = forms[0].frames / forms[0].rate_hz
        stretches = stretches_of(seconds)
        jobs = [executor.submit(measure, *each, stretches) for each in zip(parts, forms, strict=True)]
        mix = None if reference is None else _mix(song, reference)
        third = None if mix is None else executor.submit(measure, [mix], form_of([mix]), stretches)
        before, after = (job.result() for job in jobs)
    except (AudioError, OSError) as error:
        raise SongError(f"{song.folder.name}: the stems could not be added up ({error})") from error
    target = None
    with suppress(AudioError, OSError):
        target = None if third is None else third.result()
    loud = families(manifest.written.values(), list(received))
    return SumStory(
        stems=len(received),
        stretches=stretches,
        whole=len(stretches) == 1,
        received=before.levels,
        prepped=after.levels,
        bands=_between(before, after),
        moves=tuple(each for each in family_moves(loud) if abs(each.move_db) >= LEAST_FAMILY_DB),
        reference=asked,
        against_before=() if target is None else _between(target, before),
        against=() if target is None else _between(target, after),
    )


def _asked(song: SongFolder) -> str | None:
    with suppress(StemwrightError, OSError):  # a pass whose sheet was spoiled since is told without a reference
        return load_session(song.folder).reference
    return None


def _mix(song: SongFolder, path: Path) -> Part | None:
    if not path.is_file() or wrong_link(path, song.folder):
        return None
    with suppress(AudioError, OSError):
        return Part(path=path, info=probe(path))
    return None


def _between(before: Measured, after: Measured) -> tuple[Band, ...]:
    if before.levels.lufs is None or after.levels.lufs is None:
        return ()
    return band_changes(before.power, after.power, match_gain_db(before.levels, after.levels), _LEAST_SHARE)


def _size(band: Band) -> float:
    return abs(band.change_db)


def _named(band: Band) -> str:
    return f"{frequency(band.low_hz)} to {frequency(band.high_hz)}"


def _rounded(levels: Levels) -> dict[str, float | None]:
    return {key: None if value is None else round(value, 2) for key, value in asdict(levels).items()}
