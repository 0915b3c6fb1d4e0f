"""What a pass did to the sum of its stems is measured while it is made, and kept in its manifest."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
import soundfile

from stemwright.errors import SongError
from stemwright.passes.in_sum import add_up
from stemwright.passes.kit_phase import most_turned
from stemwright.passes.manifest_file import problem_of, read_manifest
from stemwright.passes.song import open_song
from stemwright.passes.stretches import stretches_of
from stemwright.stems.audio import probe
from stemwright.stems.mixdown import Part, form_of

RATE_HZ = 48_000
UNTOUCHED = "stems:\n  one: {leave: as it is}\n  two: {leave: as it is}\n"


def sine(freq_hz, gain, degrees=0.0, seconds=4.0):
    turns = freq_hz * np.arange(round(seconds * RATE_HZ)) / RATE_HZ + degrees / 360.0
    audio = gain * np.sin(2 * np.pi * turns)
    return np.stack([audio, audio], axis=1)


# A sine of 0.2 has an RMS of 20 lg(0.2 / sqrt 2) = -16.99 dBFS; two equal ones +6.02 dB of it, -10.97.
def test_two_equal_sines_add_up_to_6_02_db_more(make_song, make_pass):
    one = make_pass(make_song({"one.wav": sine(350, 0.2)}, "stems: {one: {leave: x}}\n", folder="alone")).manifest.in_sum
    both = make_pass(make_song({"one.wav": sine(350, 0.2), "two.wav": sine(350, 0.2)}, UNTOUCHED)).manifest.in_sum
    assert (one.stems, both.stems) == (1, 2)
    assert one.received.levels.rms_dbfs == pytest.approx(-16.99, abs=0.01)
    assert both.received.levels.rms_dbfs == pytest.approx(-10.97, abs=0.01)
    assert both.received.bands_dbfs[3] == pytest.approx(-10.97, abs=0.05)  # 250 to 500 Hz; a window at the edges of 4 s
    assert both.received.bands_dbfs[3] - one.received.bands_dbfs[3] == pytest.approx(6.02, abs=0.01)
    assert both.received == both.written


def test_each_band_has_its_own_sine(make_song, make_pass):
    # -20, -26 and -32 dB under full scale, and 3.01 for the RMS of a sine.
    audio = sine(40, 0.1) + sine(700, 0.05) + sine(10_000, 0.025)
    found = make_pass(make_song({"one.wav": audio}, "stems: {one: {leave: x}}\n")).manifest.in_sum.received.bands_dbfs
    assert [found[0], found[4], found[8]] == pytest.approx([-23.01, -29.03, -35.05], abs=0.05)
    assert max(found[1], found[2], found[3], found[5], found[6], found[7]) < -50  # the sound ends in the middle of a frame


def test_silence_is_kept_as_none(make_song, make_pass):
    found = make_pass(make_song({"one.wav": np.zeros((RATE_HZ, 2))}, "stems: {one: {leave: x}}\n")).manifest.in_sum
    assert found.received.bands_dbfs == (None,) * 9
    assert found.received.levels.lufs is None


def test_it_is_in_the_manifest_and_comes_back_from_it(make_song, make_pass):
    folder = make_song({"kick.wav": None, "snare.wav": None, "room.wav": None, "keys.wav": None}, "reference: keys.wav\n")
    made = make_pass(folder).manifest
    assert made.in_sum.mix is not None
    assert made.in_sum.kit is not None
    assert read_manifest(folder / "passes" / "pass-01").in_sum == made.in_sum


def test_it_is_the_same_for_any_number_of_workers(make_song, make_pass):
    folder = make_song({"kick.wav": None, "snare.wav": None, "room.wav": None})
    made = make_pass(folder).manifest
    with ThreadPoolExecutor(1) as pool:
        assert add_up(open_song(folder), made.stems, folder / "passes" / "pass-01" / "stems", pool) == made.in_sum


def test_a_manifest_without_it_is_read_as_before(make_song, make_pass):
    folder = make_song({"kick.wav": None})
    make_pass(folder)
    path = folder / "passes" / "pass-01" / "manifest.json"
    data = json.loads(path.read_text(encoding="utf-8"))
    del data["sum"]
    path.write_text(json.dumps(data), encoding="utf-8")
    found = read_manifest(path.parent)
    assert found.in_sum is None
    assert found.plan_intact


def test_a_sum_out_of_shape_is_refused(make_song, make_pass):
    data = make_pass(make_song({"kick.wav": None})).manifest.as_json()
    data["sum"]["written"]["bands_dbfs"] = [0.0] * 8
    assert problem_of(data) == "sum.written.bands_dbfs: [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0] is too short"


def test_a_pass_whose_sum_cannot_be_measured_is_made_without_it(make_song, make_pass, monkeypatch):
    folder = make_song({"kick.wav": None})

    def no_memory(*_):
        raise MemoryError

    monkeypatch.setattr("stemwright.passes.in_sum.measure", no_memory)
    made = make_pass(folder)
    assert made.name == "pass-01"
    assert made.manifest.in_sum is None


@pytest.fixture
def turned(tmp_path):
    """Return what `most_turned` says of stems, each as received and as written."""

    def find(*stems):
        parts = []
        for number, stem in enumerate(stems):
            for side, audio in zip(("received", "written"), stem, strict=True):
                path = tmp_path / f"{number} {side}.wav"
                soundfile.write(path, audio, RATE_HZ, "DOUBLE")
                parts.append(Part(path=path, info=probe(path)))
        received, written = parts[::2], parts[1::2]
        return most_turned(received, written, form_of(received), stretches_of(4.0))

    return find


# Two equal sines a quarter turn apart have half the power of two in step: |1 + i|^2 / 4, -3.01 dB. A window at the ends of the
# sound spreads each sine a little.
def test_a_quarter_turn_takes_3_01_db_of_two_equal_sines(turned):
    still, quarter = sine(100, 0.2), sine(100, 0.2, degrees=90)
    freq_hz, change_db = turned((still, still), (still, quarter))
    assert freq_hz == pytest.approx(100.0)
    assert change_db == pytest.approx(-3.01, abs=0.02)


def test_levels_alone_turn_nothing(turned):
    one, other = sine(100, 0.2), sine(100, 0.1, degrees=60)
    assert abs(turned((one, 0.3 * one), (other, 2.0 * other))[1]) <= 0.01


# One of them ten times as loud as the other: |10 + i|^2 / 11^2 = -0.79 dB at most, however far the small one is turned a quarter.
def test_a_soft_stem_turned_matters_little(turned):
    loud, soft, quarter = sine(100, 0.5), sine(100, 0.05), sine(100, 0.05, degrees=90)
    assert turned((loud, loud), (soft, quarter))[1] == pytest.approx(-0.79, abs=0.02)


def test_what_lies_20_db_under_the_kit_is_not_what_it_sounds_of(turned):
    loud = sine(1000, 0.5)
    low, quarter = sine(100, 0.045), sine(100, 0.045, degrees=90)  # 20.9 dB under the loud one
    assert turned((loud + low, loud + low), (loud + low, loud + quarter))[0] == pytest.approx(1000.0)


def test_what_lies_19_db_under_the_kit_is_still_some_of_what_it_sounds_of(turned):
    loud = sine(1000, 0.5)
    low, quarter = sine(100, 0.056), sine(100, 0.056, degrees=90)  # 19 dB under the loud one
    freq_hz, change_db = turned((loud + low, loud + low), (loud + low, loud + quarter))
    assert (freq_hz, change_db) == (pytest.approx(100.0), pytest.approx(-3.01, abs=0.2))
    assert change_db == round(change_db, 2)


def test_a_silent_kit_is_turned_nowhere(turned):
    silent, still = np.zeros((RATE_HZ, 2)), sine(100, 0.2)
    assert turned((silent, silent), (silent, silent)) == (None, 0.0)
    assert turned((still, still), (still, -still))[0] is None  # against each other nothing is left that could be measured
    assert turned((still, silent), (still, silent)) == (None, 0.0)


def test_the_kit_is_the_sheets_or_what_seems_one(make_song, make_pass):
    stems = {"kick.wav": None, "snare.wav": None, "room.wav": None, "keys.wav": None}
    seeming = make_pass(make_song(stems, folder="one")).manifest.in_sum.kit
    assert (set(seeming.stems), seeming.declared) == ({"kick.wav", "snare.wav", "room.wav"}, False)
    named = make_pass(make_song(stems, "kit: [kick, room]\n", folder="two")).manifest.in_sum.kit
    assert (set(named.stems), named.declared) == ({"kick.wav", "room.wav"}, True)
    assert make_pass(make_song({"kick.wav": None, "keys.wav": None}, folder="three")).manifest.in_sum.kit is None
    assert make_pass(make_song(stems, "kit: [kick]\n", folder="four")).manifest.in_sum.kit is None  # nothing to turn against


def test_the_kit_is_measured_on_its_own_stems_alone(make_song, make_pass, executor):
    # A quarter turn of one of two equal sines is 3.01 dB less of their sum; the keys beside them are turned round and do not count.
    tone, keys = sine(100, 0.2, seconds=1.0), sine(1000, 0.9, seconds=1.0)
    stems = {"one.wav": tone, "two.wav": tone, "keys.wav": keys}
    folder = make_song(stems, "kit: [one, two]\nstems: {one: {leave: x}, two: {leave: x}, keys: {leave: x}}\n")
    made = make_pass(folder).manifest
    assert (made.in_sum.kit.freq_hz, made.in_sum.kit.change_db) == (pytest.approx(100.0), 0.0)
    files = folder / "passes" / "pass-01" / "stems"
    soundfile.write(files / "two.wav", sine(100, 0.2, degrees=90, seconds=1.0), RATE_HZ, "PCM_24")
    soundfile.write(files / "keys.wav", -keys, RATE_HZ, "PCM_24")
    found = add_up(open_song(folder), made.stems, files, executor)
    assert (set(found.kit.stems), found.kit.freq_hz) == ({"one.wav", "two.wav"}, pytest.approx(100.0))
    assert found.kit.change_db == pytest.approx(-3.01, abs=0.1)  # a window at the ends of a second


def test_what_goes_out_at_another_rate_is_measured_over_the_same_seconds(make_song, make_pass):
    sheet = "deliver: {rate: 44.1 kHz}\nkit: [one, two]\n"
    folder = make_song({"one.wav": sine(350, 0.2, seconds=1.0), "two.wav": sine(350, 0.2, seconds=1.0)}, sheet)
    made = make_pass(folder).manifest
    assert made.in_sum.stretches == stretches_of(1.0)
    assert made.entries["one.wav"].item.file.rate_hz == 44_100
    # The resampler keeps a tone's level and its phase: nothing of the sum is gone, within a window at both ends.
    assert made.in_sum.written.levels.rms_dbfs == pytest.approx(made.in_sum.received.levels.rms_dbfs, abs=0.05)
    assert abs(made.in_sum.kit.change_db) <= 0.1


@pytest.mark.parametrize(("reference", "measured"), [("keys.wav", True), ("missing.wav", False), ("session.yaml", False)])
def test_the_reference_is_measured_where_it_can_be_read_and_is_no_stem_of_the_sum(make_song, make_pass, reference, measured):
    folder = make_song({"kick.wav": None, "keys.wav": None}, f"reference: {reference}\n")
    found = make_pass(folder).manifest.in_sum
    assert found.reference == reference
    assert (found.mix is not None) == measured
    assert found.stems == (1 if measured else 2)


def test_of_a_pass_without_files_there_is_no_sum(make_song, make_pass, executor):
    folder = make_song({"kick.wav": None})
    made = make_pass(folder).manifest
    assert add_up(open_song(folder), [replace(made.stems[0], output=None)], folder, executor) is None
    assert add_up(open_song(folder), [], folder, executor) is None


def test_a_file_that_is_gone_is_said_with_the_songs_name(make_song, make_pass, executor):
    folder = make_song({"kick.wav": None})
    made = make_pass(folder).manifest
    with pytest.raises(SongError, match=r"^song: the stems could not be added up \("):
        add_up(open_song(folder), made.stems, folder / "nowhere", executor)


def test_a_sheet_that_was_spoiled_since_names_no_reference(make_song, make_pass, executor):
    folder = make_song({"kick.wav": None, "keys.wav": None}, "reference: keys.wav\n")
    made = make_pass(folder).manifest
    (folder / "session.yaml").write_text("reference: [\n", encoding="utf-8")
    found = add_up(open_song(folder), made.stems, folder / "passes" / "pass-01" / "stems", executor)
    assert (found.reference, found.mix, found.stems) == (None, None, 1)
