"""The quantiser: published dither statistics, reproducibility, and silence."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stemwright.dsp.dither import COUNTED, STREAMED, Quantiser, _Counted


@pytest.mark.parametrize("level_lsb", [0.0001, 0.125, 0.25, 0.4, 0.5, 0.9])
def test_total_error_variance_is_a_quarter_lsb_squared_at_every_level(level_lsb):
    # Lipshitz, Wannamaker & Vanderkooy, JAES 40(5), 1992 (value from memory): TPDF of 2 LSB peak to peak gives a total
    # error of LSB**2 / 4 and mean zero whatever the input. 400,000 samples: the variance estimate is good to 0.2 %.
    block = np.full((200_000, 2), level_lsb * 2.0**-15)
    error = Quantiser(16, 7).process(block).samples - level_lsb
    assert np.var(error) == pytest.approx(0.25, abs=0.003)
    assert np.mean(error) == pytest.approx(0.0, abs=0.004)


def test_a_tone_below_one_lsb_survives():
    # Property of dither (same source): a 0.4 LSB sine comes back at 0.4 LSB, where plain rounding gives silence.
    sine = np.sin(2 * np.pi * 1000 * np.arange(480_000) / 48_000)
    samples = Quantiser(16, 3).process((0.4 * 2.0**-15 * sine)[:, None]).samples[:, 0]
    assert 2 * np.mean(samples * sine) == pytest.approx(0.4, abs=0.01)


@given(st.integers(1, 5000), st.integers(0, 2**48 - 1), st.sampled_from([16, 24, 32]))
def test_block_size_never_shows(size, seed, bits):
    audio = np.random.default_rng(1).standard_normal((5000, 2)) * 0.1
    whole = Quantiser(bits, seed).process(audio).samples
    blocks = Quantiser(bits, seed)
    parts = [blocks.process(audio[at : at + size]).samples for at in range(0, len(audio), size)]
    assert np.array_equal(np.concatenate(parts), whole)


@pytest.mark.parametrize("kind", [COUNTED, STREAMED])
def test_a_silent_block_uses_up_its_numbers(kind):
    # Property: block size never shows, also where a whole block is silent and none of its numbers is needed.
    audio = np.random.default_rng(1).standard_normal((3000, 2)) * 0.1
    audio[1000:2000] = 0.0
    blocks = Quantiser(24, 5, kind)
    parts = [blocks.process(audio[at : at + 1000]).samples for at in range(0, 3000, 1000)]
    assert np.array_equal(np.concatenate(parts), Quantiser(24, 5, kind).process(audio).samples)


def test_silence_stays_silence():
    assert not Quantiser(24, 1).process(np.zeros((1000, 2))).samples.any()


def test_overs_are_counted_and_clipped_to_the_word():
    block = np.array([[1.5], [-1.5], [0.0]])
    result = Quantiser(16, 0).process(block)
    assert result.overs == 2
    assert result.samples[:, 0].tolist() == [32767, -32768, 0]


def test_no_sample_is_more_than_one_and_a_half_lsb_away():
    # Arithmetic: dither within +-1 LSB and rounding within +-0.5.
    audio = np.random.default_rng(2).uniform(-0.9, 0.9, (100_000, 1))
    error = Quantiser(24, 9).process(audio).samples - audio * 2**23
    assert np.abs(error).max() <= 1.5


def test_the_counted_numbers_are_splitmix64s():
    # Vigna's splitmix64.c from seed 1234567 (the values are in many libraries' tests; from memory).
    expected = [6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821]
    assert _Counted(1234567).draw(5).tolist() == expected


def test_dither_of_the_older_kind_is_still_numpys_stream():
    # Arithmetic on numpy's own numbers: both 32-bit halves of each, added, in LSB around nothing.
    raw = np.random.PCG64(11).random_raw(1000)
    triangle = (raw % 2**32 + raw // 2**32) / 2.0**32 - 1.0
    samples = Quantiser(16, 11, STREAMED).process(np.full((1000, 1), 0.25)).samples[:, 0]
    assert samples.tolist() == np.rint(0.25 * 2**15 + triangle).tolist()


@pytest.mark.parametrize("kind", [COUNTED, STREAMED])
def test_a_block_of_nothing_is_nothing(kind):
    found = Quantiser(16, 1, kind)._process_in_numpy(np.zeros((0, 2)))
    assert (found.samples.shape, found.overs) == ((0, 2), 0)


def test_a_seed_is_taken_by_its_64_bits():
    assert _Counted(7 + 2**64).draw(5).tolist() == _Counted(7).draw(5).tolist()
    assert _Counted(2**64 - 1).draw(5).tolist() == _Counted(-1).draw(5).tolist()
