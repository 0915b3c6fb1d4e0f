"""Rings in a pass: planned as notches with their evidence, alike for a pair, and half depth measured on the file."""

from __future__ import annotations

import re
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile
from scipy.signal import sosfilt, welch

from stemwright.cli import main
from stemwright.dsp.sections import design
from stemwright.handover.audition import LIFT_DB, no_louder, write_auditions
from stemwright.passes.history import read_pass
from stemwright.passes.song import open_song
from stemwright.plan.ring_moves import _together
from stemwright.plan.ring_words import picture
from stemwright.plan.rings_in_file import rings_in
from stemwright.stems.audio import probe

RATE_HZ = 48_000
FREQ_HZ, EXCESS_DB, Q = 3000.0, 12.0, 30.0
RECIPE = """\
recipe: rung
about: Only the ring.
stems: {names: [rung]}
moves:
  - rings: {from: 1 kHz, to: 8 kHz, at_most: 1, take: DEPTH %, deepest: 24 dB}
    name: ring
    why: it hurts
"""


def rung(seconds=8.0, channels=1, seed=3):
    """Pink-like noise bursts with one bell of known frequency, gain and Q planted in them."""
    noise = np.random.default_rng(seed).standard_normal((round(seconds * RATE_HZ), channels)) * 0.03
    noise *= 0.3 + np.exp(-5.0 * (np.arange(len(noise)) / RATE_HZ * 2.0 % 1.0))[:, None]
    bell = design("bell", {"freq_hz": FREQ_HZ, "gain_db": EXCESS_DB, "q": Q}, RATE_HZ)
    return sosfilt(bell.copy(), noise, axis=0)


def with_recipe(song, depth, more=""):
    (song / "recipes").mkdir()
    (song / "recipes" / "rung.yaml").write_text(RECIPE.replace("DEPTH %", f"{depth} %{more}"))
    return song


def height_db(audio):
    """Level at the ring over the level a sixth of an octave away, averaged over the whole sound."""
    freqs, power = welch(audio[:, 0], RATE_HZ, nperseg=32_768)
    around = [power[np.abs(freqs - FREQ_HZ * 2**shift) < 30].mean() for shift in (-1 / 3, 1 / 3)]
    return 10 * np.log10(power[np.abs(freqs - FREQ_HZ) < 8].mean() / np.mean(around))


def test_half_depth_takes_half_the_excess_in_db_measured_on_the_written_file(make_song, make_pass):
    song = with_recipe(make_song({"rung.wav": rung()}), 50)
    make_pass(song)
    written, _ = soundfile.read(song / "passes/pass-01/stems/rung.wav", always_2d=True)
    received, _ = soundfile.read(song / "rung.wav", always_2d=True)
    # The excess is EXCESS_DB by construction; 1 dB: what the finder may be off by, and the spectrum's own scatter.
    assert height_db(received) == pytest.approx(EXCESS_DB, abs=1.0)
    assert height_db(written) == pytest.approx(EXCESS_DB / 2, abs=1.0)


def test_the_notch_is_planned_in_numbers_with_the_evidence_and_recall_needs_no_finder(make_song, make_pass):
    song = with_recipe(make_song({"rung.wav": rung()}), 50)
    entry = make_pass(song).manifest.entries["rung.wav"].as_json()
    (move,) = entry["moves"]
    assert (move["kind"], move["name"], move["why"]) == ("notch", "ring 1", "it hurts")
    # 5 cents; Q within a quarter of the planted one.
    assert 1200 * abs(np.log2(move["freq_hz"] / FREQ_HZ)) < 5
    assert Q * 0.75 < move["q"] < Q * 1.25
    assert move["found"]["excess_db"] == pytest.approx(EXCESS_DB, abs=1.5)
    assert len(move["sections"]) >= 1


def test_a_pair_is_one_decision(make_song, make_pass):
    both = rung(channels=2)
    song = with_recipe(make_song({"rung_L.wav": both[:, :1], "rung_R.wav": both[: RATE_HZ * 6, 1:]}), 50)
    entries = {stem: entry.as_json() for stem, entry in make_pass(song).manifest.entries.items()}
    assert entries["rung_L.wav"]["moves"] == entries["rung_R.wav"]["moves"] != []


def test_no_ring_no_move_and_the_stem_is_left_as_received(make_song, make_pass, noise):
    song = with_recipe(make_song({"rung.wav": noise(4)}), 50)
    entry = make_pass(song).manifest.entries["rung.wav"].as_json()
    assert (entry["status"], entry["moves"]) == ("left", [])
    assert entry["why"] == "none of its recipe's moves is needed here"


@pytest.mark.parametrize("frames", [1, 3, 100])
def test_a_stem_of_a_few_samples_has_no_rings_and_no_crash(make_song, make_pass, noise, frames):
    song = with_recipe(make_song({"rung.wav": noise(1)[:frames]}), 50)
    assert make_pass(song).manifest.entries["rung.wav"].as_json()["moves"] == []


