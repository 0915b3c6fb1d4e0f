"""What a note says is not so, or is not to be done: nothing comes of it, and what is asked beside it is done."""

from __future__ import annotations

import pytest
from tests.notes.test_gist import SONG, VOCABULARY

from stemwright.notes import language
from stemwright.notes.language import NoteError, parse


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
        ("the vocal isn't loud enough", {("Ld Vox.wav", "loud", True)}),
        ("I can't hear the piano", {("Piano.wav", "buried", False)}),
        ("less hats, not more", {("Hats.wav", "loud", False)}),
        ("not happy with the hats, too sharp", {("Hats.wav", "shrill", False)}),
        ("without making it louder, give the vocal more presence", {("Ld Vox.wav", "presence", True)}),
    ],
)
def test_what_is_missing_is_asked_for(text, wanted):
    assert done(text) == wanted


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("why did you turn the bass up?", "it asks what happened"),
        ("when did the bass get quieter?", "it asks what happened"),
        ("who turned the vocal down?", "it asks what happened"),
        ("how loud is the bass?", "it asks how it is"),
        ("how muddy are the keys?", "it asks how it is"),
        ("the bass is neither too loud nor too quiet", "it says what is not so"),
        ("neither the piano nor the bass is too loud", "it says what is not so"),
    ],
)
def test_what_names_a_sound_and_asks_for_nothing_is_refused_with_why(text, why):
    with pytest.raises(NoteError, match=why):
        parse(text, SONG, VOCABULARY)
    assert not language.read(text, SONG, VOCABULARY).backs


@pytest.mark.parametrize(
    "text",
    [
        "undo the last change", "the last change was bad, undo it", "how about more bite on the piano?",
        "the last change was good but the piano is too bright now", "the last mix was better",
        "why did you turn the bass up? turn it down", "who turned the bass up? less bass",
    ],
)  # fmt: skip
def test_what_asks_after_all_is_done(text):
    found = language.read(text, SONG, VOCABULARY)
    assert found.asks or found.backs
    assert not any("for no change" in why for _, why in found.problems)


@pytest.mark.parametrize("text", ["why is the bass so loud?", "how come the bass is so loud?"])
def test_a_question_that_complains_is_offered_what_it_may_mean(text):
    assert language.read(text, SONG, VOCABULARY).perhaps[1] == ('"Bass.wav": less loud',)


@pytest.mark.parametrize("text", ["piano bite", "the piano, its bite", "kick: darker; piano: bite"])
def test_a_sound_without_more_or_less_is_not_guessed_at(text):
    with pytest.raises(NoteError, match="bite without a direction"):
        parse(text, SONG, VOCABULARY)


@pytest.mark.parametrize(
    "text", ["the last change was good", "that last move was great!", "the last change was good, thanks"]
)
def test_praise_of_the_last_change_does_not_undo_it(text):
    assert not language.read(text, SONG, VOCABULARY).backs
