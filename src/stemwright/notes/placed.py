"""Placed: a note read sentence by sentence, each for the place in the song that it is meant for, and rides beside the rest."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.notes.clauses import ARTICLES, Clause
from stemwright.notes.conversation import Conversation
from stemwright.notes.elsewhere import AUTOMATION
from stemwright.notes.frames import ExactMove, When
from stemwright.notes.items import stems_of
from stemwright.notes.placing import CLOCK_TIME, Piece, Placing
from stemwright.notes.ride_wishes import ride_in, stretches
from stemwright.notes.targets import TargetError
from stemwright.notes.tokens import tokens_of

if TYPE_CHECKING:
    from stemwright.notes.frames import Ask
    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets
    from stemwright.recipes.timeline import Timeline
    from stemwright.recipes.words import Vocabulary

_WHEN_FIRST = re.compile(
    r"\s*(?P<when>(?:when(?:ever)?|once|as soon as|every time|each time)\s.+?\s(?:come|kick|start|set|step|hit)s?(?:\s+in)?)\b"
    r"[\s,]+(?P<what>\S.*)",
    re.IGNORECASE,
)
BREAKS = ("break", "breaks")  # of drums, where a stem is called so
_JUMPS = re.compile(r"\b(?P<verb>pops?|popped|jumps?|jumped)\s*[.!]*$", re.IGNORECASE)


class PlacedConversation(Conversation):
    """A conversation whose sentences may be meant for places of the song.

    Parameters
    ----------
    targets : Targets
    vocabulary : Vocabulary
    timeline : Timeline
    """

    def __init__(self, targets: Targets, vocabulary: Vocabulary, timeline: Timeline) -> None:
        super().__init__(targets, vocabulary)
        self._sight = targets, vocabulary
        self._placing = Placing(timeline, [word for word in BREAKS if targets.with_word(word)])

    def _sentence(self, sentence: str) -> None:
        turned = _WHEN_FIRST.fullmatch(sentence)
        if turned is not None and not self._placing.names_one(turned["when"]):
            sentence = f"{turned['what'].rstrip(' .!')} {turned['when']}"
        for before, ride, after in stretches(sentence):
            ask = self._ride(ride)
            if ask is not None and not self._only_names(after):
                self._around(before)
                self._asked_for(ask)
                self._around(after)
                return
        for piece in map(self._jumping_out, self._placing.pieces(sentence)):
            whole = f"{piece.text} {piece.phrase}".strip()
            if not (piece.problem or piece.said) or self._is_not_ours(whole):
                super()._sentence(whole)
                continue
            self._reading.somewhere = True
            if piece.problem:
                self._reading.problems.append((whole, piece.problem))
                self._before = stems_of(self._opening(piece.text)) or self._before
            else:
                self._there(piece, whole)

    def _only_names(self, text: str) -> bool:
        """Whether what stands behind a ride is names alone, which go with it: even out the vocal and the piano."""
        items = self._tagger.items(tokens_of(text)[1])
        return any(item.names for item in items) and all(item.names or item.text in ARTICLES for item in items)

    def _opening(self, text: str) -> list[Item]:
        """Return the names that a sentence opens with."""
        return Clause(items=self._tagger.items(tokens_of(text)[1])).opening()

    def _around(self, sentence: str) -> None:
        """Read what stands beside a ride."""
        if sentence:
            self._sentence(sentence)

    def _asked_for(self, ride: Ask) -> None:
        self._reading.asks.append(ride)
        self._reading.rest.append(ride.text)
        self._before = ride.stems  # "ride the vocal and make it brighter"

    def _ride(self, sentence: str) -> Ask | None:
        """Return what "ride the vocal" asks."""
        found = ride_in(sentence)
        if found is None or (not found.sure and self._has_a_ride()):
            return None
        if not all(
            item.names or item.kind == "break" or item.text in (*ARTICLES, "and", "&")
            for item in self._tagger.items(tokens_of(found.whom)[1])
        ):
            return None  # "ride the vocal harder": how far stands in a recipe
        asks = Conversation(*self._sight).read(f"{found.whom}: louder").asks
        if len(asks) != 1:
            return None
        if found.of_a_voice and any(self._targets.role_of(stem)[1] != "vocals" for stem in asks[0].stems):
            return None
        return replace(asks[0], word="ride", text=sentence, exact=ExactMove("ride", ()))

    def _has_a_ride(self) -> bool:
        """Whether the song has a cymbal of that name, so that "ride hats" is a list."""
        try:
            named = self._targets.called(("ride",))
        except TargetError:
            return True
        return named is not None and bool(named.stems)

    def _is_not_ours(self, text: str) -> bool:
        """Whether it is somebody else's work, whatever its place."""
        return any(each.kind is not AUTOMATION for each in Conversation(*self._sight).read(text).not_ours)

    def _there(self, piece: Piece, whole: str) -> None:
        """Read what is meant for a place."""
        reading = self._reading
        asked, backs, rest, told = list(reading.asks), len(reading.backs), len(reading.rest), self._told()
        related = len(reading.relations)
        ride = self._ride(piece.text)
        if ride is None:
            super()._sentence(piece.text)
        else:
            self._asked_for(ride)
        when = When(piece.phrase, said=piece.said)
        reading.asks = [
            ask if any(ask is old for old in asked) else replace(ask, when=when, text=f"{ask.text} ({piece.phrase})")
            for ask in reading.asks
        ]
        reading.relations[related:] = [
            replace(each, when=when, offers=tuple(f"{offer}, only {piece.phrase}" for offer in each.offers))
            for each in reading.relations[related:]
        ]
        taken = _moment(piece)
        if taken:
            reading.readings.append(taken)
        reading.rest[rest:] = [f"{each}, only {piece.phrase}" for each in reading.rest[rest:]]
        if len(reading.backs) > backs:
            reading.problems.append((whole, "what is taken back is taken back everywhere; leave the place out"))
        elif len(reading.asks) == len(asked) and self._told() == told:
            reading.problems.append((whole, "says nothing new by itself; write which stem, and what is asked of it there"))

    def _jumping_out(self, piece: Piece) -> Piece:
        """Return what is said of a drum that pops at some place as that it jumps out there; a voice that pops has a fault."""
        found = _JUMPS.search(piece.text) if piece.said else None
        if found is None:
            return piece
        asks = Conversation(*self._sight).read(f"{piece.text[: found.start()]}: louder").asks
        families = {self._targets.role_of(stem)[1] for ask in asks for stem in ask.stems}
        out = f"{piece.text[: found.start()]}{found['verb']} out"
        return replace(piece, text=out) if families == {"drums"} else piece

    def _told(self) -> tuple[int, ...]:
        reading = self._reading
        counts = len(reading.problems), len(reading.relations), len(reading.not_ours), len(reading.passed_over)
        return (*counts, int(self._praised), int(reading.approved))


def _moment(piece: Piece) -> str:
    """Say how a single moment was taken; nothing where a stretch was written."""
    alone = re.findall(CLOCK_TIME, piece.phrase)
    return f"{piece.phrase}: taken as {piece.said[0]}" if len(alone) == 1 and len(piece.said) == 1 else ""
