"""De-ess: by its stated definition, linked, level makes no difference, and block size does not show."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import sosfilt, sosfreqz

from stemwright.dsp.de_ess import STEP_SECONDS, DeEsser, DeEssSettings
from stemwright.plan.resolve import sections_of

RATE_HZ = 48_000
SETTINGS = DeEssSettings(freq_hz=5000.0, over_db=-6.0, most_db=4.0, attack_ms=2.0, release_ms=60.0)


def stage(channels=1, settings=SETTINGS):
    rows = np.array(sections_of("de_ess", {"freq_hz": settings.freq_hz}, RATE_HZ))
    return DeEsser(settings, rows, RATE_HZ, channels)


def tone(freq_hz, peak, seconds=1.0):
    return (peak * np.sin(2 * np.pi * freq_hz * np.arange(round(seconds * RATE_HZ)) / RATE_HZ))[:, np.newaxis]


def run(one, sound, block=4096):
    parts = [one.process(sound[start : start + block]) for start in range(0, len(sound), block)]
    return np.concatenate([*parts, one.finish()])


def test_what_is_no_sibilance_goes_through_untouched():
    assert np.array_equal(run(stage(), tone(200.0, 0.5)), tone(200.0, 0.5))


# At 14 kHz the band is 1/(1 + (5/14)^2) of the sound, -1.05 dB: more than 4 dB over the threshold, so the full reduction.
# What is left of it is 1 - (1 - 10^(-4/20)) H by definition, H from scipy.
@pytest.mark.parametrize("peak", [0.5, 0.01])
def test_steady_sibilance_is_lowered_by_the_most_at_any_level(peak):
    one = stage()
    out = run(one, tone(14_000.0, peak))[RATE_HZ // 2 :]
    left_db = 20 * np.log10(np.sqrt(2 * np.mean(out**2)) / peak)
    rows = np.array(sections_of("de_ess", {"freq_hz": 5000.0}, RATE_HZ))
    band = sosfreqz(np.concatenate([rows, rows]), [14_000.0], fs=RATE_HZ)[1][0]
    assert left_db == pytest.approx(20 * np.log10(abs(1 - (1 - 10 ** (-4 / 20)) * band)), abs=0.05)
    assert one.reduction.most_db == pytest.approx(4.0, abs=0.01)


def test_channels_are_lowered_alike():
    left, right = tone(12_000.0, 0.5), tone(12_000.0, 0.05)
    out = run(stage(2), np.hstack([left, right]))
    np.testing.assert_allclose(out[:, 1], out[:, 0] * 0.1, atol=1e-12)


def test_release_falls_to_37_percent_in_its_time():
    """63 % of the change in dB is gone after the release (time constant of a first-order system), past the 8 ms smoothing."""
    one = stage()
    run(one, tone(12_000.0, 0.5, 0.5))
    trace = []
    for _ in range(150):
        one.process(tone(200.0, 0.5, 0.001))
        trace.append(one._now_db)
    start = next(at for at, value in enumerate(trace) if value < 3.9)
    assert next(at for at, value in enumerate(trace) if value < trace[start] * np.exp(-1)) - start == pytest.approx(
        60, abs=2
    )


def test_block_size_does_not_show(noise):
    sound = noise(seconds=1.7)
    assert np.array_equal(run(stage(2), sound, 4096), run(stage(2), sound, 333))


# Arithmetic: steps of 1 ms; after the sibilance the 4 dB fall below 0.1 dB in 60 ms times ln 40; the 8 ms smoothing adds a little.
def test_the_share_of_the_time_it_works_in_counts_every_step_once():
    one = stage()
    run(one, tone(14_000.0, 0.5, 1.0))
    run(one, tone(200.0, 0.5, 1.0))
    assert one._steps == round(2.0 / STEP_SECONDS)
    assert one.reduction.share == pytest.approx((1000 + 60 * np.log(40)) / 2000, abs=0.005)
    fresh = stage()
    assert (fresh.reduction.share, fresh.reduction.mean_db, fresh.reduction.most_db) == (0.0, 0.0, 0.0)
    run(fresh, tone(200.0, 0.5, 0.1))
    assert fresh.reduction.share == 0.0


def test_a_sound_whose_band_is_empty_goes_through_untouched():
    """A section that lets nothing through leaves the band at exactly 0, whose level has no logarithm."""
    deaf = DeEsser(SETTINGS, np.array([[0.0, 0.0, 0.0, 1.0, 0.0, 0.0]]), RATE_HZ, 1)
    assert np.array_equal(run(deaf, tone(200.0, 0.5)), tone(200.0, 0.5))


def plainly(sound, rate_hz, settings, rows):
    """Return the de-esser by its conventions, one millisecond after the other, and what it says it did."""
    step = max(round(rate_hz / 1000), 1)
    padded = np.concatenate([sound, np.zeros((-len(sound) % step, sound.shape[1]))])
    band = sosfilt(np.concatenate([rows, rows]), padded, axis=0)
    top = whole = now_db = 0.0
    gain, out, trace = 1.0, [], []
    for at in range(0, len(padded), step):
        top += (np.mean(band[at : at + step] ** 2) - top) / 8.0
        whole += (np.mean(padded[at : at + step] ** 2) - whole) / 8.0
        over_db = 10 * np.log10(top / whole) - settings.over_db if whole > 1e-6 else 0.0
        wanted_db = min(max(over_db, 0.0), settings.most_db)
        time_ms = settings.attack_ms if wanted_db > now_db else settings.release_ms
        now_db += (1 - np.exp(-1000.0 * step / rate_hz / time_ms)) * (wanted_db - now_db)
        end = 10 ** (-now_db / 20)
        ramp = gain + (end - gain) * np.arange(1, step + 1) / step
        out.append(padded[at : at + step] - (1 - ramp[:, np.newaxis]) * band[at : at + step])
        gain = end
        trace.append(now_db)
    working = [each for each in trace if each >= 0.1]
    return np.concatenate(out)[: len(sound)], (max(trace), np.mean(working), len(working) / len(trace))


@pytest.mark.parametrize("rate_hz", [8_000, 44_100])
def test_it_is_its_conventions_step_by_step(rate_hz):
    rng = np.random.default_rng(6)
    settings = DeEssSettings(freq_hz=2500.0, over_db=-9.0, most_db=5.0, attack_ms=3.0, release_ms=25.0)
    rows = np.array(sections_of("de_ess", {"freq_hz": settings.freq_hz}, rate_hz))
    sound = rng.standard_normal((round(0.3037 * rate_hz), 2)) * [0.2, 0.05]
    sound[: len(sound) // 3] = np.cumsum(sound[: len(sound) // 3], axis=0) * 0.05  # dark, then bright, then under -60 dBFS
    sound[2 * len(sound) // 3 :] *= 1e-4
    one = DeEsser(settings, rows, rate_hz, 2)
    expected, (most_db, mean_db, share) = plainly(sound, rate_hz, settings, rows)
    np.testing.assert_allclose(run(one, sound, 600), expected, atol=1e-9)
    found = one.reduction
    assert (found.most_db, found.mean_db, found.share) == pytest.approx((most_db, mean_db, share))


def test_nothing_fed_is_nothing_held_back():
    one = stage(2)
    assert one.finish().shape == one.process(np.zeros((0, 2))).shape == (0, 2)
    assert one.process(np.zeros((50, 2))).shape == (48, 2)
    assert one.finish().shape == (2, 2)
    assert one.finish().shape == (0, 2)
