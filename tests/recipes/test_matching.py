"""Which recipe takes which name: longest phrase, vetoes, folders, and ties."""

from __future__ import annotations

import pytest

from stemwright.errors import MatchError
from stemwright.recipes.library import load_library
from stemwright.recipes.matching import match

RECIPES = {
    "hats": "names: [hat, hats, hi hat, hihat], not: [that]",
    "kick": "names: [kick]",
    "clap": "names: [clap]",
    "snare": "names: [snare]",
    "drums": "names: [kick snare, drums]",
    "lead vocal": "names: [vocals, lead vox], not: [fx]",
}


@pytest.fixture
def library(tmp_path):
    for name, stems in RECIPES.items():
        (tmp_path / f"{name}.yaml").write_text(
            f"recipe: {name}\nabout: a\nstems: {{{stems}}}\nmoves: []\n", encoding="utf-8"
        )
    return load_library([tmp_path])


TAKEN = [
    ("HiHat 01_PRINT.wav", "hats", "its name has 'hi hat'"),
    ("hihat.wav", "hats", "its name has 'hihat'"),
    ("Kick_01.wav", "kick", "its name has 'kick'"),
    ("Kick+Snare.wav", "drums", "its name has 'kick snare'"),
    ("Snare (kick bleed).wav", "snare", "its name has 'snare'"),
    ("Vocals/01.wav", "lead vocal", "its folder's name has 'vocals'"),
    ("Vocals/Kick.wav", "kick", "its name has 'kick'"),
]


@pytest.mark.parametrize(("stem", "recipe", "why"), TAKEN)
def test_a_name_is_taken_by_the_longest_phrase(library, stem, recipe, why):
    found = match(stem, library)
    assert found is not None
    assert (found.recipe.name, found.why) == (recipe, why)


@pytest.mark.parametrize("stem", ["That hat.wav", "Audio 07.wav", "Vocals/fx 2.wav", "kicks.wav", "hat/x/07.wav", ".wav"])
def test_a_name_without_a_phrase_or_with_a_veto_is_taken_by_nobody(library, stem):
    assert match(stem, library) is None


def test_a_tie_names_both_and_the_way_to_settle_it(library):
    with pytest.raises(MatchError) as caught:
        match("Kick Clap.wav", library)
    assert str(caught.value) == (
        "Kick Clap.wav: clap (by 'clap') and kick (by 'kick') claim it equally; "
        'settle it in session.yaml, under stems: "Kick Clap.wav": {role: clap}'
    )
