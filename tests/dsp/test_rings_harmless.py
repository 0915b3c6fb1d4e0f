"""How much of a ring a notch may take: held against digital filters, which the module itself does not use."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import signal

from stemwright.dsp.rings import RingSettings, decide, find_rings, plan_notches
from stemwright.dsp.rings.harmless import SHARES, harmless_share

RATE_HZ = 96000  # high, so that the digital filters are near their analog originals
OCTAVES = np.arange(-240, 241) / 240
HZ = 1000.0 * np.exp2(OCTAVES)


def mode(gain_db, q, phase):
    """Return the response of one and a decaying cosine of that phase, as strong as lifts its top by the gain (bisection)."""
    pole = np.exp((-math.pi / q + 2j * math.pi) * 1000.0 / RATE_HZ)
    turn = np.exp(1j * phase)
    above, below = [turn.real, -(turn * np.conj(pole)).real], [1.0, -2 * pole.real, abs(pole) ** 2]
    answer, fine = (signal.freqz(above, below, hz, fs=RATE_HZ)[1] for hz in (HZ, 1000 * np.exp2(np.linspace(-1, 1, 4001))))
    low, high = 0.0, 10.0
    for _ in range(50):
        share = (low + high) / 2
        low, high = (low, share) if np.abs(1 + share * fine).max() > 10 ** (gain_db / 20) else (share, high)
    return 1 + low * answer


def cut(depth_db, q):
    """Return the response of the cookbook's peakingEQ that cuts."""
    root, turn = 10 ** (-depth_db / 40), 2 * math.pi * 1000.0 / RATE_HZ
    alpha, c = math.sin(turn) / (2 * q), math.cos(turn)
    rows = [1 + alpha * root, -2 * c, 1 - alpha * root], [1 + alpha / root, -2 * c, 1 - alpha / root]
    return signal.freqz(*rows, HZ, fs=RATE_HZ)[1]


def left(heard, rung, gain_db, q, share):
    """Return the power of the difference from the clean sound with so much taken, over that untouched."""
    weights = heard / np.abs(rung) ** 2 * HZ
    after = (weights * np.abs(rung * cut(share * gain_db, q) - 1) ** 2).sum()
    return after / (weights * np.abs(rung - 1) ** 2).sum()


def with_partial(octaves, level_db):
    """Return a flat power spectrum with one line in it."""
    power = np.ones(len(OCTAVES))
    power[np.argmin(np.abs(OCTAVES - octaves))] += 10 ** (level_db / 10)
    return power


@pytest.mark.parametrize("partial", [(-0.3, 25.0), (-0.3, 40.0), (0.25, 30.0), (-0.1, 25.0), (0.6, 35.0), (0.0, 20.0)])
@pytest.mark.parametrize(("gain_db", "q"), [(6.0, 8.0), (12.0, 8.0), (12.0, 20.0), (18.0, 15.0)])
def test_with_its_share_no_mode_a_quarter_turn_off_ends_farther_from_clean_and_with_more_one_does(gain_db, q, partial):
    phases = (math.pi / 2, -math.pi / 2)
    modes = [mode(gain_db, q * 10 ** (gain_db / 40), phase) for phase in phases]
    for there in modes:
        heard = with_partial(*partial) * np.abs(there) ** 2
        # Of what is heard nobody knows which of the two it was, nor so what the clean sound is.
        worst = {share: max(left(heard, rung, gain_db, q, share) for rung in modes) for share in SHARES}
        share = harmless_share(OCTAVES, 10 * np.log10(heard), gain_db, q)
        assert share == 0 or worst[share] < 1.03
        assert share == 1 or min(worst[more] for more in SHARES if more > share) > 0.97


def test_shares_are_eighths():
    assert tuple(eighths / 8 for eighths in range(8, 0, -1)) == SHARES


def test_in_a_flat_sound_all_of_a_ring_may_be_taken_and_beside_a_far_louder_partial_nothing():
    assert harmless_share(OCTAVES, np.zeros(len(OCTAVES)), 12.0, 20.0) == 1.0
    assert harmless_share(OCTAVES, 10 * np.log10(with_partial(-0.3, 60.0)), 12.0, 8.0) == 0.0


def test_no_notch_goes_deeper_than_it_may_without_harm(monkeypatch):
    root, turn = 10 ** (12.0 / 40), 2 * math.pi * 2400.0 / RATE_HZ
    alpha, c = math.sin(turn) / 60, math.cos(turn)
    rows = [1 + alpha * root, -2 * c, 1 - alpha * root], [1 + alpha / root, -2 * c, 1 - alpha / root]
    audio = signal.lfilter(*rows, np.random.default_rng(5).normal(size=4 * RATE_HZ) * 0.1)
    every = RingSettings(at_most=1, least_db=0, least_confidence=0)
    (ring,) = find_rings(audio, RATE_HZ, every)
    assert ring.most_cut_db == ring.excess_db  # noise has no partials, and a bell explains all of it
    asked = []
    monkeypatch.setattr(decide, "harmless_share", lambda *near: asked.append(near) or 0.25)
    (held,) = find_rings(audio, RATE_HZ, every)
    assert (held.excess_db, held.most_cut_db) == pytest.approx((ring.excess_db, ring.excess_db / 4))
    (notch,) = plan_notches([held], depth_percent=50, deepest_db=24, most_band_loss_db=99)
    assert notch.gain_db == pytest.approx(-ring.excess_db / 4)
    octaves, power_db, cut_db, q = asked[0]
    assert len(octaves) == len(power_db) == 481
    assert np.abs(octaves).min() < 1 / 480  # counted from the ring
    assert (cut_db, q, ring.freq_hz) == pytest.approx((ring.excess_db, ring.q, 2400.0), rel=0.003)
