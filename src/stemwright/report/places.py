"""Where the stem in front is covered, and a ride's curve: what a song may have besides its moves, ready to be drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.passes.balance import covered_in

if TYPE_CHECKING:
    from stemwright.passes.entry import Entry
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plan.balance import Balance, Covered


@dataclass(frozen=True, kw_only=True)
class PlaceOnPage:
    """A stretch in which a stem is covered ``by`` another (empty where it is no single one), as deep as ``depth`` says."""

    start_s: float
    end_s: float
    stem: str
    by: str
    depth: str


@dataclass(frozen=True)
class RidePoint:
    """A corner of a ride: the gain at a time, straight lines in dB between."""

    time_s: float
    gain_db: float


def places_of(song: SongFolder, manifest: Manifest) -> tuple[PlaceOnPage, ...]:
    """Return where the lead vocal is covered, in order of time; nothing where the song was not listened to by `balance`."""
    found = covered_in(song, manifest)
    if found is None:
        return ()
    return tuple(
        PlaceOnPage(
            start_s=each.start_s,
            end_s=each.end_s,
            stem=found.front[0],
            by=each.culprits[0].stem if each.culprits else "",
            depth=_depth(each, found),
        )
        for each in sorted(found.covered, key=lambda each: each.start_s)
    )


def _depth(place: Covered, found: Balance) -> str:
    """Say how far a stem is covered: as an index of speech for voices, else as the share of it that can be heard."""
    what = "speech intelligibility index" if found.voice else "heard of it"
    usual = f", usually {found.median:.2f}" if found.median is not None else ""
    return f"{what} {place.index:.2f} there{usual}"


def ride_of(entry: Entry) -> tuple[RidePoint, ...]:
    """Return the corners of a stem's ride, none where it is not ridden."""
    if entry.item.input is None:
        return ()
    points = [point for move in entry.item.moves for point in move.points]
    return tuple(RidePoint(frame / entry.item.input.rate_hz, gain_db) for frame, gain_db, _ in points)
