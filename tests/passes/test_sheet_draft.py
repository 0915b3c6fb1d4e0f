"""The sheet that look writes: valid, with what is known, never over another, and the same pass comes of it."""

from __future__ import annotations

import pytest

from stemwright.cli import main
from stemwright.recipes.session import load_session


def plans(song, capsys):
    capsys.readouterr()
    main(["prep", str(song), "--plan"])
    return [line for line in capsys.readouterr().out.splitlines() if line.startswith("    ")]


def test_it_says_what_is_known_and_gives_the_same_moves(make_song, capsys):
    song = make_song(
        {"Kick.wav": None, "pno L.wav": None, "pno R.wav": None, "Audio 07.wav": None, 'odd "name" #1.wav': None}
    )
    before = plans(song, capsys)
    assert main(["look", str(song), "--write-session"]) == 1
    sheet = load_session(song)
    assert {stem: choice.role for stem, choice in sheet.stems.items()} == {
        "Kick.wav": "kick", "pno L.wav": "piano", "pno R.wav": "piano",
    }  # fmt: skip
    text = (song / "session.yaml").read_text(encoding="utf-8")
    assert '  # "Audio 07.wav": ' in text
    assert r'  # "odd \"name\" #1.wav": ' in text
    assert plans(song, capsys) == before


def test_one_that_is_there_is_never_touched(make_song, capsys):
    song = make_song({"Kick.wav": None})
    (song / "session.yaml").write_text("song: mine\n", encoding="utf-8")
    assert main(["look", str(song), "--write-session"]) == 2
    assert "there already, and not touched" in capsys.readouterr().err
    assert (song / "session.yaml").read_text(encoding="utf-8") == "song: mine\n"


@pytest.mark.parametrize("name", ["808.wav"])
def test_a_stem_with_a_role_by_hand_and_no_moves_still_takes_notes(make_song, name):
    song = make_song({name: None, "Kick.wav": None})
    (song / "session.yaml").write_text("stems:\n  808.wav: {role: 808}\n", encoding="utf-8")
    assert main(["prep", str(song), "--no-page"]) in (0, 1)
    assert main(["note", str(song), "808: +2 dB at 100", "--no-page"]) == 0
