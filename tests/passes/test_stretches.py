"""Stretches of a song: where they lie, what a sum of files is in them, and what its bands hold; arithmetic on paper."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.errors import AudioError
from stemwright.passes.heard import CENTRES_HZ, FFT
from stemwright.passes.stretches import BANDS_HZ, Stretch, in_bands, measure, read_stretch, stretches_of
from stemwright.stems.audio import probe
from stemwright.stems.mixdown import Part, form_of

RATE_HZ = 8_000


@pytest.fixture
def part(tmp_path):
    def make(name, audio, rate_hz=RATE_HZ, subtype="DOUBLE"):
        path = tmp_path / name
        soundfile.write(path, audio, rate_hz, subtype)
        return Part(path=path, info=probe(path))

    return make


# Eight stretches of 3 s are 24 s: what is no longer is read whole.
@pytest.mark.parametrize("seconds", [0.5, 24.0])
def test_a_short_song_is_one_stretch(seconds):
    assert stretches_of(seconds) == (Stretch(0.0, seconds),)


def test_of_a_long_song_the_middles_of_eight_equal_parts_are_taken():
    # 80 s: parts of 10 s, the first stretch from 3.5 to 6.5 s.
    assert stretches_of(80.0) == tuple(Stretch(3.5 + 10.0 * number, 3.0) for number in range(8))
    # 25 s: parts of 3.125 s, 0.0625 s in; to a thousandth.
    assert [each.start_s for each in stretches_of(25.0)][:3] == [0.062, 3.188, 6.312]


# IEC 61260-1's nominal frequencies: 20 25 31.5 40 50, 63 80 100, 125 160 200, 250 315 400, 500 630 800, 1 1.25 1.6, 2 2.5 3.15,
# 4 5 6.3, 8 10 12.5 16 20 kHz; exactly they lie at powers of a tenth of ten, such as 19.95 Hz and 1995 Hz.
def test_each_third_octave_counts_in_the_band_of_its_nominal_frequency():
    assert in_bands(np.arange(1.0, len(CENTRES_HZ) + 1)).tolist() == [
        1 + 2 + 3 + 4 + 5, 6 + 7 + 8, 9 + 10 + 11, 12 + 13 + 14, 15 + 16 + 17, 18 + 19 + 20, 21 + 22 + 23, 24 + 25 + 26,
        27 + 28 + 29 + 30 + 31,
    ]  # fmt: skip


def test_edges_inside_a_song_are_faded_over_10_ms_and_those_of_a_whole_one_are_not(part):
    one = part("one.wav", np.full((8_000, 1), 0.5))
    whole = measure([one], form_of([one]), [Stretch(0.0, 1.0)])
    assert whole.levels.rms_dbfs == -6.02
    # Two halves, four fades of 80 frames n / 80: each holds sum (n/80)^2 = 79 * 80 * 159 / 6 / 6400 = 26.169 of 80 frames.
    halves = measure([one], form_of([one]), [Stretch(0.0, 0.5), Stretch(0.5, 0.5)])
    assert halves.levels.rms_dbfs == round(-6.0206 + 10 * np.log10((8000 - 4 * (80 - 26.16875)) / 8000), 2)


def test_a_file_that_ends_before_or_in_a_stretch_is_silent_from_there(part):
    long, short = part("long.wav", np.full((8_000, 1), 0.25)), part("short.wav", np.full((4_000, 1), 0.25))
    form = form_of([long, short])
    # Half of it 0.5, half 0.25: mean square (0.25 + 0.0625) / 2.
    assert measure([long, short], form, [Stretch(0.0, 1.0)]).levels.rms_dbfs == round(10 * np.log10(0.3125 / 2), 2)
    assert len(read_stretch(short, form, Stretch(0.25, 0.5))) == 2_000
    assert len(read_stretch(short, form, Stretch(0.5, 0.5))) == 0
    assert read_stretch(long, form, Stretch(0.25, 0.5)).shape == (4_000, 1)


def test_a_file_of_another_rate_is_read_at_that_of_the_sum(part):
    plain, other = part("plain.wav", np.zeros((8_000, 1))), part("other.wav", np.full((16_000, 1), 0.25), 2 * RATE_HZ)
    form = form_of([plain, plain, other])
    found = read_stretch(other, form, Stretch(0.25, 0.5))
    assert form.rate_hz == RATE_HZ
    assert len(found) == 4_000
    assert found[1000:3000] == pytest.approx(np.full((2_000, 1), 0.25), abs=1e-3)


@pytest.mark.parametrize("odd", [np.nan, np.inf])
def test_samples_that_are_no_numbers_are_no_sound(part, odd):
    audio = np.zeros((8_000, 1))
    audio[4_000] = odd
    one = part("one.wav", audio)
    with pytest.raises(AudioError) as caught:
        read_stretch(one, form_of([one]), Stretch(0.0, 1.0))
    assert str(caught.value) == "one.wav holds samples that are no numbers; see: stemwright look SONG"
    assert not read_stretch(one, form_of([one]), Stretch(0.0, 0.25)).any()


def test_the_bands_reach_over_all_that_is_heard():
    assert (BANDS_HZ[0], BANDS_HZ[-1], len(BANDS_HZ)) == (20.0, 20_000.0, 10)


def test_a_tone_has_its_level_in_its_band_and_next_to_none_in_the_others(part):
    # A sine of 0.25 has an RMS of -15.05 dBFS; one ten times as soft, -35.05. Eight windows of 8192 frames, a quarter of whose
    # edges the Hann window weighs less, hold a steady tone's power on average.
    t = np.arange(8 * FFT) / RATE_HZ
    tone = 0.25 * np.sin(2 * np.pi * 350.0 * t) + 0.025 * np.sin(2 * np.pi * 2500.0 * t)
    one = part("one.wav", tone[:, np.newaxis])
    found = measure([one], form_of([one]), [Stretch(0.0, len(t) / RATE_HZ)]).bands_dbfs
    assert (found[3], found[6]) == (pytest.approx(-15.05, abs=0.02), pytest.approx(-35.05, abs=0.02))
    assert max(level for at, level in enumerate(found[:8]) if at not in (3, 6)) < -60
    assert found[3] == round(found[3], 2)
