"""A ride by hand: what the session sheet says stands, moved in pauses where there is one near, and is recalled to the bit."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.door.song import Song
from stemwright.dsp.ride import factors
from stemwright.errors import RecipeError
from stemwright.plan.ride import Phrase, points_of
from stemwright.plan.ride_by_hand import with_hand
from stemwright.plan.wording import described
from stemwright.recipes.by_hand import ByHand

RATE_HZ = 48_000
LONG, GAP = 2.0, 1.0  # three phrases: 0 to 2 s, 3 to 5 s, 6 to 8 s
SHEET = 'deliver: {{bits: float}}\nstems:\n  zq.wav:\n    ride: ["{}"]\n'


@pytest.fixture
def make_sung(make_song, noise):
    def make(sheet):
        parts = [
            part
            for number in range(3)
            for part in (noise(seconds=LONG, channels=1, seed=number) * 0.1, np.zeros((round(GAP * RATE_HZ), 1)))
        ]
        return make_song({"zq.wav": np.concatenate(parts), "keys.wav": None}, sheet)

    return make


def gain_of(made):
    (move,) = [each for each in made.manifest.entries["zq.wav"].item.moves if each.kind == "ride"]
    return factors([(frame, factor) for frame, _, factor in move.points], 0, 9 * RATE_HZ)


def db_at(gain, *seconds):
    return [pytest.approx(20 * np.log10(gain[round(at * RATE_HZ)]), abs=1e-9) for at in seconds]


def test_a_phrase_gets_the_gain_written_and_no_other_moves(make_sung, make_pass):
    gain = gain_of(make_pass(make_sung(SHEET.format("0:02.9-0:05.1 +1.5"))))
    assert db_at(gain, 1.0, 3.0, 4.0, 5.0, 6.0, 7.0) == [0.0, 1.5, 1.5, 1.5, 0.0, 0.0]


def test_an_end_near_a_pause_goes_there(make_sung, make_pass):
    gain = gain_of(make_pass(make_sung(SHEET.format("0:03.2-0:04.8 -12"))))
    assert db_at(gain, 3.0, 5.0, 6.0) == [-12.0, -12.0, 0.0]


def test_inside_a_phrase_it_moves_over_50_ms_at_the_place_given(make_sung, make_pass):
    gain = gain_of(make_pass(make_sung(SHEET.format("0:04-0:05.5 +6"))))
    assert db_at(gain, 3.0, 3.974, 4.026, 5.0) == [0.0, 0.0, 6.0, 6.0]
    moving = np.flatnonzero(np.diff(gain[round(3.5 * RATE_HZ) : round(4.5 * RATE_HZ)]))
    assert np.ptp(moving) / RATE_HZ == pytest.approx(0.05, abs=0.001)


def test_it_is_recalled_to_the_bit_and_goes_with_its_line(make_sung, make_pass, make_recall):
    song = make_sung(SHEET.format("0:03-0:05 +3"))
    make_pass(song)
    assert make_pass(song).name is None
    first = soundfile.read(song / "passes/pass-01/stems/zq.wav")[0]
    received = soundfile.read(song / "zq.wav")[0]
    middle = slice(4 * RATE_HZ, 4 * RATE_HZ + 100)
    assert first[middle] == pytest.approx(received[middle] * 10 ** (3 / 20), rel=1e-5)
    (song / "session.yaml").write_text("deliver: {bits: float}\n", encoding="utf-8")
    assert make_pass(song).name == "pass-02"
    assert np.array_equal(soundfile.read(song / "passes/pass-02/stems/zq.wav")[0], received)
    make_recall(song, "1")
    assert np.array_equal(soundfile.read(song / "passes/pass-03/stems/zq.wav")[0], first)


# The phrase as it is found, and 50 ms before and after it where gain stands still.
def test_compare_tells_where_it_holds_another_gain(make_sung, make_pass):
    song = make_sung(SHEET.format("0:03-0:05 +3"))
    make_pass(song)
    (song / "session.yaml").write_text(SHEET.format("0:03-0:05 +1"), encoding="utf-8")
    make_pass(song)
    (change,) = [each for each in Song(song).compare("1", "2").stems if each.stem == "zq.wav"]
    assert [line for line in change.moves if line.startswith("ride 0")] == ["ride 0:02.9-0:05.1 +3 -> +1 dB"]


def test_it_takes_the_place_of_what_a_note_found_and_stays_with_it(make_song, make_pass, make_note, noise):
    parts = [
        part
        for number, gain in enumerate((1.0, 2.5, 1.0))
        for part in (noise(seconds=LONG, channels=1, seed=number) * 0.1 * gain, np.zeros((RATE_HZ, 1)))
    ]
    sheet = 'stems:\n  lead vocal.wav: {ride: ["0:06-0:08 -2"]}\n'
    song = make_song({"lead vocal.wav": np.concatenate(parts), "keys.wav": noise(seconds=9.0, channels=1) * 0.1}, sheet)
    make_pass(song)
    _, noted = make_note(song, "ride the vocal")
    (move,) = [each for each in noted.manifest.entries["lead vocal.wav"].item.moves if each.kind == "ride"]
    assert -2.0 in {gain_db for _, gain_db, _ in move.points}
    (song / "session.yaml").write_text(sheet.replace("-2", "-1"), encoding="utf-8")
    (move,) = [each for each in make_pass(song).manifest.entries["lead vocal.wav"].item.moves if each.kind == "ride"]
    gains = {round(gain_db, 2) for _, gain_db, _ in move.points}
    assert -1.0 in gains
    assert min(gains) < -3.0  # the loud phrase still comes down as the note had it
    assert -2.0 not in gains


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("0:42 +1", "no place in a song"),
        ("bars 5-6 +1", "bars are not taken here"),
        ("0:42-0:44", "no time and gain"),
        ("0:42-0:44 +12.5", r"allowed: -12 to \+12 dB"),
        ("0:44-0:42 +1", "ends before it begins"),
        ("0:42-0:42.05 +1", "too short"),
        ('0:42-0:44 +1", "0:43-0:45 +1', "begins before the one above it ends"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(make_sung, make_pass, text, message):
    with pytest.raises(RecipeError, match=rf"session\.yaml:4:\d+: .*{message}"):
        make_pass(make_sung(SHEET.format(text)))


def test_a_gain_after_the_stems_end_is_refused(make_sung, make_pass):
    with pytest.raises(RecipeError, match=r"session\.yaml:4:\d+: .*begins after the stem's end"):
        make_pass(make_sung(SHEET.format("0:42-0:44 +1")))


def test_a_stem_that_is_left_is_not_ridden(make_sung, make_pass):
    with pytest.raises(RecipeError, match="a ride beside leave"):
        make_pass(make_sung('stems: {zq.wav: {leave: as it is, ride: ["0:01-0:02 +1"]}}\n'))


# By hand: a stretch in a pause is one of its own; two that touch inside a phrase are cut once and move once.
def test_in_a_pause_it_is_a_stretch_of_its_own():
    phrases = [Phrase(0.0, 2.0), Phrase(5.0, 7.0)]
    assert with_hand(phrases, [ByHand(start_s=3.0, end_s=4.0, gain_db=-3.0)]) == [
        phrases[0], Phrase(3.0, 4.0, -3.0), phrases[1],
    ]  # fmt: skip


def test_two_that_touch_move_once_from_one_to_the_other():
    wanted = [ByHand(start_s=0.0, end_s=1.0, gain_db=2.0), ByHand(start_s=1.0, end_s=2.0, gain_db=-2.0)]
    cut = with_hand([Phrase(0.0, 2.0)], wanted)
    assert cut == [Phrase(0.0, 1.0, 2.0), Phrase(1.0, 2.0, -2.0)]
    frames = [(frame, gain_db) for frame, gain_db, _ in points_of(cut, 1000)]
    assert [each for each in frames if 900 < each[0] < 1100] == [(975, 2.0), (1025, -2.0)]


def test_a_gain_on_one_side_of_a_pair_is_one_on_both(make_song, make_pass, noise):
    sides = {f"zq {side}.wav": noise(seconds=3.0, channels=1, seed=1) * 0.1 for side in "LR"}
    made = make_pass(make_song(sides, 'stems: {zq L.wav: {ride: ["0:00-0:03 +2"]}}\n'))
    left, right = (made.manifest.entries[stem].item.moves[-1].points for stem in sides)
    assert left == right != ()


def test_it_is_told_as_what_it_is(make_song, make_pass, noise):
    made = make_pass(
        make_song({"zq.wav": noise(seconds=3.0, channels=1) * 0.1}, 'stems: {zq.wav: {ride: ["0:00-0:03 +12"]}}\n')
    )
    assert described(made.manifest.entries["zq.wav"].item.moves[-1]) == "ride by hand"
