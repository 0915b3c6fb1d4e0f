"""Compare: what changed between two passes, in the trade's words, why, and what is left when one is taken from the other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from stemwright.errors import AudioError
from stemwright.passes.difference import Difference, measure
from stemwright.passes.history import read_pass
from stemwright.plain import plain
from stemwright.plan.ride_words import rides_apart
from stemwright.plan.wording import changes_in_short
from stemwright.stems.survey import file_sha256

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from stemwright.passes.entry import LevelPair, Output
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain
    from stemwright.plan.items import PlanItem

Fate = Literal["same bytes", "same samples", "changed", "added", "taken out", "no file"]
LEVELS = ("lufs", "true_peak_dbtp", "rms_dbfs")


@dataclass(frozen=True, kw_only=True)
class StemChange:
    """What became of one stem from the first pass to the second.

    ``levels_db`` are changes of loudness, true peak and RMS; ``difference`` is what is left when one file is taken from the
    other, None where there is nothing to subtract. ``trouble`` says which file is not what its manifest says.
    """

    stem: str
    fate: Fate
    moves: tuple[str, ...] = ()
    why: tuple[str, ...] = ()
    levels_db: dict[str, float] | None = None
    difference: Difference | None = None
    trouble: str = ""

    def as_json(self) -> Plain:
        """Return the change as plain JSON values."""
        return {**plain(self), "difference": None if self.difference is None else self.difference.as_json()}


@dataclass(frozen=True, kw_only=True)
class Compared:
    """Two passes side by side."""

    first: str
    second: str
    stems: tuple[StemChange, ...]

    @property
    def same_bytes(self) -> int:
        """How many stems are the same file in both, byte for byte."""
        return sum(each.fate == "same bytes" for each in self.stems)

    @property
    def good(self) -> bool:
        """Whether every file could be read and is what its manifest says."""
        return not any(each.trouble for each in self.stems)

    def as_json(self) -> Plain:
        """Return the comparison as plain JSON values."""
        return {
            "first": self.first,
            "second": self.second,
            "same_bytes": self.same_bytes,
            "stems": [each.as_json() for each in self.stems],
        }


def compare(song: SongFolder, first: str, second: str, executor: Executor) -> Compared:
    """Compare two passes of a song.

    Parameters
    ----------
    song : SongFolder
    first, second : str
        ``pass-01``, ``01`` or ``1``.
    executor : Executor
        Reads the files.

    Returns
    -------
    Compared

    Raises
    ------
    SongError, ManifestError
        If there is no such pass or its manifest cannot be used.
    """
    one, other = read_pass(song, first), read_pass(song, second)
    names = sorted({*one.entries, *other.entries})
    jobs = [executor.submit(_stem, song, (one, other), name) for name in names]
    return Compared(first=one.name, second=other.name, stems=tuple(job.result() for job in jobs))


def _stem(song: SongFolder, passes: tuple[Manifest, Manifest], stem: str) -> StemChange:
    entries = [manifest.entries.get(stem) for manifest in passes]
    was, now = (None if entry is None else entry.output for entry in entries)
    if entries[0] is None or entries[1] is None or was is None or now is None:
        fate: Fate = "no file" if was is now else "added" if was is None else "taken out"
        why = () if entries[1] is None else (f"{entries[1].item.status}: {entries[1].item.why}",)
        return StemChange(stem=stem, fate=fate, why=why)
    old, new = entries[0].item, entries[1].item
    moves, reasons = tuple(_moves(old, new)), tuple(_why(old, new, passes))
    levels = _levels(entries[0].levels, entries[1].levels)
    both = list(zip(passes, (was, now), strict=True))
    paths = [song.passes_dir / manifest.name / "stems" / output.path for manifest, output in both]
    try:
        hashes = [file_sha256(path) for path in paths]
        wrong = [
            f"{manifest.name} has another file than its manifest says"
            for (manifest, output), found in zip(both, hashes, strict=True)
            if found != output.sha256
        ]
        if hashes[0] == hashes[1]:
            return StemChange(
                stem=stem, fate="same bytes", moves=moves, why=reasons, levels_db=levels, trouble="; ".join(wrong),
                difference=Difference(largest_dbfs=None, rms_dbfs=None),
            )  # fmt: skip
        apart = measure(*paths)
    except (OSError, AudioError) as error:
        trouble = f"a file is not readable: {error}"
        return StemChange(stem=stem, fate=_by_hash(was, now), moves=moves, why=reasons, levels_db=levels, trouble=trouble)
    fate = "same samples" if apart is not None and apart.null else "changed"
    return StemChange(
        stem=stem, fate=fate, moves=moves, why=reasons, levels_db=levels, difference=apart, trouble="; ".join(wrong)
    )


def _moves(old: PlanItem, new: PlanItem) -> list[str]:
    """Return what became of a stem's moves, a line each; of its ride also where it holds another gain."""
    lines = changes_in_short(old.moves, new.moves)
    sides = [item for item in (new, old) if item.input is not None]
    return lines + (
        [f"ride {each}" for each in rides_apart(old.moves, new.moves, sides[0].received.rate_hz)] if sides else []
    )


def _by_hash(was: Output, now: Output) -> Fate:
    """Return what the manifests say where the files cannot be read."""
    return "same bytes" if was.sha256 == now.sha256 else "changed"


def _levels(was: LevelPair, now: LevelPair) -> dict[str, float]:
    pairs = {key: (getattr(was.after, key, None), getattr(now.after, key, None)) for key in LEVELS}
    return {key: round(new - old, 2) for key, (old, new) in pairs.items() if old is not None and new is not None}


def _why(old: PlanItem, new: PlanItem, passes: tuple[Manifest, Manifest]) -> list[str]:
    """Say because of which note, recipe or file a stem changed."""
    reasons: list[str] = []
    said = [
        {(each.note, each.text, each.by) for move in item.moves if move.note for each in move.note.said}
        for item in (old, new)
    ]
    for number, text, by in sorted(said[1] - said[0], key=str):
        reasons.append(f"note {number}{f' by {by}' if by else ''}: {text}")
    for number, text, by in sorted(said[0] - said[1], key=str):
        reasons.append(f"without note {number}{f' by {by}' if by else ''}: {text}")
    if old.input != new.input:
        reasons.append("another file was received")
    versions = [_version(manifest, item.recipe) for manifest, item in zip(passes, (old, new), strict=True)]
    if old.recipe != new.recipe:
        reasons.append(f"recipe {old.recipe or 'none'} -> {new.recipe or 'none'}")
    elif versions[0] != versions[1]:
        reasons.append(f"recipe {new.recipe}: {versions[0]} -> {versions[1]}")
    if old.deliver_as != new.deliver_as:
        reasons.append("delivered in another form")
    return reasons


def _version(manifest: Manifest, recipe: str | None) -> str:
    texts = sorted((each.version, each.sha256) for each in manifest.recipes if each.name == recipe)
    return ", ".join(f"version {version} ({sha256[:8]})" for version, sha256 in texts)
