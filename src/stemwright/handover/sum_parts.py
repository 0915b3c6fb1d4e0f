"""Parts of a sum: which stems are in it, what the moves did to its spectrum, and to the balance of families."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.errors import SongError
from stemwright.passes.heard import spectrum
from stemwright.passes.stretches import BANDS_HZ, in_bands
from stemwright.stems.asked import find

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from stemwright.dsp.loudness import Levels
    from stemwright.passes.entry import Entry

_FLOOR = 1e-20
_LUFS = (-300.0, 1000.0)  # beyond, as an edited manifest may have it, a power is no number


@dataclass(frozen=True, kw_only=True)
class Band:
    """How a band of a sum stands to the same of another, both played equally loud."""

    low_hz: float
    high_hz: float
    change_db: float


@dataclass(frozen=True, kw_only=True)
class Family:
    """A family's loudness: its stems' LUFS added as powers, before and after."""

    family: str
    before_lufs: float
    after_lufs: float


@dataclass(frozen=True, kw_only=True)
class FamilyMove:
    """By how much a family became louder than all others together became, dB."""

    family: str
    move_db: float


def chosen(stems: Iterable[str], roles: Mapping[str, str | None], solo: Sequence[str], without: Sequence[str]) -> list[str]:
    """Return the stems of a sum.

    Raises
    ------
    SongError
        If one that is named is not there, or none is left.
    """
    known = {stem: roles.get(stem) for stem in stems}
    alone = {stem for name in solo for stem in find(name, known, "this song")}
    out = {stem for name in without for stem in find(name, known, "this song")}
    left = [stem for stem in known if (not solo or stem in alone) and stem not in out]
    if not left:
        raise SongError("no stem is left to add up; name fewer with --without")
    return left


def bands(received: Path, prepped: Path, match_gain_db: float | None) -> tuple[Band, ...]:
    """Return what became of the sum's spectrum; bands without sound are left out."""
    return band_changes(in_bands(spectrum(received)), in_bands(spectrum(prepped)), match_gain_db)


def band_changes(
    before: np.ndarray, after: np.ndarray, match_gain_db: float | None, least_share: float = 0.0
) -> tuple[Band, ...]:
    """Return what became of a spectrum in nine bands.

    Parameters
    ----------
    before, after : np.ndarray, shape=(9,)
        Powers in bands, on one scale.
    match_gain_db : float or None
        Brings ``after`` to the loudness of ``before``.
    least_share : float
        Bands with less of the whole power than this, before and after, are left out.
    """
    found = []
    for low, high, old, new in zip(BANDS_HZ[:-1], BANDS_HZ[1:], before.tolist(), after.tolist(), strict=True):
        told = max(_share(old, before), _share(new, after)) >= least_share
        if told and old > _FLOOR * float(before.sum()) and new > 0.0 and old > 0.0:
            change_db = 10.0 * np.log10(new / old) + (match_gain_db or 0.0)
            found.append(Band(low_hz=low, high_hz=high, change_db=round(float(change_db), 2) + 0.0))
    return tuple(found)


def families(entries: Iterable[Entry], stems: Sequence[str]) -> tuple[Family, ...]:
    """Return how loud each family of a pass is, as received and as prepped, the loudest first."""
    return _families(
        [(entry.item.family, entry.levels.before, entry.levels.after) for entry in entries if entry.stem in stems]
    )


def families_since(was: Mapping[str, Entry], now: Mapping[str, Entry], stems: Sequence[str]) -> tuple[Family, ...]:
    """Return how loud each family was in one pass and is in another, over the stems that both have."""
    both = [(now[stem], was[stem]) for stem in stems if stem in was]
    return _families([(new.item.family, old.levels.after, new.levels.after) for new, old in both])


def _families(stems: Iterable[tuple[str | None, Levels | None, Levels | None]]) -> tuple[Family, ...]:
    power: dict[str, np.ndarray] = {}
    for family, before, after in stems:
        if before is not None and after is not None and None not in (before.lufs, after.lufs):
            both = 10.0 ** (np.clip([each.lufs or 0.0 for each in (before, after)], *_LUFS) / 10.0)
            name = family or "other"
            power[name] = power.get(name, np.zeros(2)) + both
    found = [Family(family=name, before_lufs=_db(both[0]), after_lufs=_db(both[1])) for name, both in power.items()]
    return tuple(sorted(found, key=lambda each: -each.after_lufs))


def family_moves(found: Sequence[Family]) -> tuple[FamilyMove, ...]:
    """Return by how much each family moved against all others added up, as powers; nothing for a family alone."""
    power = 10.0 ** (np.array([[each.before_lufs, each.after_lufs] for each in found]).reshape(-1, 2) / 10.0)
    moves = []
    for number, each in enumerate(found):
        rest = np.delete(power, number, axis=0).sum(axis=0)
        if rest.min() > 0.0:
            others_db = float(10.0 * np.log10(rest[1] / rest[0]))
            move_db = round(each.after_lufs - each.before_lufs - others_db, 2) + 0.0
            moves.append(FamilyMove(family=each.family, move_db=move_db))
    return tuple(moves)


def _share(part: float, power: np.ndarray) -> float:
    whole = float(power.sum())
    return part / whole if whole > 0.0 else 0.0


def _db(power: float) -> float:
    return round(float(10.0 * np.log10(power)), 2)
