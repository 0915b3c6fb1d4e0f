"""Placing: where in the song a sentence of a note is meant, by the sections, bars and times of the session sheet.

Conventions
-----------
A place at a sentence's start, or behind a comma, "but" or "only" at its end, holds for the whole sentence; elsewhere for what stands
with it between two commas. A single moment is a second to either side of it: whoever reads a clock is late.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.clauses import ARTICLES, Clause
from stemwright.notes.conversation import Conversation
from stemwright.notes.elsewhere import AUTOMATION
from stemwright.notes.frames import ExactMove, When
from stemwright.notes.items import stems_of
from stemwright.notes.ride_wishes import ride_in, stretches
from stemwright.notes.targets import TargetError
from stemwright.notes.tokens import tokens_of
from stemwright.plan.sections import NoSuchSectionError, places
from stemwright.recipes.problems import shown
from stemwright.recipes.times import Times, is_stretch, moment

if TYPE_CHECKING:
    from stemwright.notes.frames import Ask
    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets
    from stemwright.recipes.timeline import Timeline
    from stemwright.recipes.words import Vocabulary

AROUND_S: Final = 1.0
COMMON: Final = (
    "verse", "verses", "chorus", "choruses", "hook", "hooks", "bridge", "bridges", "intro", "outro", "breakdown", "breakdowns",
    "pre-chorus", "prechorus", "pre chorus", "refrain", "interlude", "coda", "middle eight", "drop", "drops",
    "break", "breaks", "build-up", "buildup",
)  # fmt: skip
ORDINALS: Final = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "last": -1, "final": -1}
_CLOCK = r"\d{1,3}:\d{2}(?:\.\d{1,3})?(?!\w)"
_TIME = rf"{_CLOCK}(?:\s*(?:-|\N{{EN DASH}}|\b(?:to|and|until|till)\b)\s*{_CLOCK})?"
_BARS = r"bars?\s+\d{1,6}(?:\s*(?:-|\N{EN DASH}|\bto\b)\s*(?:bar\s+)?\d{1,6})?(?!\w|\s?(?:dbs?|k?hz)\b)"
_ORDINAL = rf"(?:{'|'.join(ORDINALS)}|\d+(?:st|nd|rd|th))"
_NUMBER = r"(?:\s+\d+(?![\w.:]|\s?(?:dbs?|k|k?hz|%)(?!\w)))?"
_AND = r"(?:\s*,\s*(?:and\s+)?|\s+and\s+|\s*&\s*)(?:(?:in|at|from|during)\s+)?(?:the\s+)?"
_HEDGE = r"(?:(?:but|and)\s+)?(?:(?:only|just)\s+)?"
_CUT = re.compile(r"\s*,\s*|\s+but\s+")
_WHEN_FIRST = re.compile(
    r"\s*(?P<when>(?:when(?:ever)?|once|as soon as|every time|each time)\s.+?\s(?:come|kick|start|set|step)s?(?:\s+in)?)\b"
    r"[\s,]+(?P<what>\S.*)",
    re.IGNORECASE,
)
_JUMPS = re.compile(r"\b(?P<verb>pops?|popped|jumps?|jumped)\s*[.!]*$", re.IGNORECASE)


@dataclass(frozen=True)
class Piece:
    """A part of a sentence, and where it is meant; ``said`` empty where that is everywhere, ``problem`` where it is not known."""

    text: str
    phrase: str = ""
    said: tuple[str, ...] = ()
    problem: str = ""


class Placing:
    """Finds places in sentences.

    Parameters
    ----------
    timeline : Timeline
        What the session sheet says of time.
    """

    def __init__(self, timeline: Timeline) -> None:
        self._timeline = timeline
        self._names = {" ".join(name.split()).casefold(): name for name in timeline.sections}
        name = "|".join(
            re.escape(each).replace(r"\ ", r"\s+") for each in sorted({*self._names, *COMMON}, key=len, reverse=True)
        )
        called = rf"(?:{_ORDINAL}\s+)?(?:{name}){_NUMBER}(?!\w)"
        one = rf"(?:{called}|{_TIME}|{_BARS})"
        self._one = re.compile(one, re.IGNORECASE)
        lead = r"(?:in|during|at|from|between|for|on|through|throughout|around)\s+(?:the\s+|each\s+|every\s+|all\s+(?:the\s+)?)?"
        start = rf"(?:{_HEDGE}{lead}|(?:but\s+)?(?:only|just)\s+(?:the\s+)?)"
        self._place = re.compile(
            rf"(?<![\w\"'.])(?:{start}{one}|{_HEDGE}(?:{_TIME}|{_BARS}))(?:{_AND}{one})*(?:\s+only\b)?", re.IGNORECASE
        )

    def names_one(self, text: str) -> bool:
        """Whether a text names a place."""
        return self._one.search(text) is not None

    def pieces(self, sentence: str) -> list[Piece]:
        """Return a sentence cut where its places need it."""
        found = list(self._place.finditer(_unquoted(sentence)))
        if not found:
            return [Piece(sentence)]
        if len(found) == 1:
            (match,) = found
            before, after = sentence[: match.start()].rstrip(), sentence[match.end() :].strip(" ,.:;")
            stressed = before.endswith(",") or re.search(r"\b(?:but|only|just)\b", match[0], re.IGNORECASE) is not None
            if not before.strip(" ,-") or (not after and stressed):
                return [self._placed(f"{before.rstrip(' ,')} {after}".strip(), match[0])]
        return [self._piece(text) for text in _parts(sentence, found)]

    def _piece(self, text: str) -> Piece:
        found = list(self._place.finditer(_unquoted(text)))
        if len(found) > 1:
            return Piece(text, problem="more than one place; write what is meant in each as a sentence of its own")
        if not found:
            return Piece(text)
        (match,) = found
        return self._placed(f"{text[: match.start()]} {text[match.end() :]}", match[0])

    def _placed(self, text: str, phrase: str) -> Piece:
        plain, phrase = " ".join(text.split()), " ".join(phrase.split())
        try:
            said = tuple(dict.fromkeys(each for one in self._one.findall(phrase) for each in self._said(one)))
            places(self._timeline, said)
        except NoSuchSectionError as error:
            return Piece(f"{plain} {phrase}", problem=str(error))
        return Piece(plain, re.sub(r"^(?:but|and)\s+|\b(?:only|just)\b\s*", "", phrase, flags=re.IGNORECASE).strip(), said)

    def _said(self, text: str) -> list[str]:
        """Return one place as a sheet would write it; a section's name with a number or a first and last as what it names."""
        times = re.findall(_CLOCK, text)
        if times:
            moments = [at for each in times if (at := moment(each)) is not None]
            if len(moments) < len(times):
                raise NoSuchSectionError(f"no time of a song ({shown(text)}); write a time such as 0:45-1:10")
            first, last = (moments[0], moments[-1]) if len(moments) > 1 else (moments[0] - AROUND_S, moments[0] + AROUND_S)
            if first >= last:
                raise NoSuchSectionError(f"ends before it begins ({shown(text)}); write a time such as 0:45-1:10")
            return [str(Times(max(first, 0.0), last))]
        plain = " ".join(text.replace("\N{EN DASH}", "-").split()).casefold()
        if is_stretch(plain) or plain in self._names:
            return [self._names.get(plain, plain)]
        ordinal, _, rest = plain.partition(" ")
        number = ORDINALS.get(ordinal) or (int(ordinal[:-2]) if re.fullmatch(r"\d+(?:st|nd|rd|th)", ordinal) else None)
        counted = re.fullmatch(r"(.+?)\s+(\d+)", plain)
        base = rest if number is not None else counted[1] if counted else plain
        number = int(counted[2]) if number is None and counted else number
        return self._numbered(base, number) or [plain]

    def _numbered(self, base: str, number: int | None) -> list[str]:
        """Return a section's places: all, or the one of that number, whether they are a list or have names of their own."""
        for name in (base, base.removesuffix("s"), base.removesuffix("es")):
            own = [key for key in self._names if re.fullmatch(rf"{re.escape(name)}\s+\d+", key)]
            stretches = [str(each) for each in self._timeline.sections[self._names[name]]] if name in self._names else []
            every = stretches or [self._names[key] for key in sorted(own, key=lambda key: int(key.split()[-1]))]
            if number is None and stretches:
                return [self._names[name]]
            if number is None and every:
                return every
            if number is not None and -1 <= number <= len(every) and every:
                return [every[number - 1 if number > 0 else -1]]
        return []


def _unquoted(text: str) -> str:
    """Return a text, as long, without what stands in quotes: a stem's name is no place, whatever is in it."""
    return re.sub(r'"[^"]*"', lambda quoted: "_" * len(quoted[0]), text)


def _parts(sentence: str, found: list[re.Match[str]]) -> list[str]:
    """Cut a sentence at commas and "but", never inside a place."""
    cuts = [
        match
        for match in _CUT.finditer(_unquoted(sentence))
        if not any(place.start() < match.start() and match.end() < place.end() for place in found)
    ]
    starts, ends = [0, *(cut.end() for cut in cuts)], [*(cut.start() for cut in cuts), len(sentence)]
    return [text for start, end in zip(starts, ends, strict=True) if (text := sentence[start:end].strip())]


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
        self._placing = Placing(timeline)

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
            elif piece.problem:
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
            item.names or item.text in (*ARTICLES, "and", "&") for item in self._tagger.items(tokens_of(found.whom)[1])
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
    alone = re.findall(_CLOCK, piece.phrase)
    return f"{piece.phrase}: taken as {piece.said[0]}" if len(alone) == 1 and len(piece.said) == 1 else ""
