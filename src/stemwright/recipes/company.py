"""Company: what the song's other stems say of a stem whose own name leaves a doubt, or says too little.

Conventions
-----------
Each rule is one of `Company`'s, and they are asked in its order. Which stem stands with which is common practice, no source.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from stemwright.recipes.deciding import LEADS, UPRIGHTS, Doubt, Match, settled
from stemwright.recipes.idle_words import without_idle
from stemwright.recipes.shared_runs import FEWEST_FILES
from stemwright.stems.everyday import DONE_TO_IT
from stemwright.stems.names import base_name
from stemwright.stems.people import PEOPLE
from stemwright.stems.short_forms import PLACES

if TYPE_CHECKING:
    from stemwright.recipes.library import Library
    from stemwright.recipes.recipe import Phrase, Recipe
    from stemwright.recipes.song_words import SongWords

    Reading = Match | Doubt | None

KIT = frozenset({"kick", "snare", "rim", "hats", "toms", "cymbals", "drum bus", "drum loop"})
ROOMS = frozenset({("room",), ("rooms",), ("room", "mic")})  # the drums' where there are drums
LEAD = frozenset({"lead"})
SHORTEST_NAME = 2
SHORTEST_CAPITAL = 3
_LETTERS = re.compile(r"[^\W\d_]+")
TWICE = 2


@dataclass(frozen=True)
class Company:
    """A song's stems with what their names say.

    Parameters
    ----------
    found : dict of str to Match, Doubt or None
        What each name says by itself.
    song : SongWords
        What the names have in common.
    library : Library
        The recipes.
    """

    found: dict[str, Reading]
    song: SongWords
    library: Library

    def settled(self) -> dict[str, Reading]:
        """Return what each stem is beside the others."""
        done = {name: self._place(name, self._upright(self._doubt(name))) for name in self.found}
        done = {name: None if self._is_untold(name, each) else self._choir(each) for name, each in done.items()}
        if len(self.sure) < FEWEST_FILES or any(isinstance(each, Match) and _is_of_a_kit(each) for each in done.values()):
            return done
        return {name: None if isinstance(each, Match) and each.phrase in ROOMS else each for name, each in done.items()}

    @cached_property
    def sure(self) -> list[Recipe]:
        """The recipes of those that leave no doubt."""
        return [each.recipe for each in self.found.values() if isinstance(each, Match)]

    @cached_property
    def uprights(self) -> frozenset[str]:
        """The recipes of those that are called an upright and leave no doubt."""
        return frozenset(
            each.recipe.name for each in self.found.values() if isinstance(each, Match) and "upright" in each.phrase
        )

    @cached_property
    def _own(self) -> dict[str, Phrase]:
        """The words of each name that are its own."""
        return {name: self.song.own(name) for name in self.found}

    @cached_property
    def _sung(self) -> list[str]:
        """The names of those that are voices, with no doubt."""
        return [name for name, each in self.found.items() if isinstance(each, Match) and each.recipe.family == "vocals"]

    @cached_property
    def openings(self) -> Counter[Phrase]:
        """How many of the song's files begin with each word."""
        return Counter(own[:1] for own in self._own.values())

    @cached_property
    def written(self) -> Counter[str]:
        """How many of the song's files have each word."""
        return Counter(word for own in self._own.values() for word in set(own))

    @cached_property
    def sung_by(self) -> frozenset[str]:
        """The words of those that are voices, with no doubt."""
        return frozenset(word for name in self._sung for word in self._own[name])

    @cached_property
    def singers(self) -> frozenset[str]:
        """The words that are somebody's: given names, and what is no word of ours and stands with a voice in two files."""
        leads = [name for name, each in self.found.items() if isinstance(each, Doubt) and each.names == LEADS]
        with_voices = Counter(word for name in (*self._sung, *leads) for word in set(self._strange(self._own[name])))
        played = {
            word
            for name, each in self.found.items()
            if isinstance(each, Match) and each.recipe.family != "vocals"
            for word in self._own[name]
        }
        theirs = self.sung_by - played
        return PEOPLE | self._capitals | {word for word, count in with_voices.items() if count >= TWICE and word in theirs}

    @cached_property
    def _capitals(self) -> set[str]:
        """The words that are nobody's and begin with a capital beside a part of the song, or a lead, that does not: "zwrotka Krum"."""
        written = [_LETTERS.findall(base_name(name)) for name in self.found]
        small = sum(words[0].islower() for words in written if words) * 2 > len(written)
        found = set()
        for words in written:
            beside = {meant for word in words if word.islower() for meant in self.library.speller.meaning(word)}
            if beside & (PLACES | LEAD):
                named = words if small and beside & PLACES else words[1:]  # else it is only the first word of a name
                found |= {word.lower() for word in named if len(word) >= SHORTEST_CAPITAL and word.istitle()}
        return set(self._strange(tuple(found)))

    def _strange(self, words: Phrase) -> list[str]:
        """Return the words that nobody knows."""
        return [word for word in words if len(word) >= SHORTEST_NAME and self.library.speller.is_strange(word)]

    def _doubt(self, name: str) -> Reading:
        found = self.found[name]
        if not isinstance(found, Doubt):
            return found
        named = self.singers.intersection(self._own[name])
        return settled(found, self.sure, self.song, named=bool(named), sings=not named.isdisjoint(self.sung_by))

    def _upright(self, found: Reading) -> Reading:
        """Return what an upright is where the song's other uprights are all of one kind: microphones of one instrument."""
        if isinstance(found, Doubt) and found.names == UPRIGHTS and len(self.uprights) == 1:
            return next((each for each in found.readings if each.recipe.name in self.uprights), found)
        return found

    def _place(self, name: str, found: Reading) -> Reading:
        """Return nothing where all that makes a stem a voice is a part of the song beside a word that is nobody's: "glassy verse"."""
        if not isinstance(found, Match) or found.recipe.name != "lead vocal" or not PLACES.issuperset(found.phrase):
            return found
        own = without_idle(self._own[name], self.library.speller)
        others = {word for word in self._strange(own) if len(word) > SHORTEST_NAME}
        return None if others and others.isdisjoint(self.singers) and found.why.startswith("its name") else found

    def _is_untold(self, name: str, found: Reading) -> bool:
        """Return whether a word that nobody knows says what a stem is: beside what was done to it, or behind the song's word for drums.

        "glorp riff" is a glorp's, and "Drums - glorp" one of the drums where several files begin so.
        """
        if not isinstance(found, Match) or not found.why.startswith("its name"):
            return False
        is_drums = found.phrase == ("drum",)
        if not (is_drums or DONE_TO_IT.issuperset(found.phrase)):
            return False
        own = without_idle(self._own[name], self.library.speller)
        strange = {word for word in self._strange(own) if len(word) > SHORTEST_NAME and self.written[word] < FEWEST_FILES}
        strange -= self.singers
        return bool(strange) and not (is_drums and (self.openings[own[:1]] < FEWEST_FILES or own[0] in strange))

    def _choir(self, found: Reading) -> Reading:
        """Return a choir for backing voices beside an orchestra where nobody leads."""
        choir = self.library.recipes.get("choir")
        if not isinstance(found, Match) or found.recipe.name != "backing vocals" or choir is None:
            return found
        if not self.song.is_orchestral or any(each.name == "lead vocal" for each in self.sure):
            return found
        return replace(found, recipe=choir, why=f"{found.why}, beside an orchestra")


def _is_of_a_kit(found: Match) -> bool:
    return found.recipe.name in KIT and found.phrase not in ROOMS
