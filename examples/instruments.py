"""Instruments: one small function each, from a note's numbers to samples; numpy only.

Conventions
-----------
A sound is a mono float64 array at 48 kHz that starts with its own first sample and is about 1 at its peak. ``rng`` is the
only source of chance, so the same seed gives the same beat.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

RATE_HZ = 48_000
Sound: TypeAlias = npt.NDArray[np.float64]
Spectrum: TypeAlias = npt.NDArray[np.complex128]
Frequencies: TypeAlias = "npt.NDArray[np.floating]"
Shape: TypeAlias = "Callable[[Frequencies], Spectrum | Sound]"

# Centre frequencies (Hz) of the first four formants: textbook vowels, moved up a little for a small voice.
VOWEL_OH = (520.0, 920.0, 2700.0, 3500.0)
VOWEL_AH = (820.0, 1300.0, 2850.0, 3700.0)
FORMANT_WIDTHS_HZ = (90.0, 110.0, 170.0, 220.0)
FORMANT_LEVELS = (1.0, 0.6, 0.22, 0.12)
# The one planted ring: a fixed resonance of the booth, there at every note of the voice.
RING_HZ = 2930.0
RING_GAIN_DB = 12.0
RING_Q = 30.0


def note_hz(midi: float) -> float:
    """Return the frequency of a MIDI note number; A4 is 69 and 440 Hz."""
    return float(440.0 * 2 ** ((midi - 69) / 12))


def clock(seconds: float) -> Sound:
    """Return the times, in seconds, of a sound's samples."""
    return np.arange(round(seconds * RATE_HZ)) / RATE_HZ


def faded(sound: Sound, attack_s: float = 0.002, release_s: float = 0.02) -> Sound:
    """Return the sound with its first and last moments faded, so that it neither clicks on nor off."""
    up = np.minimum(np.arange(len(sound)) / max(1.0, attack_s * RATE_HZ), 1.0)
    down = np.minimum(np.arange(len(sound))[::-1] / max(1.0, release_s * RATE_HZ), 1.0)
    return sound * up * down


def to_peak(sound: Sound, peak: float = 1.0) -> Sound:
    """Return the sound scaled to a peak."""
    return sound * (peak / max(float(np.abs(sound).max()), 1e-12))


