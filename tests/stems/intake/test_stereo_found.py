"""Sides at intake: mono in stereo, a side inverted or silent, a partner missing, the same audio twice."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile


def ids(found):
    return {key for key in found if key[1] != "lengths-differ"}


def test_both_sides_the_same(intake, pink):
    mono = pink(channels=1)
    found = intake({"a.wav": np.repeat(mono, 2, axis=1)})
    assert ids(found) == {("a.wav", "mono-in-stereo")}
    assert found["a.wav", "mono-in-stereo"].measured == "both sides are the same (to the bit)"


def test_one_side_inverted(intake, pink):
    mono = pink(channels=1)
    found = intake({"a.wav": np.concatenate([mono, -mono], axis=1)})
    assert ids(found) == {("a.wav", "side-inverted")}
    assert found["a.wav", "side-inverted"].severity == "warn"


def test_wide_stereo_is_neither(intake, pink):
    left, right = pink(channels=1), pink(channels=1, seed=5)
    assert intake({"a.wav": np.concatenate([left, -0.5 * left + right], axis=1)}) == {}


def test_one_side_silent(intake, pink):
    audio = pink()
    audio[:, 1] = 0.0
    audio[100, 0] = 0.25  # arithmetic: 20 lg 0.25 = -12.04 dBFS
    found = intake({"a.wav": audio})
    assert ids(found) == {("a.wav", "side-silent")}
    assert found["a.wav", "side-silent"].measured == "the right side is silent; the loudest reaches -12.0 dBFS"


def test_a_partner_missing_and_a_pair_that_is_whole(intake, pink):
    mono = {"gtr_L.wav": pink(channels=1), "keys L.wav": pink(channels=1, seed=2), "keys R.wav": pink(channels=1, seed=3)}
    found = intake(mono, partners={"keys L.wav": "keys R.wav", "keys R.wav": "keys L.wav"})
    assert ids(found) == {("gtr_L.wav", "partner-missing")}
    assert found["gtr_L.wav", "partner-missing"].measured == "the name says left side, and there is no right one"


def test_a_pair_with_one_side_inverted_or_with_the_same_sound(intake, pink):
    one, two = pink(channels=1), pink(channels=1, seed=2)
    stems = {"a_L.wav": one, "a_R.wav": -one, "b_L.wav": two, "b_R.wav": two}
    partners = {"a_L.wav": "a_R.wav", "a_R.wav": "a_L.wav", "b_L.wav": "b_R.wav", "b_R.wav": "b_L.wav"}
    assert ids(intake(stems, partners=partners)) == {("a_R.wav", "side-inverted"), ("b_R.wav", "mono-in-stereo")}


def test_the_same_audio_twice_whatever_the_container_and_word_length(intake, pink, tmp_path):
    audio = pink()
    soundfile.write(tmp_path / "copy.flac", audio, 48_000, "PCM_16")
    found = intake({"lead.wav": audio, "copy.flac": None, "other.wav": pink(seed=9)})
    assert ids(found) == {("copy.flac", "same-audio")}
    assert found["copy.flac", "same-audio"].measured.startswith("the same audio as lead.wav (the difference is -")


def test_the_same_audio_inverted(intake, pink):
    found = intake({"a.wav": pink(), "b.wav": -pink()})
    assert found["b.wav", "same-audio"].measured.startswith("the same audio as a.wav, inverted (")


def test_a_stem_and_its_louder_print_are_two_stems(intake, pink):
    assert intake({"a.wav": pink(), "b.wav": pink() * 0.9}) == {}


@pytest.mark.parametrize(("apart_db", "said"), [(9.0, True), (4.0, False)])
def test_sides_and_pairs_that_are_far_apart_are_told(intake, pink, apart_db, said):
    gain = 10.0 ** (-apart_db / 20.0)  # arithmetic: the level of one side against the other
    audio = pink() * np.array([1.0, gain])
    one = intake({"pad.wav": audio})
    assert [key for key in one if key[1] == "sides-apart"] == ([("pad.wav", "sides-apart")] if said else [])
    stems = {"Gtr_L.wav": audio[:, :1], "Gtr_R.wav": audio[:, 1:]}
    two = intake(stems, partners={"Gtr_L.wav": "Gtr_R.wav", "Gtr_R.wav": "Gtr_L.wav"})
    assert [key for key in two if key[1] == "pair-apart"] == ([("Gtr_L.wav", "pair-apart")] if said else [])
