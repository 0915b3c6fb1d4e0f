"""The arithmetic between plan and file: what is left of two files, the common trim, the gain that holds a loudness."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.dsp.loudness import Levels
from stemwright.passes.difference import Difference, last_bit_dbfs, measure
from stemwright.passes.entry import Entry, LevelPair
from stemwright.passes.foretold import _gain_db, _held
from stemwright.passes.trim import peak_dbfs, trimmed
from stemwright.plan.items import HOLD, TRIM, DeliverAs, InputFacts, PlanItem, PlannedMove
from stemwright.stems.audio import probe

SOUND = np.random.default_rng(1).uniform(-0.5, 0.5, (100_000, 2))


def write(path, audio, rate_hz=48_000):
    soundfile.write(path, audio, rate_hz, "DOUBLE")
    return path


@pytest.mark.parametrize("shift", [0.25, -0.25])
def test_what_is_left_of_two_files_is_their_difference(tmp_path, shift):
    # Arithmetic: one sample of 0.25 off in 200,000 is -12.04 dBFS at most, and 10 lg(0.0625 / 200,000) in the mean.
    other = SOUND.copy()
    other[70_000, 1] += shift
    found = measure(write(tmp_path / "a.wav", SOUND), write(tmp_path / "b.wav", other))
    assert (found.largest_dbfs, found.rms_dbfs) == (-12.04, round(10 * np.log10(0.0625 / 200_000), 2))
    assert not found.null
    assert found.as_json() == {"largest_dbfs": found.largest_dbfs, "rms_dbfs": found.rms_dbfs, "null": False}


@pytest.mark.parametrize("longer", [0, 1])
@pytest.mark.parametrize("frames", [50, 70_000])
def test_a_shorter_file_ends_in_silence(tmp_path, longer, frames):
    pair = [SOUND, SOUND[:-frames]]
    paths = [write(tmp_path / f"{number}.wav", pair[(number + longer) % 2]) for number in (0, 1)]
    rest = SOUND[-frames:]
    found = measure(*paths)
    assert found.largest_dbfs == round(20 * np.log10(np.abs(rest).max()), 2)
    assert found.rms_dbfs == round(10 * np.log10(np.square(rest).sum() / SOUND.size), 2)


def test_the_same_samples_leave_nothing_and_another_form_is_not_subtracted(tmp_path):
    path = write(tmp_path / "a.wav", SOUND)
    assert measure(path, path) == Difference(largest_dbfs=None, rms_dbfs=None)
    assert measure(path, path).null
    assert measure(path, write(tmp_path / "b.wav", SOUND, 44_100)) is None
    assert measure(path, write(tmp_path / "c.wav", SOUND[:, :1])) is None
    assert measure(write(tmp_path / "d.wav", SOUND[:0]), write(tmp_path / "e.wav", SOUND[:0])).null


# A step of an n-bit word is 2^(1-n) of full scale; float's mantissa has 24 bits, and no word more is heard.
@pytest.mark.parametrize(
    ("subtype", "dbfs"),
    [("PCM_16", -90.31), ("PCM_24", -138.47), ("PCM_32", -138.47), ("FLOAT", -138.47), ("DOUBLE", -138.47)],
)
def test_the_last_bit(subtype, dbfs):
    assert last_bit_dbfs(subtype) == dbfs


def item(*moves, subtype="PCM_24", container="WAV", path="a.wav"):
    received = InputFacts(
        path="a.wav", sha256="0" * 64, frames=100_000, channels=2, rate_hz=48_000, container="WAV", subtype="PCM_24"
    )
    return PlanItem(
        stem="a.wav", input=received, role=None, recipe=None, matched_by="", status="prepped", why="", moves=moves,
        deliver_as=DeliverAs(path=path, container=container, subtype=subtype, rate_hz=48_000, frames=100_000),
    )  # fmt: skip


LIFT = PlannedMove(kind="gain", name="up", why="", settings={"gain_db": 6.0}, sections=((2.0, 0.0, 0.0, 1.0, 0.0, 0.0),))


# Rounded down to a hundredth, so that nothing is left over full scale.
@pytest.mark.parametrize(("gain_db", "trim_db"), [(-2.5, -2.5), (-2.501, -2.51), (-2.509, -2.51), (-0.001, -0.01)])
def test_a_trim_is_rounded_down_and_made_last(tmp_path, gain_db, trim_db):
    info = probe(write(tmp_path / "a.wav", SOUND))
    found = trimmed(item(LIFT), info, gain_db)
    assert [move.name for move in found.moves] == ["up", TRIM]
    assert found.moves[-1].settings == {"gain_db": trim_db}
    assert found.moves[-1].sections[0][0] == pytest.approx(10 ** (trim_db / 20))


def test_a_stem_left_as_received_is_lowered_too_in_the_form_it_was_to_have(tmp_path):
    path = tmp_path / "a.wav"
    soundfile.write(path, SOUND, 48_000, "PCM_24")
    info = probe(path)
    plain = trimmed(item(), info, -1.0)
    assert [move.name for move in plain.moves] == [TRIM]
    assert (plain.file.subtype, plain.file.container, plain.seed is not None) == ("PCM_24", "WAV", True)
    flac = trimmed(item(container="FLAC", subtype="PCM_16", path="a.flac"), info, -1.0)
    assert (flac.file.container, flac.file.subtype, flac.file.path) == ("FLAC", "PCM_16", "a.flac")
    lossy = trimmed(item(container="MP3", subtype="MPEG_LAYER_III", path="a.mp3"), info, -1.0)
    assert (lossy.file.container, lossy.file.subtype) == ("WAV", "PCM_24")
    assert trimmed(item(), None, -1.0) == item()


def test_the_peak_of_a_stem_is_of_its_samples_and_0_where_nothing_was_measured():
    def entry(after):
        return Entry(item=item(), output=None, levels=LevelPair(after=after))

    assert peak_dbfs(entry(Levels(sample_peak_dbfs=1.5))) == 1.5
    assert peak_dbfs(entry(Levels())) == peak_dbfs(entry(None)) == 0.0


def loud(lufs=None, rms=None):
    return Levels(lufs=lufs, rms_dbfs=rms)


# A pair is held by its power together: -20 and -23 dB became -26 and -26, so 10 lg((0.01 + 0.005) / (2 * 0.0025)).
@pytest.mark.parametrize(
    ("sides", "gain_db"),
    [
        ([(loud(-20.0, -30.0), loud(-23.5, -30.0))], 3.5),
        ([(loud(None, -30.0), loud(-23.5, -32.0))], 2.0),
        ([(loud(-20.0, -30.0), loud(None, -28.0))], -2.0),
        ([(loud(), loud())], None),
        ([(loud(rms=-20.0), loud())], None),
        ([], None),
        ([(loud(-20.0), loud(-26.0)), (loud(-23.0), loud(-26.0))], 10 * np.log10((10**-2.0 + 10**-2.3) / (2 * 10**-2.6))),
        ([(loud(-20.0, -20.0), loud(-26.0, -22.0)), (loud(None, -20.0), loud(-26.0, -22.0))], 2.0),
    ],
)
def test_the_gain_that_holds_a_loudness(sides, gain_db):
    assert _gain_db(sides) == (None if gain_db is None else pytest.approx(gain_db))


@pytest.mark.parametrize(("off_db", "held_db"), [(0.004, None), (0.006, 0.01), (-0.006, -0.01), (1.236, 1.24)])
def test_a_gain_of_half_a_hundredth_is_none(off_db, held_db):
    found = _held(item(LIFT), {"a.wav": (loud(-20.0), loud(-20.0 - off_db))}, None)
    assert [move.settings["gain_db"] for move in found.moves if move.name == HOLD] == ([] if held_db is None else [held_db])


def test_a_stem_that_was_not_measured_is_not_held_and_its_partner_counts_where_it_was():
    levels = {"a.wav": (loud(-20.0), loud(-23.0)), "b.wav": (loud(-20.0), loud(-20.0))}
    assert _held(item(LIFT), {}, "b.wav") == item(LIFT)
    assert _held(item(LIFT), {"b.wav": levels["b.wav"]}, "b.wav") == item(LIFT)
    together_db = 10 * np.log10(2 * 10**-2.0 / (10**-2.3 + 10**-2.0))
    assert _held(item(LIFT), levels, "b.wav").moves[-1].settings["gain_db"] == round(together_db, 2)
    assert _held(item(LIFT), levels, "c.wav").moves[-1].settings["gain_db"] == 3.0


def test_the_mean_of_a_difference_is_over_all_samples(tmp_path):
    # Two samples, one of them 0.5 off: 20 lg 0.5 = -6.02 at most, and 10 lg(0.25 / 2) = -9.03 in the mean.
    one, other = np.array([[0.25], [0.25]]), np.array([[0.25], [-0.25]])
    found = measure(write(tmp_path / "a.wav", one), write(tmp_path / "b.wav", other))
    assert (found.largest_dbfs, found.rms_dbfs) == (-6.02, -9.03)
