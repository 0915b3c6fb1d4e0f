"""Sum: the whole beat at unity, as received and as prepped, level-matched, and held against a reference mix."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

from stemwright.dsp.loudness import LevelMeter
from stemwright.errors import AudioError, SongError, WriteError
from stemwright.handover.alignment import align
from stemwright.handover.sum_parts import bands, chosen, families
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.render import match_gain_db
from stemwright.recipes.session import load_session
from stemwright.recipes.stem_choices import choices_of
from stemwright.stems.audio import probe, read_blocks
from stemwright.stems.leftovers import aside_name, sweep
from stemwright.stems.mixdown import Form, Part, form_of, mix, parts_of, write
from stemwright.stems.names import pairs
from stemwright.stems.opening import wrong_link
from stemwright.stems.survey import file_sha256

if TYPE_CHECKING:
    from collections.abc import Iterator
    from concurrent.futures import Executor
    from pathlib import Path

    import numpy as np

    from stemwright.dsp.loudness import Levels
    from stemwright.handover.alignment import Aligned
    from stemwright.handover.sum_parts import Band, Family
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain

SUMS = "sums"  # below passes, beside the passes: a finished pass is never added to


@dataclass(frozen=True)
class Chosen:
    """Stems to hear alone, and stems to leave out, as people name them; neither is the whole song."""

    solo: tuple[str, ...] = ()
    without: tuple[str, ...] = ()


WHOLE = Chosen()


@dataclass(frozen=True, kw_only=True)
class Sum:
    """One sum: its file, what it is, how loud it is, and how many stems are in it."""

    path: Path
    form: Form
    stems: int
    levels: Levels


@dataclass(frozen=True, kw_only=True)
class Summed:
    """What summing a song found. ``prepped`` is None before the first pass; ``match_gain_db`` brings it to ``received``."""

    name: str | None
    received: Sum
    prepped: Sum | None
    match_gain_db: float | None
    reference: str | None
    aligned: Aligned | None
    bands: tuple[Band, ...] = ()
    families: tuple[Family, ...] = ()

    def as_json(self) -> Plain:
        """Return what was found as plain JSON values."""

        def one(each: Sum | None) -> dict[str, Any] | None:
            if each is None:
                return None
            levels = {key: None if value is None else round(value, 2) for key, value in asdict(each.levels).items()}
            return {"path": str(each.path), **asdict(each.form), "stems": each.stems, "levels": levels}

        return {
            "pass": self.name,
            "received": one(self.received),
            "prepped": one(self.prepped),
            "match_gain_db": self.match_gain_db,
            "reference": self.reference,
            "bands": [asdict(each) for each in self.bands],
            "families": [asdict(each) for each in self.families],
            "against_reference": None if self.aligned is None else asdict(self.aligned),
        }


def sum_song(song: SongFolder, name: str | None, folder: Path | None, executor: Executor, which: Chosen = WHOLE) -> Summed:
    """Sum a song's stems as received and as a pass has them.

    Parameters
    ----------
    song : SongFolder
    name : str or None
        A complete pass of it; None before the first one.
    folder : Path or None
        Where the two files go; None is ``passes/sums`` in the song.
    executor : Executor
        Makes the two sums at once.
    which : Chosen
        Stems to leave out, or to hear alone; a part of a song is not held against its reference.

    Returns
    -------
    Summed

    Raises
    ------
    SongError
        If a stem or the reference is missing, changed or unreadable, or there is no room. Nothing half-written is left.
    """
    sheet = load_session(song.folder)
    reference = _reference(song, sheet.reference)
    skipped = {stem for stem, choice in choices_of(sheet, song.stems).items() if choice.skip is not None}
    folder = song.passes_dir / SUMS if folder is None else folder
    received, prepped = _files(song, name, skipped, reference)
    entries = {} if name is None else read_manifest(song.passes_dir / name).written
    if which != WHOLE:
        reference = None
        left = chosen(received, {stem: entry.item.role for stem, entry in entries.items()}, which.solo, which.without)
        received, prepped = ({stem: files[stem] for stem in left if stem in files} for files in (received, prepped))
    try:
        sides = pairs(tuple(received))
        parts = [parts_of(received, sides)] + ([parts_of(prepped, sides)] if prepped else [])
        folder.mkdir(parents=True, exist_ok=True)
        sweep([folder])
        label = f"{name or 'stems'}{'' if which == WHOLE else ' part'}"
        paths = [folder / f"{label} sum {what}.wav" for what in ("received", "prepped")]
        jobs = [executor.submit(_make, path, each) for path, each in zip(paths, parts, strict=False)]
        sums = [job.result() for job in jobs]
        aligned = None if reference is None else _against(sums[0], reference)
    except (AudioError, WriteError, OSError) as error:
        raise SongError(f"{song.folder.name}: the sum could not be made ({error})") from error
    gain_db = match_gain_db(sums[0].levels, sums[1].levels) if len(sums) > 1 else None
    return Summed(
        name=name,
        received=sums[0],
        prepped=sums[1] if len(sums) > 1 else None,
        match_gain_db=gain_db,
        reference=sheet.reference if which == WHOLE else None,
        aligned=aligned,
        bands=bands(sums[0].path, sums[1].path, gain_db) if len(sums) > 1 else (),
        families=families(entries.values(), list(received)),
    )


def _reference(song: SongFolder, asked: str | None) -> Path | None:
    if asked is None:
        return None
    path = song.folder / asked
    if not path.is_file() or not path.resolve().is_relative_to(song.folder):
        raise SongError(
            f"reference in session.yaml: there is no file {asked!r} in {song.folder.name}; mend its name or take it out"
        )
    return path


def _files(
    song: SongFolder, name: str | None, skipped: set[str], reference: Path | None
) -> tuple[dict[str, Path], dict[str, Path]]:
    """Return the files of both sums, each held against the manifest; the reference itself is no stem."""
    if name is None:
        all_stems = {
            stem: song.source(stem) for stem in song.stems if stem not in skipped and song.source(stem) != reference
        }
        if not all_stems:
            raise SongError(f"{song.folder.name}: no stems to sum; all are skipped")
        return all_stems, {}
    received: dict[str, Path] = {}
    prepped: dict[str, Path] = {}
    for stem, entry in read_manifest(song.passes_dir / name).written.items():
        source, output = entry.item.input, entry.output
        if source is None or output is None or song.folder / source.path == reference:
            continue
        received[stem], prepped[stem] = song.folder / source.path, song.passes_dir / name / "stems" / output.path
        for path, sha256 in ((received[stem], source.sha256), (prepped[stem], output.sha256)):
            if not path.is_file() or wrong_link(path, song.folder) or file_sha256(path) != sha256:
                raise SongError(
                    f"{stem}: {path.name} is missing or not what {name} says; see: stemwright verify SONG {name}"
                )
    if not received:
        raise SongError(f"{name}: no stems to sum; none was written")
    return received, prepped


def _make(path: Path, parts: list[Part]) -> Sum:
    form = form_of(parts)
    meter = LevelMeter(form.rate_hz, form.channels)
    building = path.with_name(aside_name(path.name))
    building.unlink(missing_ok=True)

    def metered() -> Iterator[np.ndarray]:
        for block in mix(parts, form):
            meter.feed(block)
            yield block

    try:
        write(building, metered(), form, "FLOAT")
        building.replace(path)
    finally:
        building.unlink(missing_ok=True)
    return Sum(path=path, form=form, stems=len(parts), levels=meter.levels())


def _against(received: Sum, reference: Path) -> Aligned | None:
    part = Part(path=reference, info=probe(reference))
    form = form_of([part], received.form.rate_hz)
    form = replace(form, channels=max(form.channels, received.form.channels))
    info = probe(received.path)
    return align(lambda: read_blocks(received.path, info), lambda: mix([part], form))
