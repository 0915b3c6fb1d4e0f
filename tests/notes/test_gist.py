"""The gist: what words do to stems, what the network is shown, how it reckons, and that stems do not look at each other."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest

from stemwright.notes.frames import Ask, ExactMove
from stemwright.notes.gist import network
from stemwright.notes.gist.effects import WAYS, Effects, of_move, opposite
from stemwright.notes.gist.followed import FOLLOWED
from stemwright.notes.gist.looks import bucket, looks
from stemwright.notes.gist.network import answer, weights
from stemwright.notes.gist.reading import PLAINLY, gist_of, items_of
from stemwright.notes.language import NO_TIMELINE, parse
from stemwright.notes.placed import PlacedConversation
from stemwright.notes.restating import in_words
from stemwright.notes.targets import targets_of
from stemwright.notes.understood import NoteRead
from stemwright.recipes.words_library import load_vocabulary, words_dirs


@dataclass(frozen=True)
class Stem:
    stem: str
    role: str | None
    family: str | None
    status: str = "prepped"
    deliver_as: object = "a file"


VOCABULARY = load_vocabulary(words_dirs(None, []))
EFFECTS = Effects(VOCABULARY)
BAND = (
    Stem("Kick.wav", "kick", "drums"),
    Stem("Hats.wav", "hats", "drums"),
    Stem("Bass.wav", "bass", "music"),
    Stem("Piano.wav", "piano", "music"),
    Stem("Ld Vox.wav", "lead vocal", "vocals"),
)
SONG = targets_of(BAND)


def shown(text, targets=SONG):
    return looks(items_of(text, targets, VOCABULARY)[1], NoteRead(), targets, EFFECTS)


def gist(text):
    reading = PlacedConversation(SONG, VOCABULARY, NO_TIMELINE).read(text)
    return gist_of(text, items_of(text, SONG, VOCABULARY), reading, SONG, EFFECTS)


# Bands as in `BANDS_HZ`; a bell of quality 1 is half as high, in dB, about 0.7 octaves away.
@pytest.mark.parametrize(
    ("kind", "settings", "does"),
    [
        ("gain", {"gain_db": -2.0}, {"quieter"}),
        ("gain", {"gain_db": 0.5}, {"louder"}),
        ("bell", {"freq_hz": 300.0, "gain_db": -3.0, "q": 1.0}, {"less low mids"}),
        ("bell", {"freq_hz": 1000.0, "gain_db": 3.0, "q": 1.0}, {"more mids"}),
        ("bell", {"freq_hz": 7000.0, "gain_db": -3.0, "q": 2.0}, {"less highs", "less esses"}),
        ("high_pass", {"freq_hz": 100.0, "slope_db_oct": 24.0}, {"less lows"}),
        ("low_shelf", {"freq_hz": 100.0, "gain_db": 3.0, "q": 0.7071}, {"more lows"}),
        ("ride", {}, {"more even"}),
    ],
)
def test_what_a_move_does(kind, settings, does):
    assert of_move(ExactMove(kind, tuple(settings.items()))) == does


def test_what_a_word_does_depends_on_the_stem_and_turns_round():
    assert EFFECTS.of("body", "kick", "drums") == {"more lows"}
    assert "more low mids" in EFFECTS.of("body", "piano", "music")
    assert EFFECTS.of("ringing", "piano", "music", more=False) == {"less ringing"}
    assert EFFECTS.of("dead", "piano", "music") == {"less ringing"}
    assert EFFECTS.of("no such word", "piano", "music") == frozenset()
    for way in WAYS:
        back = opposite(way)
        assert back is None if way == "more even" else opposite(back) == way != back


@pytest.mark.parametrize("way", [way for way in WAYS if way in PLAINLY])
def test_the_plain_word_for_a_way_does_it(way):
    word, sign = PLAINLY[way]
    for role, family in (("piano", "music"), ("lead vocal", "vocals"), ("snare", "drums")):
        assert way in EFFECTS.of(word, role, family, more=sign > 0)


def test_words_are_numbers_by_their_checksum():
    assert bucket("123456789") == 0xCBF43926 % 8192  # CRC-32, the check value of its catalogue


def test_what_is_shown_tells_stems_apart_by_what_is_said_of_them():
    piano = SONG.stems.index("Piano.wav")
    seen = shown("the piano is too bright")
    named = seen.own[:, :, len(WAYS)]
    assert named[piano].any()
    assert not np.delete(named, piano, axis=0).any()
    assert seen.own[:, :, len(WAYS) + 2].any(axis=1).tolist() == [stem != piano for stem in range(5)]
    bright = seen.qualities.index("bright")
    assert seen.own[piano, bright, WAYS.index("more highs")] == 1.0
    assert seen.own[piano, bright, WAYS.index("less highs")] == -1.0
    assert shown("piano -3 dB at 300 Hz").own[piano, :, WAYS.index("less low mids")].max() == 0.5


def test_of_each_word_it_is_shown_who_was_named_last_and_who_is_named_next():
    text = "nasty piano and bass, dull.\ncold kick"
    items = [None, *items_of(text, SONG, VOCABULARY)[1]]
    at = {item.text: number for number, item in enumerate(items) if item is not None}
    piano = shown(text).own[SONG.stems.index("Piano.wav"), :, len(WAYS) + 9 : -FOLLOWED]
    # the piano named last, another; the same over all sentences; the piano named next, another
    assert piano[0].tolist() == [0, 0, 0, 0, 1, 0]
    assert piano[at["nasty"]].tolist() == [0, 0, 0, 0, 1, 0]
    assert piano[at["piano"]].tolist() == [1, 0, 1, 0, 1, 0]
    assert piano[at["and"]].tolist() == [1, 0, 1, 0, 0, 1]
    assert piano[at["dull"]].tolist() == [0, 1, 0, 1, 0, 0]
    assert piano[at["cold"]].tolist() == [0, 0, 0, 1, 0, 1]
    kick = shown(text).own[SONG.stems.index("Kick.wav"), :, len(WAYS) + 9 : -FOLLOWED]
    assert kick[at["nasty"]].tolist() == [0, 0, 0, 0, 0, 1]


def test_a_name_of_several_stems_says_less_of_each():
    pair = targets_of((Stem("Gtr A.wav", "guitar", "music"), Stem("Gtr B.wav", "guitar", "music"), BAND[0]))
    first = len(WAYS)
    assert shown("guitars brighter", pair).own[:, 1, first : first + 3].tolist() == [[1, 0.5, 0], [1, 0.5, 0], [0, 0, 1]]
    assert shown("guitars brighter", pair).own[:, :, first + 7].max() == 0.0
    alone = targets_of((Stem("Gtr A.wav", "guitar", "music"),))
    assert shown("guitar brighter", alone).own[0, :, first + 7].max() == 1.0


def test_a_name_is_not_shown_as_its_word():
    other = targets_of((*BAND[:3], Stem("Gwendolyn.wav", "piano", "music"), BAND[4]))
    assert shown("Gwendolyn is too bright", other).words.tolist() != shown("nobody is too bright", other).words.tolist()
    renamed = targets_of((*BAND[:3], Stem("Aurelia.wav", "piano", "music"), BAND[4]))
    assert shown("Gwendolyn is too bright", other).words.tolist() == shown("Aurelia is too bright", renamed).words.tolist()


def test_stems_do_not_look_at_each_other():
    text = "piano a bit brighter, and the bass is boomy"
    alone = targets_of(tuple(stem for stem in BAND if stem.stem in ("Piano.wav", "Bass.wav")))
    few, all_of_them = answer(shown(text, alone)), answer(shown(text))
    for stem in alone.stems:
        np.testing.assert_allclose(few.ways[alone.stems.index(stem)], all_of_them.ways[SONG.stems.index(stem)], atol=1e-5)


def test_answers_are_probabilities():
    found = answer(shown("more air on the vocal"))
    for each in (found.ways, found.meant, found.back, found.turned, found.kinds):
        assert each.min() >= 0.0
        assert each.max() <= 1.0
    np.testing.assert_allclose(found.turned.sum(axis=-1), 1.0, atol=1e-5)
    assert found.kinds.sum() == pytest.approx(1.0, abs=1e-5)


def test_a_block_reckons_as_written_out_by_hand():
    """One stem, three items, numbers of our own: each step as its definition has it, in plain loops."""
    dice = np.random.default_rng(3)
    width, heads, items = 4, 2, 3
    own = {
        f"b.{name}": dice.standard_normal(shape).astype(np.float32)
        for name, shape in {
            "n1.weight": (4,), "n1.bias": (4,), "n2.weight": (4,), "n2.bias": (4,), "n3.weight": (4,), "n3.bias": (4,),
            "conv.weight": (4, 1, 5), "conv.bias": (4,), "pw.weight": (4, 4), "pw.bias": (4,), "qkv.weight": (12, 4),
            "qkv.bias": (12,), "o.weight": (4, 4), "o.bias": (4,), "rel": (2, 3), "f1.weight": (8, 4), "f1.bias": (8,),
            "f2.weight": (4, 8), "f2.bias": (4,),
        }.items()
    }  # fmt: skip
    start = dice.standard_normal((items, width))

    def normal(row, name):
        spread = math.sqrt(sum((each - row.mean()) ** 2 for each in row) / width + 1e-5)
        return np.array([(each - row.mean()) / spread for each in row]) * own[f"b.{name}.weight"] + own[f"b.{name}.bias"]

    def linear(row, name):
        return own[f"b.{name}.weight"].astype(float) @ row + own[f"b.{name}.bias"]

    def gelu(row):  # by the error function, which the tanh is an approximation of
        return np.array([each * 0.5 * (1.0 + math.erf(each / math.sqrt(2.0))) for each in row])

    seen = [row.copy() for row in start]
    near = [normal(row, "n1") for row in start]
    for at in range(items):
        taps = [near[at + tap - 2] * own["b.conv.weight"][:, 0, tap] for tap in range(5) if 0 <= at + tap - 2 < items]
        seen[at] = seen[at] + linear(gelu(sum(taps) + own["b.conv.bias"]), "pw")
    parts = [linear(normal(row, "n2"), "qkv").reshape(3, heads, width // heads) for row in seen]
    after = []
    for at in range(items):
        looked = []
        for head in range(heads):
            scores = [
                parts[at][0, head] @ parts[to][1, head] / math.sqrt(width // heads)
                + own["b.rel"][head, max(-1, min(1, to - at)) + 1]
                for to in range(items)
            ]
            shares = [math.exp(score) / sum(map(math.exp, scores)) for score in scores]
            looked.append(sum(share * parts[to][2, head] for to, share in enumerate(shares)))
        after.append(seen[at] + linear(np.concatenate(looked), "o"))
    wanted = [row + linear(gelu(linear(normal(row, "n3"), "f1")), "f2") for row in after]
    found = network._block(own, "b.", start[np.newaxis].astype(np.float32))[0]
    np.testing.assert_allclose(found, wanted, atol=0.02)


def test_what_is_shipped_has_the_shape_that_is_shown():
    seen = shown("piano brighter")
    assert weights()["com.weight"].shape[1] == seen.shared.shape[-1]
    assert weights()["per.weight"].shape[1] == seen.own.shape[-1]


@pytest.mark.parametrize("way", WAYS)
def test_what_is_offered_reads_back_as_itself(way):
    word, sign = PLAINLY.get(way, ("ride", 1))
    exact = ExactMove("ride", ()) if word == "ride" else None
    offered = Ask(
        stems=("Ld Vox.wav",), named=True, word=word, amount=float(sign), gain_db=None, text="", exact=exact
    )  # fmt: skip
    (ask,) = parse(in_words(offered), SONG, VOCABULARY).asks
    assert (ask.stems, ask.word, ask.amount, ask.exact) == (offered.stems, word, sign, exact)


# Plain notes nobody could take in two ways: common practice, no source.
@pytest.mark.parametrize(
    ("text", "stem", "way"),
    [
        ("could the piano come up a little", "Piano.wav", "louder"),
        ("hats are killing my ears, so sharp", "Hats.wav", "less highs"),
        ("the bass gets boomy in my car", "Bass.wav", "less lows"),
        ("I'd love more air on the vocal", "Ld Vox.wav", "more highs"),
        ("turn the kick down", "Kick.wav", "quieter"),
    ],
)
def test_the_gist_of_plain_notes(text, stem, way):
    found = gist(text)
    assert found.touched == {stem}
    assert found.likely_way(stem, [way]) > 0.5
    assert found.likely("asks") > 0.5


def test_the_gist_of_what_is_no_ask():
    assert gist("can we get a longer reverb tail on the snare?").likely("elsewhere") > 0.5
    assert gist("this is perfect, print it").likely("approval") > 0.5
    assert gist("undo that please, back to pass 1").likely("back") > 0.5
