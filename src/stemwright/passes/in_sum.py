"""In sum: what a pass did to the sum of its stems, measured on a few stretches while the pass is made, and kept in its manifest."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.errors import AudioError, SongError, StemwrightError
from stemwright.passes.kit_phase import KitPhase, most_turned
from stemwright.passes.stretches import Stretch, SumLevels, measure, stretches_of
from stemwright.plan.kit import members, seeming
from stemwright.recipes.session import load_session
from stemwright.stems.audio import probe
from stemwright.stems.mixdown import Part, form_of, parts_of
from stemwright.stems.names import pairs
from stemwright.stems.opening import wrong_link

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.passes.entry import Entry
    from stemwright.passes.song import SongFolder
    from stemwright.recipes.session import SessionSheet


@dataclass(frozen=True, kw_only=True)
class InSum:
    """The sum of a pass's stems at unity, as received and as written, over the same stretches of the song.

    ``reference`` is the mix that the sheet names, ``mix`` the same of it; None where it is missing, silent or unreadable.
    ``kit`` is None where no stems share one instrument.
    """

    stems: int
    stretches: tuple[Stretch, ...]
    received: SumLevels
    written: SumLevels
    reference: str | None = None
    mix: SumLevels | None = None
    kit: KitPhase | None = None


def add_up(song: SongFolder, entries: Iterable[Entry], folder: Path, executor: Executor) -> InSum | None:
    """Add up the stems of a pass and measure both sums.

    Parameters
    ----------
    song : SongFolder
        Its sheet says which file is the reference mix, and which stems are one kit.
    entries : iterable of Entry
        Of the pass.
    folder : Path
        Where its files are.
    executor : Executor
        Adds up both sides, and reads the reference and the kit, at once.

    Returns
    -------
    InSum or None
        None where no stem was written.

    Raises
    ------
    SongError
        If a file cannot be read.
    """
    sheet = _sheet(song)
    asked = None if sheet is None else sheet.reference
    reference = None if asked is None else song.folder / asked
    received: dict[str, Path] = {}
    written: dict[str, Path] = {}
    roles: dict[str, str | None] = {}
    for entry in entries:
        source, output = entry.item.input, entry.output
        if source is not None and output is not None and song.folder / source.path != reference:
            received[entry.stem] = song.folder / source.path
            written[entry.stem] = folder / output.path
            roles[entry.stem] = entry.item.role
    if not received:
        return None
    try:
        sides = pairs(tuple(received))
        both = [parts_of(received, sides), parts_of(written, sides)]
        forms = [form_of(each) for each in both]
        stretches = stretches_of(forms[0].frames / forms[0].rate_hz)
        jobs = [executor.submit(measure, *each, stretches) for each in zip(both, forms, strict=True)]
        mix = None if reference is None else _mix(song, reference)
        third = None if mix is None else executor.submit(measure, [mix], form_of([mix]), stretches)
        kit = _kit(roles, () if sheet is None else sheet.kit)
        turned = None
        if kit is not None:
            mine = [[part for stem, part in zip(received, side, strict=True) if stem in kit.stems] for side in both]
            turned = executor.submit(most_turned, mine[0], mine[1], forms[0], stretches)
        before, after = (job.result() for job in jobs)
        freq_hz, change_db = turned.result() if turned else (None, 0.0)
    except (AudioError, OSError) as error:
        raise SongError(f"{song.folder.name}: the stems could not be added up ({error})") from error
    target = None
    with suppress(AudioError, OSError):
        target = None if third is None else third.result()
    return InSum(
        stems=len(received),
        stretches=stretches,
        received=before,
        written=after,
        reference=asked,
        mix=target,
        kit=kit and KitPhase(stems=kit.stems, declared=kit.declared, freq_hz=freq_hz, change_db=change_db),
    )


def added_up(song: SongFolder, entries: Iterable[Entry], folder: Path, executor: Executor) -> InSum | None:
    """Return what `add_up` finds, None where it fails: a pass is none the worse for that."""
    with suppress(SongError, MemoryError):
        return add_up(song, entries, folder, executor)
    return None


def _sheet(song: SongFolder) -> SessionSheet | None:
    with suppress(StemwrightError, OSError):  # a pass whose sheet was spoiled since is told without what stood there
        return load_session(song.folder)
    return None


def _kit(roles: Mapping[str, str | None], listed: Sequence[str]) -> KitPhase | None:
    """Return the kit among some stems, not measured yet."""
    declared = members(roles, listed)
    stems = declared or seeming(roles)
    return KitPhase(stems=tuple(stems), declared=bool(declared)) if len(stems) > 1 else None


def _mix(song: SongFolder, path: Path) -> Part | None:
    if not path.is_file() or wrong_link(path, song.folder):
        return None
    with suppress(AudioError, OSError):
        return Part(path=path, info=probe(path))
    return None
