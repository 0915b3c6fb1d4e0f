"""What a note says is not so, or is not to be done: nothing comes of it, and what is asked beside it is done."""

from __future__ import annotations

import pytest
from tests.notes.test_gist import SONG, VOCABULARY

from stemwright.notes import language


def done(text: str) -> set[tuple[str, str, bool]]:
    """Return what comes of a note: stems, words and whether more of them; nothing where it is refused."""
    found = language.read(text, SONG, VOCABULARY)
    if found.problems or found.relations or found.not_ours:
        return set()
    return {(stem, ask.word, ask.amount > 0.0) for ask in found.asks for stem in ask.stems}


# Plain notes nobody could take for an ask: common practice, no source.
@pytest.mark.parametrize(
    "text",
    [
        "please don't turn the piano down, whatever anybody else may say",
        "I would never make the piano any quieter than it is",
        "neither the piano nor the bass are anything like quiet",
        "the piano isn't dull to me, or to anybody else in the room",
        "don't turn the hats down",
        "the hats are not harsh at all, leave them",
        "no need to make the piano brighter",
        "don't make the vocal any louder",
        "nobody says the kick is too loud",
        "I don't think the vocal is muffled",
        "the kick doesn't need to be louder",
        "never brighten the hats",
        "the piano should not be quieter",
        "don't you dare turn down the bass",
        "I wouldn't say the bass is too quiet",
        "I never said the vocal was too quiet",
    ],
)
def test_what_is_said_not_to_be_is_not_done(text):
    assert done(text) == set()


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("there's no low end in the kick", {("Kick.wav", "weight", True)}),
        ("there is no air on the vocal", {("Ld Vox.wav", "air", True)}),
        ("the piano has no bite", {("Piano.wav", "bite", True)}),
        ("the vocal isn't loud enough", {("Ld Vox.wav", "buried", False)}),
        ("I can't hear the piano", {("Piano.wav", "buried", False)}),
        ("less hats, not more", {("Hats.wav", "loud", False)}),
        ("not happy with the hats, too sharp", {("Hats.wav", "shrill", False)}),
        ("without making it louder, give the vocal more presence", {("Ld Vox.wav", "presence", True)}),
    ],
)
def test_what_is_missing_is_asked_for(text, wanted):
    assert done(text) == wanted