def filtered(sound: Sound, shape: Shape) -> Sound:
    """Return the sound with its spectrum multiplied by ``shape``, a function of frequency in Hz."""
    size = len(sound)
    padded = 1 << (size + RATE_HZ // 20).bit_length()
    spectrum = np.fft.rfft(sound, padded) * shape(np.fft.rfftfreq(padded, 1 / RATE_HZ))
    return np.fft.irfft(spectrum, padded)[:size]


def band(low_hz: float, high_hz: float, order: int = 2) -> Shape:
    """Return the shape of a band with gentle skirts."""

    def shape(freq_hz: Frequencies) -> Sound:
        with np.errstate(divide="ignore"):
            low = 1 / np.sqrt(1 + (low_hz / freq_hz) ** (2 * order))
        both: Sound = low / np.sqrt(1 + (freq_hz / high_hz) ** (2 * order))
        return both

    return shape


def resonance(freq_hz: float, gain_db: float, q: float) -> Shape:
    """Return the complex response of a narrow resonance: an analog bell, so that it also rings on in time."""
    amount = 10 ** (gain_db / 40)

    def shape(at_hz: Frequencies) -> Spectrum:
        s = 1j * at_hz / freq_hz
        bell: Spectrum = (s * s + s * amount / q + 1) / (s * s + s / (amount * q) + 1)
        return bell

    return shape


def noise(rng: np.random.Generator, seconds: float, low_hz: float, high_hz: float, order: int = 2) -> Sound:
    """Return noise in a band, peak 1, whose end fits its start, so that it can be repeated without a seam."""
    size = round(seconds * RATE_HZ)
    spectrum = np.fft.rfft(rng.standard_normal(size)) * band(low_hz, high_hz, order)(np.fft.rfftfreq(size, 1 / RATE_HZ))
    return to_peak(np.fft.irfft(spectrum, size))


def partial(freq_hz: float, decay_s: float, seconds: float, phase: float = 0.0) -> Sound:
    """Return a sine that dies away to 1/e in ``decay_s``; powers of one complex number, cheaper than a sine a sample."""
    size = round(seconds * RATE_HZ)
    step = complex(-1 / decay_s, 2 * np.pi * freq_hz) / RATE_HZ
    rows = np.exp(step * 512 * np.arange(-(-size // 512)) + 1j * phase)
    return np.outer(rows, np.exp(step * np.arange(512))).imag.reshape(-1)[:size]


def kick() -> Sound:
    """Return a kick: a sine that falls from 150 to 50 Hz, some cardboard at 320 Hz, and a beater."""
    t = clock(0.45)
    body = np.sin(2 * np.pi * (50 * t + 100 * 0.03 * (1 - np.exp(-t / 0.03)))) * np.exp(-t / 0.13)
    box = 0.16 * np.sin(2 * np.pi * 320 * t) * np.exp(-t / 0.05)
    beater = 0.25 * np.sin(2 * np.pi * 3400 * t) * np.exp(-t / 0.003)
    return to_peak(faded(body + box + beater, 0.0005, 0.05))


def bass_808(midi: float, seconds: float, slide_to: float | None = None) -> Sound:
    """Return a long 808: nearly a sine, driven a little, with a slide to another note at its end if asked."""
    t = clock(seconds)
    freq_hz = np.full(len(t), note_hz(midi))
    if slide_to is not None:
        way = np.clip((t - 0.65 * seconds) / (0.2 * seconds), 0, 1)
        freq_hz *= 2 ** (way * (slide_to - midi) / 12)
    freq_hz *= 1 + 1.2 * np.exp(-t / 0.012)
    wave = np.sin(2 * np.pi * np.cumsum(freq_hz) / RATE_HZ) * np.exp(-t / (0.8 * seconds))
    return to_peak(faded(np.tanh(1.8 * wave), 0.001, 0.06))


def hat(rng: np.random.Generator, decay_s: float) -> Sound:
    """Return a hi-hat that was recorded dull: metal from 3 kHz up, falling from 9 kHz."""
    t = clock(decay_s * 6)
    metal = sum(np.sign(np.sin(2 * np.pi * freq_hz * t)) for freq_hz in (3170.0, 4230.0, 5090.0, 6410.0, 7730.0))
    strike = filtered(np.asarray(metal) * 0.25 + rng.standard_normal(len(t)), band(3200, 9000, 3))
    return to_peak(faded(strike * np.exp(-t / decay_s), 0.0005, 0.01))


def snap(rng: np.random.Generator) -> Sound:
    """Return a finger snap: three tiny bursts close together, and the hand's own resonance."""
    t = clock(0.25)
    hits = ((0, 0.5), (0.009, 0.7), (0.017, 1.0))
    bursts = sum(level * np.exp(-np.maximum(t - at, 0) / 0.006) * (t >= at) for at, level in hits)
    room = 0.08 * np.exp(-t / 0.06)
    return to_peak(faded(filtered(rng.standard_normal(len(t)), band(1300, 5200, 2)) * (bursts + room), 0.0005))


def shake(rng: np.random.Generator, seconds: float) -> Sound:
    """Return one stroke of a shaker: grains that swell and stop."""
    t = clock(seconds)
    swell: Sound = np.sin(np.pi * np.minimum(t / seconds, 1)) ** 2
    return noise(rng, seconds, 4500, 11_000) * swell


def struck_string(midi: float, seconds: float) -> Sound:
    """Return a piano-like note: stiff strings (partials sharpen by sqrt(1 + B n^2)), two of them a little apart."""
    f0 = note_hz(midi)
    stiffness = 0.0004 * 2 ** ((midi - 60) / 12)
    wave = np.zeros(round(seconds * RATE_HZ))
    for n in range(1, 17):
        freq_hz = n * f0 * np.sqrt(1 + stiffness * n * n)
        if freq_hz > 9000:
            break
        hammer = abs(np.sin(np.pi * n / 8.3)) / n**1.25  # struck at about an eighth of its length
        decay_s = 1.9 * (261.6 / f0) ** 0.5 / (1 + 0.22 * n)
        wave += hammer * partial(freq_hz, decay_s, seconds)
        wave += 0.5 * hammer * partial(freq_hz * 1.0004, 2.5 * decay_s, seconds, phase=n)
    return to_peak(faded(wave, 0.0025, 0.25))


def plucked_string(rng: np.random.Generator, midi: float, seconds: float) -> Sound:
    """Return a muted guitar string: one period of noise, smoothed a little more at every round (Karplus and Strong)."""
    period = round(RATE_HZ / note_hz(midi))
    loop = rng.uniform(-1, 1, period)
    rounds = []
    for _ in range(round(seconds * RATE_HZ / period)):
        rounds.append(loop)
        loop = 0.494 * (loop + np.concatenate([loop[-1:], loop[:-1]]))
    return to_peak(faded(filtered(np.concatenate(rounds), band(70, 4500)), 0.001, 0.08))


def in_the_booth(sound: Sound) -> Sound:
    """Return the sound as recorded in a booth with one fixed resonance, which rings on for a moment."""
    return filtered(np.concatenate([sound, np.zeros(RATE_HZ // 20)]), resonance(RING_HZ, RING_GAIN_DB, RING_Q))


def sung(rng: np.random.Generator, midi: float, seconds: float) -> Sound:
    """Return a sung syllable that opens from "oh" to "ah": harmonics weighted by moving formants, vibrato, breath."""
    t = clock(seconds)
    wobble = 0.12 * np.clip(t / seconds * 2 - 0.4, 0, 1) * np.sin(2 * np.pi * 5.4 * t) - 0.9 * np.exp(-t / 0.04)
    freq_hz = note_hz(midi) * 2 ** (wobble / 12)
    phase = 2 * np.pi * np.cumsum(freq_hz) / RATE_HZ
    opened = np.clip(t / seconds * 1.6 - 0.2, 0, 1)
    wave = np.zeros(len(t))
    for n in range(1, int(9000 / note_hz(midi))):
        gain = np.full(len(t), 0.012)
        for closed_hz, open_hz, width_hz, level in zip(VOWEL_OH, VOWEL_AH, FORMANT_WIDTHS_HZ, FORMANT_LEVELS, strict=True):
            centre_hz = closed_hz + (open_hz - closed_hz) * opened
            gain += level / np.sqrt(1 + ((n * freq_hz - centre_hz) / (width_hz / 2)) ** 2)
        wave += gain / n**0.5 * np.sin(n * phase)
    breath = 0.06 * noise(rng, seconds, 2500, 9000)
    return to_peak(faded(to_peak(wave) + breath, 0.03, 0.09))


def bed(rng: np.random.Generator, notes: Sequence[float], seconds: float) -> Sound:
    """Return a pad: three saws a little out of tune for each note, dulled, with a slow start and end."""
    t = clock(seconds)
    wave = np.zeros(len(t))
    for midi in notes:
        for cents in (-7.0, 0.0, 8.0):
            wave += 2 * ((note_hz(midi + cents / 100) * t + rng.uniform()) % 1) - 1
    return to_peak(faded(filtered(wave, band(60, 1700)), 0.5, 0.7))


def glass(midi: float, seconds: float) -> Sound:
    """Return a glassy bell: five partials of a struck bar, whose ratios are no whole numbers."""
    bar = ((1.0, 1.0, 0.9), (2.76, 0.5, 0.45), (5.40, 0.3, 0.2), (8.93, 0.12, 0.1), (0.5, 0.2, 1.2))
    wave = sum(level * partial(note_hz(midi) * ratio, decay_s, seconds) for ratio, level, decay_s in bar)
    return to_peak(faded(np.asarray(wave)))


def crushed(sound: Sound) -> Sound:
    """Return the sound as somebody's finished loop: driven, nine bits, pumped out of its own dynamics."""
    return to_peak(np.round(np.tanh(2.5 * to_peak(sound)) * 256) / 256)
