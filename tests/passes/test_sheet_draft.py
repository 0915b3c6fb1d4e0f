"""The sheet that look writes: valid, with what is known, never over another, and the same pass comes of it."""

from __future__ import annotations

import struct

import pytest

from stemwright.cli import main
from stemwright.recipes.session import load_session
from stemwright.recipes.timeline import Timeline


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


# A loop of eight beats at 96 a minute lasts 5 s, and begins on one.
@pytest.mark.parametrize(
    ("name", "tempo", "lines"),
    [
        ("keys.wav", 96.0, ["tempo: 96", "bar_one: 0 s"]),
        ("keys 120bpm.wav", None, ["tempo: 120", "bar_one: 0 s"]),
        ("keys.wav", None, []),
    ],
)
def test_what_is_said_of_time_is_a_line_to_take_the_mark_away_from(make_song, name, tempo, lines):
    song = make_song({name: None}, seconds=5.0)
    if tempo is not None:
        path = song / name
        data = path.read_bytes() + b"acid" + struct.pack("<IIHHfIHHf", 24, 0, 60, 0, 0.0, 8, 4, 4, tempo)
        path.write_bytes(data[:4] + struct.pack("<I", len(data) - 8) + data[8:])
    main(["look", str(song), "--write-session"])
    sheet = song / "session.yaml"
    text = sheet.read_text(encoding="utf-8")
    offered = [
        line.removeprefix("# ") for line in text.splitlines() if line.startswith(("# tempo", "# bar_one", "# sections"))
    ]
    assert [line.split("   #")[0] for line in offered[:-1]] == lines
    assert load_session(song).timeline == Timeline()
    sheet.write_text("\n".join(offered), encoding="utf-8")
    assert load_session(song).timeline.sections


def test_a_proposed_tempo_comes_with_what_to_write(make_song, capsys):
    main(["look", str(make_song({"keys 120bpm.wav": None}))])
    lines = capsys.readouterr().out.splitlines()
    at = next(number for number, line in enumerate(lines) if "[tempo]" in line)
    assert (
        lines[at + 1]
        == "      do:  if it is the song's, write into session.yaml: tempo: 120, and bar_one: where bar 1 begins"
    )


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
