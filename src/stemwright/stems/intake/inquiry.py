"""The inquiry: every check over every stem, in one fixed order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.stems.intake.duplicates import duplicates
from stemwright.stems.intake.kit import kit
from stemwright.stems.intake.levels import levels, no_numbers
from stemwright.stems.intake.metadata import metadata, names, tempo_of, tempos_differ
from stemwright.stems.intake.spectrum import spectrum
from stemwright.stems.intake.stereo import pair, stereo
from stemwright.stems.intake.timing import timing, together

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.stems.findings import Finding
    from stemwright.stems.intake.arrived import Arrived

CHECKS = (levels, stereo, spectrum, timing, metadata)

__all__ = ["inquire", "no_numbers"]


def inquire(stems: Sequence[Arrived], all_names: Sequence[str] | None = None) -> list[Finding]:
    """Return all findings on the stems of a song.

    Parameters
    ----------
    stems : sequence of Arrived
        Those that can be worked on.
    all_names : sequence of str, optional
        Names of all stems, those included that could not be read.

    Returns
    -------
    list of Finding
        The song's first, then each stem's; none of them stops a stem (`no_numbers` does, while it is heard).
    """
    found = list(names([stem.stem for stem in stems] if all_names is None else all_names))
    found.extend(together(stems, tempo_of(stems)))
    found.extend(tempos_differ(stems))
    found.extend(duplicates(stems))
    found.extend(pair(stems))
    found.extend(kit(stems))
    for stem in stems:
        for check in CHECKS:
            found.extend(check(stem))
    return found
