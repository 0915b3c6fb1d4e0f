"""De-ess: by its stated definition, linked, level makes no difference, and block size does not show."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import sosfreqz

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
    assert out[:, 1] == pytest.approx(out[:, 0] * 0.1, abs=1e-12)


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
