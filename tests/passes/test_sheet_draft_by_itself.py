"""The sheet that a look drafts, line by line, from what was assigned."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from stemwright.errors import SongError
from stemwright.passes.sheet_draft import draft, write_draft
from stemwright.plan.assignment import Assignment


def recipe(name, role=None):
    return SimpleNamespace(name=name, role=role or name, moves=(), family=None)


def taken(name, by="its name"):
    return Assignment(recipe=recipe(name), matched_by=by, why="")


UNKNOWN = Assignment(recipe=None, matched_by="", why="")
HEAD = [
    "# What look knows of this song. Change what is wrong, take the # away from what is right; a line left out goes by name.",
    'song: "roof"',
    "# approver: who answers for the artist; their own words count first in a note",
]
FOOT = [
    "# sections: {hook: 0:45-1:10}   # places of this song, for notes and for a move's only",
    "# reference: rough mix.wav   # sum says how far the stems are from it",
    "# deliver: {loudness: hold, overs: float, bits: 24}",
]


def arrived(stem, tempo):
    marks = SimpleNamespace(tempo_bpm=tempo, beats=None)
    return SimpleNamespace(stem=stem, marks=marks, frames=44100, rate_hz=44100, seconds=1.0)


def seen(song=None, *, folder="roof", tempos=(), **assignments):
    return SimpleNamespace(
        sheet=SimpleNamespace(song=song),
        song=SimpleNamespace(folder=folder if not isinstance(folder, str) else SimpleNamespace(name=folder)),
        assignments={f"{stem}.wav": each for stem, each in assignments.items()},
        arrived=[arrived(f"{number}.wav", tempo) for number, tempo in enumerate(tempos)],
    )


def lines(*each, **named):
    return draft(seen(**named), *each).splitlines()


def test_what_is_known_is_written_and_what_is_not_is_to_settle():
    assignments = {
        "keys": taken("piano", "the word keys"),
        "loop": Assignment(recipe=None, matched_by="session sheet", why="the artist is used to it", leave=True),
        "click": Assignment(recipe=None, matched_by="session sheet", why="for the drummer", skip=True),
        "take": Assignment(recipe=None, matched_by="", why="", readings=("snare", "kick")),
        "audio": UNKNOWN,
    }
    assert lines(**assignments) == [
        *HEAD,
        "stems:",
        '  "keys.wav": {role: "piano", why: "the word keys"}',
        '  "loop.wav": {leave: "the artist is used to it"}',
        '  "click.wav": {skip: "for the drummer"}',
        "  # to settle; the likeliest is first",
        '  # "take.wav": {role: kick} or {role: snare}, {leave: the reason} or {skip: the reason}',
        '  # "audio.wav": {role: ...}, {leave: the reason} or {skip: the reason}',
        *FOOT,
    ]


def test_where_nothing_is_known_the_stems_are_a_comment_and_where_all_is_nothing_is_to_settle():
    assert lines(audio=UNKNOWN)[3:5] == [
        "# stems:   to settle; the likeliest is first",
        '  # "audio.wav": {role: ...}, {leave: the reason} or {skip: the reason}',
    ]
    assert lines(keys=taken("piano")) == [*HEAD, "stems:", '  "keys.wav": {role: "piano", why: "its name"}', *FOOT]
    assert lines() == [*HEAD, *FOOT]


def test_the_songs_name_is_the_sheets_or_the_folders_and_folders_of_recipes_are_named():
    assert lines(song="Café [1]")[1] == 'song: "Café [1]"'
    assert lines(["../ours", "theirs"])[3] == 'recipes: ["../ours", "theirs"]'
    assert not any(line.startswith("recipes:") for line in lines())


# Of the tempos that files carry the one most have; to a hundredth.
@pytest.mark.parametrize(
    ("tempos", "said"),
    [
        ((88.0, 88.001, 90.0), ["# tempo: 88   # quarters a minute, say files or names"]),
        ((None,), []),
        ((92.5,), ["# tempo: 92.5   # quarters a minute, say files or names"]),
    ],
)
def test_a_tempo_that_files_carry_is_said(tempos, said):
    assert [line for line in lines(tempos=tempos) if "tempo" in line] == said


def test_what_is_no_text_or_cannot_be_printed_is_quoted_or_left_out():
    odd = {
        "a\u2028b": taken("piano"),
        "half\ud800": taken("piano"),
        "edge\ud7ff\ue000": taken("piano"),
        "low\udfff": taken("piano"),
    }
    written = [line for line in lines(**odd) if line.startswith("  ")]
    assert written[0] == '  "a\\u2028b.wav": {role: "piano", why: "its name"}'
    assert len(written) == 2  # the two that are half a character are not there
    assert written[1].startswith('  "edge')


def test_a_sheet_that_cannot_be_written_is_said(tmp_path):
    (tmp_path / "song").write_text("a file", encoding="utf-8")
    with pytest.raises(SongError, match=r"^song/session\.yaml: cannot be written \(.*\)$"):
        write_draft(seen(folder=tmp_path / "song"))
    (tmp_path / "other").mkdir()
    path = write_draft(seen(folder=tmp_path / "other", keys=taken("piano")))
    assert path.read_text(encoding="utf-8").splitlines()[1] == 'song: "other"'
    with pytest.raises(SongError) as caught:
        write_draft(seen(folder=tmp_path / "other"))
    assert str(caught.value) == "other/session.yaml: there already, and not touched; move it away to have a new one"
