"""Where stems cover each other, and a ride's curve: what a song may have besides its moves, ready to be drawn."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Place:
    """A stretch in which a stem is covered ``by`` another, as deep as ``depth`` says in words or dB."""

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


@dataclass(frozen=True, kw_only=True)
class Extras:
    """Covered places of the song, and rides by stem; empty where a song has none."""

    places: tuple[Place, ...] = ()
    rides: dict[str, tuple[RidePoint, ...]] | None = None
