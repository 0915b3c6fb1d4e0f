"""What a stem holds, kept by the hash of its file; and what its moves make of it, worked out on paper."""

from __future__ import annotations

import hashlib
import os

import numpy as np
import pytest
import soundfile

from stemwright.dsp.bands import CENTRES_HZ, BandMeter, powers
from stemwright.dsp.prototypes import magnitude_db
from stemwright.errors import AudioError
from stemwright.passes.matrices import FOLDER, HeardFile, as_prepped, kept_matrices, matrices
from stemwright.passes.song import open_song
from stemwright.plan.items import PlannedMove
from stemwright.plan.only import Only
from stemwright.stems.survey import stamp_of

POWER = np.random.default_rng(1).uniform(0.1, 1.0, (100, len(CENTRES_HZ)))
RATE_HZ = 48_000


def move(kind, only=None, points=(), **settings):
    where = None if only is None else Only(said=("there",), fade_frames=960, spans=only)
    return PlannedMove(kind=kind, name=kind, why="", settings=settings, only=where, points=points)


def prepped(*moves):
    return as_prepped(POWER, moves, RATE_HZ)


def test_moves_change_the_power_by_their_magnitude():
    bell, corner = {"freq_hz": 1000.0, "gain_db": 6.0, "q": 1.0}, {"freq_hz": 200.0, "slope_db_oct": 12.0}
    curve_db = magnitude_db("bell", bell, CENTRES_HZ) + magnitude_db("high_pass", corner, CENTRES_HZ) - 3.0
    found = prepped(move("bell", **bell), move("high_pass", **corner, linear_phase=1.0), move("gain", gain_db=-3.0))
    assert found == pytest.approx(POWER * 10 ** (curve_db / 10))


@pytest.mark.parametrize("kind", ["compress", "de_ess", "polarity"])
def test_what_depends_on_the_sound_is_passed_over(kind):
    assert np.array_equal(prepped(move(kind, ratio=4.0)), POWER)


def test_a_move_in_a_place_changes_the_frames_that_lie_in_it():
    # A frame is 480 samples at 48 kHz: from frame 10 on, before frame 20; and from 40 on.
    found = prepped(move("gain", ((4800, 9600), (19_200, 10**6)), gain_db=10.0))
    inside = np.r_[10:20, 40:100]
    assert found[inside] == pytest.approx(POWER[inside] * 10.0)
    rest = np.setdiff1d(np.arange(100), inside)
    assert np.array_equal(found[rest], POWER[rest])


def test_a_ride_changes_the_power_by_its_factor_squared():
    found = prepped(move("ride", points=((4800, 0.0, 1.0), (9600, 6.0, 2.0))))
    factor = np.interp(np.arange(100) * 480, [4800, 9600], [1.0, 2.0])
    assert found == pytest.approx(POWER * factor[:, np.newaxis] ** 2)
    assert np.array_equal(prepped(move("ride")), POWER)


@pytest.fixture
def heard(make_song, executor):
    folder = make_song({"a.wav": None, "b.wav": None})
    song = open_song(folder)
    files = {
        name: HeardFile(folder / name, hashlib.sha256((folder / name).read_bytes()).hexdigest())
        for name in ("a.wav", "b.wav")
    }
    return song, files, matrices(song, files, executor)


def test_a_stem_is_heard_by_the_meter_of_bands(heard):
    _, files, found = heard
    audio, rate_hz = soundfile.read(files["a.wav"].path)
    meter = BandMeter(rate_hz, 2)
    meter.feed(audio)
    assert np.array_equal(found["a.wav"], powers(meter.finish()))
    assert found["a.wav"].dtype == np.float64


def test_what_is_kept_needs_no_file_and_what_was_never_heard_gives_nothing(heard, executor):
    song, files, found = heard
    for each in files.values():
        each.path.unlink()
    again = matrices(song, files, executor)
    hashes = {name: each.sha256 for name, each in files.items()}
    kept = kept_matrices(song, hashes)
    for name, power in found.items():
        assert np.array_equal(again[name], power)
        assert np.array_equal(kept[name], power)
    assert kept_matrices(song, {**hashes, "c.wav": "0" * 64}) is None
    assert kept_matrices(song, {}) == {}


@pytest.mark.parametrize(
    "kept",
    [
        b"",
        b"no array",
        np.zeros((5, 39), np.float32),
        np.zeros((5, 38), np.uint8),
        np.zeros(39, np.uint8),
        np.zeros((5, 39, 1), np.uint8),
    ],
    ids=["nothing", "text", "floats", "38 bands", "one row", "three ways"],
)
def test_what_was_damaged_is_heard_again(heard, executor, kept):
    song, files, found = heard
    (place,) = (song.passes_dir / FOLDER).glob(f"{files['a.wav'].sha256}-*.npy")
    if isinstance(kept, bytes):
        place.write_bytes(kept)
    else:
        np.save(place, kept)
    assert kept_matrices(song, {"a.wav": files["a.wav"].sha256}) is None
    assert np.array_equal(matrices(song, files, executor)["a.wav"], found["a.wav"])
    assert kept_matrices(song, {"a.wav": files["a.wav"].sha256}) is not None


def test_another_file_than_the_plan_says_is_refused(heard, executor):
    song, files, _ = heard
    with pytest.raises(AudioError) as caught:
        matrices(song, {"a.wav": HeardFile(files["a.wav"].path, "0" * 64)}, executor)
    assert str(caught.value) == "a.wav: is no longer the file it was; stemwright prep takes in what changed"
    assert not list((song.passes_dir / FOLDER).glob("000*"))


def test_a_file_that_was_just_hashed_is_not_hashed_again_as_long_as_its_stamp_stands(heard, executor):
    song, files, found = heard
    path = files["a.wav"].path
    stamped = HeardFile(path, "1" * 64, stamp_of(path))
    assert np.array_equal(matrices(song, {"a.wav": stamped}, executor)["a.wav"], found["a.wav"])
    os.utime(path, ns=(1, 1))
    with pytest.raises(AudioError, match="is no longer the file it was"):
        matrices(song, {"a.wav": HeardFile(path, "2" * 64, stamped.stamp)}, executor)
