"""Rides handed over: the points of the manifest, by time, on the recall sheet and as CSV."""

from __future__ import annotations

import csv
import hashlib

import numpy as np
import pytest

from stemwright.handover.pack import pack
from stemwright.handover.rides import _as_text, table_of, times_of
from stemwright.passes.song import open_song
from stemwright.plan.items import PlannedMove

RATE_HZ = 48_000
STEM = 'lead vocal, "one".wav'


@pytest.fixture
def ridden(make_song, make_pass, make_note, noise):
    parts = [
        part
        for number, gain in enumerate((1.0, 2.5, 0.4, 1.0))
        for part in (noise(seconds=1.2, channels=1, seed=number) * 0.1 * gain, np.zeros((round(0.7 * RATE_HZ), 1)))
    ]
    song = make_song({STEM: np.concatenate(parts), "keys.wav": noise(seconds=7.6, channels=1) * 0.1})
    make_pass(song)
    _, made = make_note(song, "ride the vocal")
    return song, made


def test_the_csv_is_the_manifests_points_by_time(ridden):
    song, made = ridden
    packed = pack(open_song(song), made.name, None)
    data = (packed.path / "rides.csv").read_bytes()
    assert packed.files["rides.csv"] == hashlib.sha256(data).hexdigest()
    rows = list(csv.DictReader(data.decode("utf-8").splitlines()))
    points = [point for move in made.manifest.entries[STEM].item.moves for point in move.points]
    assert len(rows) == len(points) > 4
    for row, (frame, gain_db, _) in zip(rows, points, strict=True):
        minutes, seconds = row["time"].split(":")
        assert row["stem"] == STEM
        assert int(minutes) * 60 + float(seconds) == pytest.approx(frame / RATE_HZ, abs=0.0005001)
        assert float(row["gain_db"]) == pytest.approx(gain_db, abs=0.0051)


def test_the_recall_sheet_lists_every_point(ridden):
    song, made = ridden
    text = (pack(open_song(song), made.name, None).path / "recall-sheet.txt").read_text(encoding="utf-8")
    (move,) = [move for move in made.manifest.entries[STEM].item.moves if move.kind == "ride"]
    for time, gain_db in times_of(move, RATE_HZ):
        assert f"{time} {gain_db:>6} dB" in text


def test_a_pass_without_a_ride_has_no_such_file(ridden):
    song, _ = ridden
    assert not (pack(open_song(song), "pass-01", None).path / "rides.csv").exists()


# Paper arithmetic: 59.9996 s are 1:00.000 to a thousandth, and 90.25 s are 1:30.250.
def test_times_carry_over_into_minutes_and_keep_their_noughts():
    frames = (0, 2_646_000 - 18, 3_980_025, 3_980_469, 3_984_435)
    points = tuple((frame, gain, 1.0) for frame, gain in zip(frames, (0.0, -3.7, 1.5, 0.25, -12.0), strict=True))
    move = PlannedMove(kind="ride", name="ride", why="", settings={}, points=points)
    assert times_of(move, 44_100)[:3] == [("0:00.000", "+0.00"), ("1:00.000", "-3.70"), ("1:30.250", "+1.50")]
    assert [line.split()[0] for line in table_of(move, 44_100)] == ["0:00.000", "1:30.350"]


@pytest.mark.parametrize("name", ["=1+1.wav", "+vox.wav", "-vox.wav", "@vox.wav"])
def test_a_name_is_no_formula_to_a_spreadsheet(name):
    # What begins with = + - or @ is calculated (OWASP, "CSV injection"; from memory).
    assert _as_text(name) == f"'{name}"
    assert _as_text("vox=1.wav") == "vox=1.wav"
