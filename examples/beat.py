"""The demo beat: eight bars in D minor at 84 beats a minute, as the stems a stranger would send."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import instruments as play
import numpy as np
from instruments import RATE_HZ, Sound

if TYPE_CHECKING:
    from collections.abc import Sequence

SEED = 84
STEP_S = 60 / 84 / 4  # one sixteenth
STEPS = 8 * 16
TAIL_S = 2.0
FRAMES = round((STEPS * STEP_S + TAIL_S) * RATE_HZ)
SWING_S = 0.018  # how late every second sixteenth comes

# One chord a bar, twice around: Dm9, Bbmaj7, Gm9, A7sus4. MIDI note numbers; 60 is middle C.
CHORDS = ((50, 57, 60, 64, 65), (46, 57, 58, 62, 65), (43, 55, 58, 62, 65), (45, 55, 57, 62, 64))
ROOTS = (26, 34, 31, 33)
MELODY = ((0, 81), (6, 77), (12, 76), (22, 74), (32, 79), (38, 77), (44, 76), (52, 72))

SESSION = """\
song: tin roof, idea 3
stems:
  Audio 07_1.wav:
    role: bells
    why: the name says nothing; it is the glassy melody
  Top Loop crunchy.wav:
    leave: driven and pumped by the producer, and the artist is used to it