def test_an_audition_is_never_louder_than_the_stem_as_received(make_song, tmp_path):
    song = make_song({"rung.wav": rung()})
    source = song / "rung.wav"
    info = probe(source)
    heard = rings_in(source, from_hz=1000, to_hz=8000, at_most=1, least_db=4)
    from stemwright.dsp.rings import plan_notches

    (path,) = write_auditions(source, info, plan_notches(heard.rings), tmp_path / "out")
    audio, _ = soundfile.read(path, always_2d=True)
    received, _ = soundfile.read(source, always_2d=True)
    assert np.abs(audio).max() <= np.abs(received).max() + 2 * 2.0**-23
    part, gap = 3 * RATE_HZ, round(0.3 * RATE_HZ)
    levels = [np.sqrt(np.mean(audio[at : at + part] ** 2)) for at in range(0, 4 * (part + gap), part + gap)]
    assert len(audio) == 4 * (part + gap)
    assert levels[0] == pytest.approx(levels[3], rel=1e-3)
    assert levels[1] <= levels[0] * 1.0001
    lifted = audio[part + gap : 2 * part + gap]
    assert height_db(lifted) == pytest.approx(EXCESS_DB + LIFT_DB, abs=2.5)
    assert height_db(audio[2 * (part + gap) : 3 * part + 2 * gap]) == pytest.approx(EXCESS_DB / 2, abs=2.0)


def test_lowering_obeys_both_the_peak_and_the_mean():
    # Arithmetic: peak 2 against 1 asks for half, mean 3 against 1 for a third; the smaller wins.
    steady = np.ones((4, 1))
    assert no_louder(steady * 3, steady).max() == pytest.approx(1.0)
    spiky = np.array([[2.0], [0.0], [0.0], [0.0]])
    assert no_louder(spiky, steady).max() == pytest.approx(1.0)
    assert np.array_equal(no_louder(steady * 0.5, steady), steady * 0.5)


def test_a_ring_that_is_only_offered_is_not_taken_and_the_note_that_it_comes_with_takes_it(make_song, make_pass, make_note):
    song = with_recipe(make_song({"rung.wav": rung()}), 50, ", verdict: offered")
    item = make_pass(song).manifest.entries["rung.wav"].item
    assert item.moves == ()
    (message,) = item.messages
    offer = r"ring: (\S+ kHz) may ring \(.+ certain\): offered, and not taken; a note takes it: (notch \1 -[\d.]+ dB q \d+)"
    words = re.fullmatch(offer, message)
    make_note(song, f"rung: {words[2]}")
    (move,) = read_pass(open_song(song), None).entries["rung.wav"].item.moves
    assert (move.kind, move.settings["freq_hz"]) == ("notch", pytest.approx(FREQ_HZ, rel=0.003))


def test_a_picture_goes_from_the_surroundings_to_the_highest_level_and_shows_what_a_notch_leaves():
    # Eight bars for 0 to 12 dB: 12 dB is the last, 0 and less the first, 6.9 dB (4.0 of 7 steps) the fifth.
    assert picture([-3.0, 0.0, 6.9, 12.0]) == "▁▁▅█"
    assert picture([-3.0, 0.0, 6.9, 12.0], [0.0, 0.0, -1.0, -12.0]) == "▁▁▄▁"


def test_what_rings_prints_leads_with_what_to_do_and_fits_80_columns(make_song, capsys):
    song = make_song({"rung.wav": rung()})
    main(["rings", str(song / "rung.wav")])
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "rung.wav: 1 to take, 2 to leave"
    assert re.match(r"take    (2\.99|3\b)\S* kHz  \+1[12]", lines[2])
    assert [line for line in lines if len(line) > 80] == []


@pytest.mark.parametrize("bad", [np.nan, np.inf, 1e25])
def test_rings_are_not_looked_for_in_what_is_no_sound(tmp_path, capsys, bad):
    audio = rung()
    audio[1000] = bad
    soundfile.write(tmp_path / "rung.wav", audio, RATE_HZ, "FLOAT")
    assert main(["rings", str(tmp_path / "rung.wav")]) == 2
    assert "rung.wav: holds samples that are no numbers, or 180 dB over full scale" in capsys.readouterr().err


# A left and a right are searched as one where both can be read, at one rate.
@pytest.mark.parametrize(
    ("rates_hz", "usable", "partner", "together"),
    [
        ((48_000, 48_000), True, "r.wav", ("l.wav", "r.wav")),
        ((48_000, 44_100), True, "r.wav", ("l.wav",)),
        ((None, 48_000), True, "r.wav", ("l.wav",)),
        ((48_000, None), True, "r.wav", ("l.wav",)),
        ((48_000, 48_000), False, "r.wav", ("l.wav",)),
        ((48_000, 48_000), True, "gone.wav", ("l.wav",)),
        ((48_000, 48_000), True, None, ("l.wav",)),
    ],
)
def test_which_sides_are_searched_together(rates_hz, usable, partner, together):
    infos = [None if rate_hz is None else SimpleNamespace(rate_hz=rate_hz) for rate_hz in rates_hz]
    facts = {"l.wav": SimpleNamespace(info=infos[0], usable=True), "r.wav": SimpleNamespace(info=infos[1], usable=usable)}
    assert _together("l.wav", facts, {"l.wav": SimpleNamespace(partner=partner)}) == together
