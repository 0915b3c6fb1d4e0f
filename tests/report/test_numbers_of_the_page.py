"""What the page draws: spectra, curves, overview, and which seconds it plays."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile
from scipy.signal import sosfreqz

from stemwright.dsp.overview import COLUMNS, MOMENT_FRAMES, overview_of
from stemwright.plan.items import PlannedMove
from stemwright.plan.resolve import sections_of
from stemwright.report.curves import curve_points, move_curve_db
from stemwright.report.excerpt import SECONDS, Moments, choose_excerpts
from stemwright.report.spectra import POINTS_HZ, band_powers, bin_powers, change_scores, levels_db
from stemwright.stems.audio import BLOCK_FRAMES, probe, read_span

RATE_HZ = 48_000


def sine(freq_hz, frames, rate_hz=RATE_HZ):
    return np.sin(2.0 * np.pi * freq_hz * np.arange(frames) / rate_hz)[:, np.newaxis]


def blocks_of(audio):
    return [audio[start : start + BLOCK_FRAMES] for start in range(0, len(audio), BLOCK_FRAMES)]


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
def test_a_full_scale_sine_reads_0_db_in_its_band(rate_hz):
    # Arithmetic: by definition, and a 48th of an octave beside a point it reads 3.01 (12 / 48)^2 = 0.19 dB less.
    levels = levels_db(band_powers(bin_powers(sine(1000.0, 16_384, rate_hz).T[np.newaxis]), rate_hz))[0]
    assert abs(np.interp(1000.0, POINTS_HZ, levels)) < 0.25
    assert np.interp(4000.0, POINTS_HZ, levels) < -100.0


def test_white_noise_rises_by_3_db_an_octave():
    # Arithmetic: a sixth-octave band twice as high is twice as wide.
    noise = np.random.default_rng(1).standard_normal((64, 1, 16_384)) * 0.1
    levels = levels_db(band_powers(bin_powers(noise), RATE_HZ).mean(axis=0))
    rise = np.interp(8000.0, POINTS_HZ, levels) - np.interp(1000.0, POINTS_HZ, levels)
    assert abs(rise - 9.03) < 0.3


def test_the_same_sound_has_nothing_of_a_change_in_it():
    powers = band_powers(bin_powers(np.random.default_rng(2).standard_normal((3, 2, 16_384))), RATE_HZ)
    assert not change_scores(powers, powers).any()


def test_rumble_taken_away_counts_less_than_as_much_taken_from_the_middle():
    # Property of BS.1770-5's K-weighting: 30 Hz is over 10 dB below 1 kHz.
    flat = np.ones((1, len(POINTS_HZ)))
    low, middle = (np.where(np.abs(np.log2(POINTS_HZ / f)) < 0.2, 0.0, 1.0)[np.newaxis] for f in (30.0, 1000.0))
    assert change_scores(flat, low)[0] < 0.15 * change_scores(flat, middle)[0]


def test_the_curve_of_a_move_is_what_scipy_says_of_its_sections():
    settings = {"freq_hz": 250.0, "slope_db_oct": 12.0}
    sections = sections_of("high_pass", settings, RATE_HZ)
    move = PlannedMove(kind="high_pass", name="", why="", settings=settings, sections=sections)
    points = curve_points([move], RATE_HZ)
    _, response = sosfreqz(np.array(sections), worN=points, fs=RATE_HZ)
    shown = move_curve_db(move, points, RATE_HZ)
    expected = 20.0 * np.log10(np.abs(response))
    assert np.abs(shown - expected)[expected > -59.0].max() < 1e-6
    assert np.interp(250.0, points, shown) == pytest.approx(-3.01, abs=0.02)  # Butterworth: half the power at its corner


def test_a_narrow_notch_is_drawn_to_its_bottom():
    # Property: the deepest point drawn is the notch's own gain, however narrow it is.
    settings = {"freq_hz": 3217.0, "gain_db": -9.0, "q": 60.0}
    sections = sections_of("notch", settings, RATE_HZ)
    move = PlannedMove(kind="notch", name="", why="", settings=settings, sections=sections)
    points = curve_points([move], RATE_HZ)
    assert move_curve_db(move, points, RATE_HZ).min() == pytest.approx(-9.0, abs=0.01)


def test_a_compressor_has_no_curve():
    assert move_curve_db(PlannedMove(kind="compress", name="", why="", settings={}), POINTS_HZ, RATE_HZ) is None


def test_the_overview_reaches_as_far_as_the_wave(noise):
    audio = noise(7.3)
    look = overview_of(blocks_of(audio), len(audio), RATE_HZ)
    assert 0 < len(look.highs) <= COLUMNS
    assert look.highs.max() == audio.max()
    assert look.lows.min() == audio.min()


def test_a_column_shows_what_happens_in_its_time():
    audio = np.zeros((10 * RATE_HZ, 1))
    audio[7 * RATE_HZ] = 0.5
    look = overview_of(blocks_of(audio), len(audio), RATE_HZ)
    assert np.argmax(look.highs) / len(look.highs) == pytest.approx(0.7, abs=1.5 / len(look.highs))


def test_three_samples_at_full_scale_are_a_clipped_place_and_two_are_not():
    audio = np.zeros((RATE_HZ, 2))
    audio[1000:1003, 1] = 1.0 - 2.0**-15  # the highest a 16-bit word holds
    audio[2000:2002, 0] = 1.0
    audio[40_000:40_100, 0] = -1.0
    look = overview_of(blocks_of(audio), len(audio), RATE_HZ)
    assert look.clipped == (1000 / RATE_HZ, 40_000 / RATE_HZ)


def test_a_short_sound_is_played_whole():
    assert choose_excerpts([], 11.9)[0].seconds == 11.9


def test_the_excerpt_is_where_most_of_the_change_is():
    starts = tuple(np.arange(0.0, 90.0, 0.5))
    scores = tuple(5.0 if 40.0 <= start < 46.0 else 1.0 for start in starts)
    (chosen,) = choose_excerpts([Moments(starts, scores, 0.5)], 90.0)
    assert chosen.seconds == SECONDS
    assert chosen.start_s <= 40.0
    assert chosen.start_s + SECONDS >= 46.0


def test_the_excerpt_ends_with_the_stem():
    (chosen,) = choose_excerpts([Moments((19.6,), (1.0,), 0.4)], 20.0)
    assert chosen.start_s + chosen.seconds == 20.0


def test_a_second_excerpt_is_for_the_stem_that_the_first_lacks():
    loud, quiet = Moments((10.0,), (9.0,), 0.4), Moments((60.0,), (0.1,), 0.4)
    first, second = choose_excerpts([loud, quiet], 90.0, 2)
    assert first.start_s <= 10.0 <= first.start_s + SECONDS
    assert second.start_s <= 60.0 <= second.start_s + SECONDS
    assert len(choose_excerpts([loud], 90.0, 2)) == 1


@pytest.mark.parametrize(("more", "quiet_in_it"), [(1.05, True), (1.5, False)])
def test_of_stretches_with_about_as_much_of_a_change_the_one_with_most_stems_is_chosen(more, quiet_in_it):
    # A tenth less, half a dB, is about as much; a stem that sounds for a second at 10 s, far quieter, then decides.
    starts = tuple(np.arange(0.0, 90.0, 0.5))
    loud = Moments(starts, tuple(more if 60.0 <= at < 68.0 else 1.0 for at in starts), 0.5)
    quiet = Moments((10.0, 10.5), (0.01, 0.01), 0.5)
    (chosen,) = choose_excerpts([loud, quiet], 90.0)
    assert (chosen.start_s <= 10.0 <= chosen.start_s + 7.0) is quiet_in_it
    assert (chosen.start_s == 60.0) is not quiet_in_it


@pytest.mark.parametrize(
    ("ending", "form", "subtype"),
    [
        ("wav", "WAV", "PCM_24"),
        ("wav", "WAV", "PCM_16"),
        ("wav", "WAV", "FLOAT"),
        ("flac", "FLAC", "PCM_16"),
        ("aif", "AIFF", "PCM_24"),
        ("ogg", "OGG", "VORBIS"),
    ],
)
def test_a_stretch_of_a_file_is_the_same_stretch_of_all_of_it(tmp_path, noise, ending, form, subtype):
    # Reference: soundfile reading the whole file.
    path = tmp_path / f"stem.{ending}"
    soundfile.write(path, noise(3.0), RATE_HZ, subtype, format=form)
    whole, _ = soundfile.read(path, always_2d=True)
    info = probe(path)
    for start, frames in ((0, 100), (12_345, 70_001), (len(whole) - 10, 500), (len(whole) + 5, 10)):
        assert np.array_equal(read_span(path, info, start, frames), whole[start : start + frames])


def test_the_loudest_moment_swings_most(noise):
    audio = noise(20.0) * 0.1
    audio[12 * RATE_HZ : 13 * RATE_HZ] *= 5.0
    look = overview_of(blocks_of(audio), len(audio), RATE_HZ)
    assert (np.argmax(look.swings) + 1) * MOMENT_FRAMES >= 12.0 * RATE_HZ
    assert np.argmax(look.swings) * MOMENT_FRAMES <= 13.0 * RATE_HZ
