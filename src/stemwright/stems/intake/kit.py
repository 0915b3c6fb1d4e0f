"""Kit: what the microphones of one kit hear of each other: polarity and delay, by the attacks of the close one.

Conventions
-----------
The delay is that of the highest peak of the cross-correlation, by size, summed over the loudest attacks of the close microphone
after a band-pass; the polarity is its sign. Both are given only where one sign clearly leads.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stemwright.errors import AudioError
from stemwright.stems.audio import read_span
from stemwright.stems.intake import thresholds as at
from stemwright.stems.names import words_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stemwright.stems.findings import Finding
    from stemwright.stems.intake.arrived import Arrived

CLOSE_ROLES = frozenset({"kick", "snare", "toms"})
COMMON_ROLES = frozenset({"cymbals", "drum bus"})
COMMON_WORDS = frozenset({"overhead", "overheads", "oh", "ohs", "ovh", "ovhs", "ohl", "ohr", "room", "rooms"})
SPOTS = frozenset({"in", "out", "inside", "outside", "top", "bottom", "btm", "bot", "up", "down", "under", "sub", "mic"})


def kit(stems: Sequence[Arrived]) -> Iterator[Finding]:
    """Yield polarity and delay between close microphones of one drum, and between those and overheads or a room."""
    for first, second in _couples(stems):
        try:
            found = _heard_together(first, second)
        except (AudioError, OSError):
            continue  # what is wrong with the file is said where it is heard
        if found is None:
            continue
        seconds, sign, sure = found
        late = second if seconds >= 0.0 else first
        early = first if late is second else second
        after = f"{abs(seconds) * 1000.0:.2f} ms after {early.stem}" if abs(seconds) >= 5e-5 else f"with {early.stem}"
        turned = "the other way up" if sign < 0 else "the same way up"
        yield late.finding(
            "kit-polarity" if sign < 0 else "kit-delay",
            "warn" if sign < 0 else "info",
            f"hears the hits {after}, {turned} (correlation {sign * sure:+.2f})",
            why="they add where they agree and take from each other where they do not; the low end goes first",
            do="listen to both in mono with one turned over (polarity: flip in a recipe of this song), and keep what is fuller"
            if sign < 0
            else "nothing has to be done; a delay between microphones is their distance",
        )


def _couples(stems: Sequence[Arrived]) -> list[tuple[Arrived, Arrived]]:
    """Return close microphones of one drum (kick in and out, snare top and bottom), and each close one with the overheads."""
    usable = [stem for stem in stems if stem.heard.peak >= at.SILENT and stem.info.seconds >= at.KIT_APART]
    close = [stem for stem in usable if stem.role in CLOSE_ROLES]
    common = [stem for stem in usable if stem.role in COMMON_ROLES and COMMON_WORDS & set(words_of(stem.stem))]
    same = [
        (one, other)
        for number, one in enumerate(close)
        for other in close[number + 1 :]
        if one.role == other.role and SPOTS & set(words_of(one.stem)) and SPOTS & set(words_of(other.stem))
    ]
    pairs = [*same, *((one, other) for one in close for other in common)]
    return [pair for pair in pairs if pair[0].info.rate_hz == pair[1].info.rate_hz]


def _heard_together(first: Arrived, second: Arrived) -> tuple[float, int, float] | None:
    """Return the second's delay in seconds, the sign and the size of their correlation; None where none leads."""
    rate_hz = first.info.rate_hz
    one, other = (_mono(stem, round(at.KIT_SECONDS * rate_hz)) for stem in (first, second))
    frames = min(len(one), len(other))
    before, after, reach = (round(seconds * rate_hz) for seconds in (at.KIT_BEFORE, at.KIT_AFTER, at.KIT_REACH))
    total = np.zeros(2 * reach + 1)
    energies = np.zeros(2)
    for place in _attacks(one[:frames], rate_hz):
        start, stop = place - before - reach, place + after + reach
        if start < 0 or stop > frames:
            continue
        a, b = _banded(one[start + reach : stop - reach], rate_hz), _banded(other[start:stop], rate_hz)
        total += np.correlate(b, a, mode="valid")
        energies += float(a @ a), float(b[reach : len(b) - reach] @ b[reach : len(b) - reach])
    if energies.min() <= 0.0:
        return None
    total /= np.sqrt(energies.prod())
    best = int(np.abs(total).argmax())
    sign = 1 if total[best] > 0.0 else -1
    against = float((-sign * total).max())
    if abs(total[best]) < at.KIT_SURE or abs(total[best]) < at.KIT_CLEAR * against:
        return None
    return (best - reach) / rate_hz, sign, min(abs(float(total[best])), 1.0)


def _mono(stem: Arrived, frames: int) -> np.ndarray:
    return np.asarray(read_span(stem.source, stem.info, 0, min(frames, stem.info.frames)).mean(axis=1))


def _attacks(audio: np.ndarray, rate_hz: int) -> list[int]:
    """Return the frames of the steepest rises, loudest first, apart from each other."""
    step = max(rate_hz // 500, 1)
    energy = (audio[: len(audio) // step * step].reshape(-1, step) ** 2).sum(axis=1)
    rise = np.diff(energy, prepend=0.0)
    places: list[int] = []
    for place in np.argsort(-rise):
        if len(places) == at.KIT_HITS or rise[place] <= 0.01 * rise.max():
            break
        if all(abs(int(place) - other) * step >= at.KIT_APART * rate_hz for other in places):
            places.append(int(place))
    return [place * step for place in places]


def _banded(part: np.ndarray, rate_hz: int) -> np.ndarray:
    """Return a part with only the band that both microphones hear."""
    spectrum = np.fft.rfft(part, 2 * len(part))
    freqs = np.fft.rfftfreq(2 * len(part), 1.0 / rate_hz)
    spectrum[(freqs < at.KIT_FROM_HZ) | (freqs > at.KIT_TO_HZ)] = 0.0
    return np.asarray(np.fft.irfft(spectrum)[: len(part)])
