"""Riding: phrases come towards each other, nothing moves inside one, and pauses do not come up."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.dsp.ride import factors
from stemwright.plan.ride import phrases_of, points_of, ridden

RATE_HZ = 48_000
ERRORS_DB = (0.0, 6.0, -6.0, 3.0, -3.0, 0.0)
LONG, GAP = 1.5, 0.8
FULL = (
    "recipe: ours\nabout: rides\nbased_on: lead vocal\nstems: {names: [zq]}\n"
    "change: {ride: {keep: 0 %, follow: 0 %, at_most: 8 dB, off: false}}\n"
)


@pytest.fixture
def sung(noise):
    """Return six phrases with an error each, over a little noise."""
    out = noise(seconds=len(ERRORS_DB) * (LONG + GAP), channels=1, seed=5) * 1e-4
    for number, error_db in enumerate(ERRORS_DB):
        start, length = round(number * (LONG + GAP) * RATE_HZ), round(LONG * RATE_HZ)
        t = np.arange(length) / RATE_HZ
        syllables = 0.6 + 0.4 * np.sin(2 * np.pi * 4.0 * t)[:, None]
        out[start : start + length] += noise(seconds=LONG, channels=1, seed=number) * syllables * 0.2 * 10 ** (error_db / 20)
    return out


@pytest.fixture
def song(make_song, noise, sung):
    folder = make_song({"zq.wav": sung, "keys.wav": noise(seconds=14.0, channels=1) * 0.1}, "deliver: {bits: float}\n")
    (folder / "recipes").mkdir()
    (folder / "recipes" / "ours.yaml").write_text(FULL, encoding="utf-8")
    return folder


def ride_of(made, stem="zq.wav"):
    (move,) = [each for each in made.manifest.entries[stem].item.moves if each.kind == "ride"]
    return move


def phrase_levels_db(sound):
    starts = [round(number * (LONG + GAP) * RATE_HZ) for number in range(len(ERRORS_DB))]
    return np.array([10 * np.log10(np.mean(sound[start : start + round(LONG * RATE_HZ)] ** 2)) for start in starts])


def test_phrases_come_back_to_each_other(song, make_pass):
    made = make_pass(song)
    before, _ = soundfile.read(song / "zq.wav")
    after, _ = soundfile.read(song / "passes" / made.name / "stems" / "zq.wav")
    assert phrase_levels_db(before).std() > 3.5
    assert phrase_levels_db(after).std() <= 0.6


def test_inside_a_phrase_the_gain_stands_still_and_in_pauses_it_is_not_over_0_db(song, make_pass):
    move = ride_of(make_pass(song))
    gain = factors([(frame, factor) for frame, _, factor in move.points], 0, 14 * RATE_HZ)
    for number in range(len(ERRORS_DB)):
        start = round(number * (LONG + GAP) * RATE_HZ)
        assert np.ptp(gain[start : start + round(LONG * RATE_HZ)]) == 0.0
        middle = start + round((LONG + GAP / 2) * RATE_HZ)
        assert gain[middle] <= 1.0
    assert gain.max() > 1.5


def test_a_ride_is_off_in_the_house(make_song, make_pass, sung, noise):
    folder = make_song({"lead vocal.wav": sung, "keys.wav": noise(seconds=14.0, channels=1)})
    assert [move.kind for move in make_pass(folder).manifest.entries["lead vocal.wav"].item.moves].count("ride") == 0


def test_a_double_goes_with_its_lead(song, make_pass, sung):
    (song / "recipes" / "ours.yaml").unlink()
    text = FULL.replace("recipe: ours", "recipe: lead vocal").replace("stems: {names: [zq]}\n", "")
    (song / "recipes" / "lead vocal.yaml").write_text(text, encoding="utf-8")
    (song / "zq.wav").rename(song / "lead vocal.wav")
    soundfile.write(song / "double.wav", sung * 0.3, RATE_HZ, "PCM_24")
    made = make_pass(song)
    assert ride_of(made, "double.wav").points == ride_of(made, "lead vocal.wav").points != ()


def test_it_is_recalled_to_the_bit_and_a_second_prep_changes_nothing(song, make_pass, make_recall):
    make_pass(song)
    assert make_pass(song).name is None
    first = soundfile.read(song / "passes/pass-01/stems/zq.wav")[0]
    (song / "recipes" / "ours.yaml").write_text(FULL.replace("8 dB", "3 dB"), encoding="utf-8")
    assert make_pass(song).name == "pass-02"
    make_recall(song, "1")
    assert np.array_equal(soundfile.read(song / "passes/pass-03/stems/zq.wav")[0], first)


def powers(levels_db, gap=60):
    one = [np.full((150, 39), 10.0 ** (db / 10.0)) for db in levels_db]
    return np.concatenate([part for each in one for part in (each, np.full((gap, 39), 1e-9))])


def test_phrases_are_found_between_gaps_of_a_third_of_a_second():
    assert phrases_of(powers([-20.0, -26.0])) == [(0, 150), (210, 360)]
    assert phrases_of(powers([-20.0, -26.0], gap=20)) == [(0, 320)]


# Arithmetic: keep 0.5 halves a distance of 6 dB from the median, of w = 3 dB w (1 - (0.8/w)^2) is done, of 4 dB 3.84.
def test_what_is_kept_stays_and_no_phrase_moves_further_than_it_may():
    power = powers([-20.0, -20.0, -20.0, -26.0])
    still = np.zeros_like(power)
    assert [each.gain_db for each in ridden(power, still, 0.5, 0.0, 4.0)] == [0.0, 0.0, 0.0, pytest.approx(2.79)]
    assert [each.gain_db for each in ridden(power, still, 0.0, 0.0, 4.0)][-1] == 4.0


def test_it_goes_along_with_the_track_under_it():
    power = powers([-20.0, -20.0, -20.0])
    track = powers([-30.0, -30.0, -22.0])
    assert [each.gain_db for each in ridden(power, track, 1.0, 0.5, 6.0)] == [0.0, 0.0, pytest.approx(3.84)]


def test_a_performance_within_a_decibel_is_moved_by_less_than_that():
    gains = [each.gain_db for each in ridden(powers([-20.0, -21.0, -19.0, -20.5]), powers([-90.0] * 4), 0.5, 0.0, 4.0)]
    assert max(map(abs, gains)) <= 0.5


def test_where_nothing_moves_there_are_no_points():
    assert points_of(ridden(powers([-20.0, -20.0]), powers([-90.0] * 2), 0.0, 0.0, 4.0), RATE_HZ) == ()
