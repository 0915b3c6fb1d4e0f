"""A song looked at: what is asked of a person, what a stem is said to be, and which recipes are searched."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stemwright.passes.look import last_manifest, look
from stemwright.passes.song import open_song
from stemwright.stems.findings import Finding


def seen(folder, executor, **asked):
    return look(folder, executor, **asked)


@pytest.fixture
def song(make_song):
    return make_song(
        {"kick.wav": None, "Aud 07.wav": None, "loop.wav": None, "click.wav": None},
        "stems: {loop: {leave: the artist is used to it}, click: {skip: for the drummer}}\n",
    )


def of_stem(found, stem):
    return [each.id for each in found.findings if each.stem == stem]


def test_a_stem_that_no_recipe_takes_is_for_a_person_to_settle_and_one_left_or_skipped_is_not(song, executor):
    found = seen(song, executor)
    assert of_stem(found, "Aud 07.wav") == ["no-recipe"]
    assert of_stem(found, "loop.wav") == of_stem(found, "click.wav") == of_stem(found, "kick.wav") == []
    assert not found.ready
    only_told = replace(found, findings=tuple(replace(each, severity="info") for each in found.findings))
    assert only_told.ready
    assert replace(found, findings=()).ready


def test_stems_are_hashed_only_where_a_plan_needs_it(song, executor):
    assert {fact.sha256 for fact in seen(song, executor).facts.values()} == {None}
    assert all(fact.sha256 for fact in seen(song, executor, hashed=True).facts.values())


def test_a_skipped_stem_is_neither_judged_nor_listened_to_for_the_song(song, executor):
    (song / "click.wav").write_bytes(b"RIFF")  # which is nobody's business
    found = seen(song, executor)
    assert of_stem(found, "click.wav") == []
    assert {each.stem for each in found.arrived} == {"kick.wav", "Aud 07.wav", "loop.wav"}
    (song / "kick.wav").write_bytes(b"RIFF")
    found = seen(song, executor)
    assert of_stem(found, "kick.wav") != []
    assert {each.stem for each in found.arrived} == {"Aud 07.wav", "loop.wav"}


def test_what_each_stem_is_said_to_be(song, executor):
    (song / "click.wav").write_bytes(b"RIFF")
    data = seen(song, executor).as_json()
    stems = {each["stem"]: each for each in data["stems"]}
    assert (data["song"], data["ready"]) == ("song", False)
    assert stems["kick.wav"] == {
        "stem": "kick.wav", "recipe": "kick", "role": "kick", "matched_by": stems["kick.wav"]["matched_by"],
        "why": stems["kick.wav"]["why"], "pair": None, "leave": False, "skip": False, "container": "WAV", "subtype": "PCM_24",
        "rate_hz": 48_000, "channels": 2, "frames": 8160,
    }  # fmt: skip
    assert (stems["Aud 07.wav"]["recipe"], stems["Aud 07.wav"]["role"]) == (None, None)
    assert (stems["loop.wav"]["leave"], stems["loop.wav"]["skip"]) == (True, False)
    assert (stems["click.wav"]["leave"], stems["click.wav"]["skip"], stems["click.wav"]["frames"]) == (False, True, None)


def test_the_reference_mix_is_no_stem_unless_the_sheet_says_what_it_is(make_song, executor):
    stems = {"kick.wav": None, "rough.wav": None}
    found = seen(make_song(stems, "reference: rough.wav\n", folder="one"), executor)
    assert (found.assignments["rough.wav"].skip, found.assignments["rough.wav"].why) == (
        True,
        "the reference mix, not a stem",
    )
    assert not found.assignments["kick.wav"].skip
    both = seen(make_song(stems, "reference: rough.wav\nstems: {rough: {leave: as it is}}\n", folder="two"), executor)
    assert (both.assignments["rough.wav"].skip, both.assignments["rough.wav"].leave) == (False, True)


def test_a_tempo_is_proposed_only_where_the_sheet_has_none(make_song, executor):
    stems = {"kick_88bpm.wav": None, "keys_88bpm.wav": None}
    assert "tempo" in {each.id for each in seen(make_song(stems, folder="one"), executor).findings}
    assert "tempo" not in {each.id for each in seen(make_song(stems, "tempo: 88\n", folder="two"), executor).findings}


def test_a_folder_of_recipes_that_another_stands_in_for_is_passed_over(make_song, executor, tmp_path):
    for name, freq in (("ours", 100), ("theirs", 200)):
        (tmp_path / name).mkdir()
        move = f"{{high_pass: {{freq: {freq} Hz}}, why: low}}"
        text = f"recipe: kick\nabout: a\nstems: {{names: [kick]}}\nmoves: [{move}]\n"
        (tmp_path / name / "kick.yaml").write_text(text, encoding="utf-8")
    song = make_song({"kick.wav": None}, "recipes: [../ours]\n")

    def corner(**asked):
        found = seen(song, executor, **asked)
        return found.assignments["kick.wav"].recipe.moves[0].settings["freq_hz"], found.folders

    first, folders = corner()
    assert first == 100.0
    assert "../ours" in folders
    assert corner(recipe_dirs=[tmp_path / "theirs"], instead_of=tmp_path / "ours")[0] == 200.0
    _, others = corner(instead_of=tmp_path / "ours")
    assert "../ours" not in others
    assert corner(instead_of=tmp_path / "theirs")[0] == 100.0


def test_before_the_first_pass_there_is_no_last_and_after_it_the_newest_is(song, make_pass, executor):
    assert last_manifest(open_song(song)) is None
    assert seen(song, executor).last is None
    make_pass(song)
    (song / "session.yaml").unlink()
    make_pass(song)
    assert last_manifest(open_song(song)).name == "pass-02"


def test_findings_of_the_folder_are_among_them(make_song, executor):
    song = make_song({"kick.wav": None})
    (song / "odd.wav").mkdir()
    (odd,) = (each for each in seen(song, executor).findings if each.stem == "odd.wav")
    assert isinstance(odd, Finding)
    assert (odd.id, odd.severity) == ("not-a-stem", "warn")
