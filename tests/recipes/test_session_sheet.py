"""The session sheet: what it may say, and which stems it means."""

from __future__ import annotations

import pytest

from stemwright.errors import RecipeError
from stemwright.recipes.deliver import Deliver
from stemwright.recipes.library import Library
from stemwright.recipes.session import SessionSheet, load_session
from stemwright.recipes.stem_choices import StemChoice, choices_of


@pytest.fixture
def load(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def write_and_load(text):
        (tmp_path / "session.yaml").write_text(text, encoding="utf-8")
        return load_session(tmp_path)

    return write_and_load


def problems(function, *arguments):
    with pytest.raises(RecipeError) as caught:
        function(*arguments)
    return list(caught.value.problems)


def test_without_a_sheet_everything_is_default(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert load_session(tmp_path) == SessionSheet()


def test_an_empty_sheet_is_one_with_defaults(load):
    assert load("# nothing yet\n") == SessionSheet()


def test_a_sheet_is_read_whole(load):
    sheet = load(
        "song: Night drive\napprover: the artist\n"
        "stems:\n"
        "  Audio 07: {role: piano, why: said on the phone}\n"
        "  Vox.wav: {leave: likes it}\n"
        "  Ref: {skip: true, why: a rough mix}\n"
        "deliver: {overs: trim, bits: 24}\n"
    )
    assert (sheet.song, sheet.approver, sheet.deliver) == ("Night drive", "the artist", Deliver(overs="trim", bits=24))
    assert sheet.stems == {
        "Audio 07": StemChoice(role="piano", why="said on the phone"),
        "Vox.wav": StemChoice(leave="likes it", why="likes it"),
        "Ref": StemChoice(skip="a rough mix", why="a rough mix"),
    }


@pytest.mark.parametrize(("written", "bits"), [("16", 16), ("'24'", 24), ("32", 32), ("float", "float"), ("keep", None)])
def test_word_lengths_are_read(load, written, bits):
    assert load(f"deliver: {{bits: {written}}}\n").deliver.bits == bits


WRONG = [
    (
        "stem: {}\n",
        (
            "1:1: stem: unknown key (stem); did you mean stems? allowed: song, approver, stems, reference, deliver, kit, "
            "recipes, tempo, meter, bar_one, sections"
        ),
    ),
    ("deliver: {bits: 20}\n", "1:17: deliver.bits: not allowed here (20); allowed: keep, 16, 24, 32, float"),
    (
        "deliver: {overs: trm}\n",
        "1:18: deliver.overs: not allowed here (trm); did you mean trim? allowed: float, trim, stop",
    ),
    (
        "stems: [a]\n",
        (
            "1:8: stems: a list is not allowed here; write a mapping of stems' names, each with one of "
            "{role: piano}, {leave: the reason}, {skip: the reason}"
        ),
    ),
    (
        "stems: {a: leave}\n",
        ("1:12: stems.a: not allowed here (leave); write one of {role: piano}, {leave: the reason}, {skip: the reason}"),
    ),
    (
        "stems: {a: {leave: true}}\n",
        ("1:20: stems.a.leave: no reason is given; write the reason, such as {leave: the artist likes it as it is}"),
    ),
    (
        "stems: {a: {skip: false}}\n",
        (
            "1:19: stems.a.skip: not allowed here (false); take the line out, or "
            "write the reason, such as {skip: the artist likes it as it is}"
        ),
    ),
    (
        "stems: {a: {why: x}}\n",
        (
            "1:9: stems.a: neither role nor leave nor skip; write one of "
            "{role: piano}, {leave: the reason}, {skip: the reason}"
        ),
    ),
    (
        "stems: {a: {role: piano, skip: x}}\n",
        ("1:9: stems.a: role and skip at once; write one of {role: piano}, {leave: the reason}, {skip: the reason}"),
    ),
    ("stems: {a: {leave: x, why: y}}\n", "1:23: stems.a.why: a second reason beside leave; keep one of them"),
    (
        "stems: {a: {leav: x}}\n",
        "1:13: stems.a.leav: unknown key (leav); did you mean leave? allowed: role, leave, skip, why, ride",
    ),
]


@pytest.mark.parametrize(("text", "message"), WRONG, ids=[text.strip() for text, _ in WRONG])
def test_what_is_wrong_is_said_with_its_place(load, text, message):
    assert problems(load, text) == [f"session.yaml:{message}"]


def test_a_sheet_with_the_other_ending_is_not_passed_over(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "session.yml").touch()
    assert problems(load_session, tmp_path) == ["session.yml:1:1: a session sheet is called session.yaml; rename it"]


STEMS = ["Kick.wav", "Kick.aif", "drums/Hat.wav", "Vox v1.2.wav", "Caf\u00e9.wav"]


def test_names_are_found_with_and_without_ending_folder_and_composed_accents(load):
    sheet = load('stems: {Kick.aif: {skip: x}, drums/Hat: {role: hats}, Vox v1.2: {role: vox}, "Cafe\\u0301": {leave: y}}\n')
    assert {stem: choice.role for stem, choice in choices_of(sheet, STEMS).items()} == {
        "Kick.aif": None,
        "drums/Hat.wav": "hats",
        "Vox v1.2.wav": "vox",
        "Caf\u00e9.wav": None,
    }


def test_names_that_fit_no_stem_or_two_are_said_all_at_once(load):
    sheet = load("stems:\n  Kik.wav: {skip: x}\n  Kick: {skip: x}\n  drums/Hat: {skip: x}\n  drums/Hat.wav: {role: hats}\n")
    assert problems(choices_of, sheet, STEMS) == [
        (
            "session.yaml:2:3: stems.Kik.wav: no stem has this name (Kik.wav); did you mean Kick.wav? "
            "allowed: Kick.wav, Kick.aif, drums/Hat.wav, Vox v1.2.wav, Café.wav"
        ),
        "session.yaml:3:3: stems.Kick: fits 2 stems (Kick.wav, Kick.aif); write the whole name",
        "session.yaml:5:3: stems.drums/Hat.wav: the same stem as drums/Hat; keep one of them",
    ]


def test_a_role_that_is_no_recipes_is_said_with_its_place(load):
    sheet = load("stems:\n  Kick.wav: {role: kik}\n")
    assert problems(choices_of, sheet, STEMS, Library({})) == [
        "session.yaml:2:3: stems.Kick.wav.role: no recipe has this name (kik); there are none"
    ]