"""


class Track:
    """An empty stem to put sounds on."""

    def __init__(self) -> None:
        self.samples = np.zeros(FRAMES)

    def put(self, sound: Sound, step: float, level: float = 1.0, late_s: float = 0.0) -> None:
        """Add a sound at a sixteenth, counted from the start."""
        swing_s = SWING_S if step % 2 == 1 else 0.0
        start = round((step * STEP_S + swing_s + late_s) * RATE_HZ)
        end = min(FRAMES, start + len(sound))
        self.samples[start:end] += level * sound[: end - start]


def stems() -> dict[str, Sound]:
    """Return every stem by its file name: ``(frames, channels)``, peaks between -12 and -3 dBFS."""
    rng = np.random.default_rng(SEED)
    vocal = _vocal(rng)
    return {
        "HiHat 01_PRINT.wav": _mono(_hats(rng), 0.32),
        "KICK v3.wav": _mono(_kick(), 0.62),
        "808s_bounce.wav": _mono(_bass(), 0.5),
        "Snap-room.wav": _stereo(*_snaps(rng), peak=0.4),
        "pno chords FINAL2.wav": _stereo(*_piano(rng), peak=0.36),
        "Vox chop (bounce).wav": _mono(vocal, 0.42),
        "Warm Pad.wav": _stereo(_pad(rng), _pad(rng), peak=0.27),
        "Gtr muted_L.wav": _mono(_guitar(rng), 0.3),
        "Gtr muted_R.wav": _mono(_guitar(rng), 0.29),
        "SHKR 16ths.wav": _mono(_shaker(rng), 0.26),
        "Top Loop crunchy.wav": _mono(_loop(rng), 0.28),
        "Audio 07_1.wav": _mono(_bells(), 0.3),
    }


def _mono(samples: Sound, peak: float) -> Sound:
    return play.to_peak(samples, peak)[:, np.newaxis]


def _stereo(left: Sound, right: Sound, *, peak: float) -> Sound:
    return play.to_peak(np.stack([left, right], axis=1), peak)


def _hats(rng: np.random.Generator) -> Sound:
    """Sixteenths with accents, over the rumble of a stand on a wooden floor; little above 9 kHz."""
    track = Track()
    closed = [play.hat(rng, 0.022) for _ in range(5)]
    for step in range(STEPS):
        accent = (0.9, 0.35, 0.6, 0.4)[step % 4] * rng.uniform(0.85, 1.0)
        if step % 16 == 14:
            track.put(play.hat(rng, 0.09), step, 0.8)
        elif step % 8 != 5 or step % 32 > 24:
            track.put(closed[step % 5], step, accent)
    return track.samples + 0.16 * np.resize(play.noise(rng, 5.0, 28, 95, 3), FRAMES)


def _kick() -> Sound:
    track = Track()
    kick = play.kick()
    for bar in range(8):
        for beat in (0, 7, 10) if bar % 2 == 0 else (0, 3, 10, 15):
            track.put(kick, bar * 16 + beat, 1.0 if beat in (0, 10) else 0.75)
    return track.samples


def _bass() -> Sound:
    track = Track()
    for bar in range(8):
        root, after = ROOTS[bar % 4], ROOTS[(bar + 1) % 4]
        track.put(play.bass_808(root, 6.5 * STEP_S), bar * 16)
        track.put(play.bass_808(root, 5.5 * STEP_S, slide_to=after if bar % 2 else None), bar * 16 + 10, 0.9)
    return track.samples


def _snaps(rng: np.random.Generator) -> tuple[Sound, Sound]:
    left, right = Track(), Track()
    for step in range(4, STEPS, 8):
        sound = play.snap(rng)
        left.put(sound, step)
        right.put(sound, step, 0.8, late_s=0.0004)
    return left.samples, right.samples


@cache
def _piano_note(midi: int) -> Sound:
    return play.struck_string(midi, 3.2)


def _piano(rng: np.random.Generator) -> tuple[Sound, Sound]:
    """Two chords a bar, slightly rolled; low notes sit left, high notes right."""
    left, right = Track(), Track()
    for bar in range(8):
        for beat, force in ((0, 0.9), (6, 0.55), (11, 0.7)):
            for order, midi in enumerate(CHORDS[bar % 4]):
                level, place = force * rng.uniform(0.8, 1.0), (midi - 40) / 40
                late_s = 0.009 * order + rng.uniform(0, 0.006)
                left.put(_piano_note(midi), bar * 16 + beat, level * (1 - 0.6 * place), late_s)
                right.put(_piano_note(midi), bar * 16 + beat, level * (0.4 + 0.6 * place), late_s)
    return left.samples, right.samples


def _vocal(rng: np.random.Generator) -> Sound:
    """Five syllables every two bars, all through one booth that rings."""
    track = Track()
    phrase = ((4, 69, 3), (7, 72, 2), (10, 74, 5), (20, 72, 2), (23, 69, 6))
    syllables = [(step, play.in_the_booth(play.sung(rng, midi, steps * STEP_S))) for step, midi, steps in phrase]
    for start in range(0, STEPS, 32):
        for step, sound in syllables:
            track.put(sound, start + step, rng.uniform(0.85, 1.0))
    return track.samples


def _pad(rng: np.random.Generator) -> Sound:
    track = Track()
    beds = [play.bed(rng, _above(chord), 16 * STEP_S + 0.7) for chord in CHORDS]
    for bar in range(8):
        track.put(beds[bar % 4], bar * 16)
    return track.samples


def _above(chord: Sequence[int]) -> list[int]:
    """Return a chord without its bass note, an octave up where it lies low."""
    return [midi + 12 if midi < 55 else midi for midi in chord[1:]]


def _guitar(rng: np.random.Generator) -> Sound:
    """One take of a muted figure; a second take is never quite the same."""
    track = Track()
    strings = {midi: play.plucked_string(rng, midi, 0.5) for chord in CHORDS for midi in chord}
    for bar in range(8):
        for number, beat in enumerate((2, 3, 6, 9, 12, 14)):
            midi = CHORDS[bar % 4][1 + number % 4]
            track.put(strings[midi], bar * 16 + beat, rng.uniform(0.7, 1.0), rng.uniform(0, 0.012))
    return track.samples


def _shaker(rng: np.random.Generator) -> Sound:
    track = Track()
    strokes = [play.shake(rng, 0.8 * STEP_S) for _ in range(4)]
    for step in range(STEPS):
        track.put(strokes[step % 4], step, (1.0, 0.45, 0.7, 0.45)[step % 4] * rng.uniform(0.9, 1.0))
    return track.samples


def _loop(rng: np.random.Generator) -> Sound:
    """Somebody's drum top, already crushed."""
    track = Track()
    for step in range(STEPS):
        if step % 8 == 4:
            track.put(play.snap(rng), step, 0.9)
        if step % 16 in (2, 5, 8, 13):
            track.put(play.hat(rng, 0.05), step, 0.6)
        if step % 16 in (3, 11):
            track.put(play.struck_string(74, 0.3), step, 0.25)
    return play.crushed(track.samples + 0.01 * np.resize(play.noise(rng, 5.0, 200, 8000), FRAMES))


def _bells() -> Sound:
    track = Track()
    for start in (0, 64):
        for step, midi in MELODY:
            track.put(play.glass(midi, 1.8), start + step, 0.9 if step % 32 == 0 else 0.7)
    return track.samples
