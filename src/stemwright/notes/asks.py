"""Asks: what one piece of a note says of which stems, and what is said in it that we do not do."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stemwright.notes import back as backward
from stemwright.notes.elsewhere import Kind, elsewhere
from stemwright.notes.exact import MOST_DB, ExactMove, exact_move, numbers_in
from stemwright.notes.targets import is_rest
from stemwright.recipes.problems import shown

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.notes.back import Back
    from stemwright.notes.pieces import Piece
    from stemwright.notes.targets import Targets
    from stemwright.notes.tokens import Token
    from stemwright.recipes.words import Vocabulary

LEVEL_WORD = "loud"
RELATIONS = ("covering",)
UNDER = ("buried",)
LEVELS = ("loud", "quiet", "forward", "back", "buried")
_ROOM = re.compile(r"\broom\b|\bspace\b|\bout of\b|carve")
LOOSE = ("up", "down", "under", "lower", "back", "lift", "push", "close")
_MOVES = re.compile(r"\b(?:turn|bring|it|them|me|push|pull|come|take|db)\b")
PAINFUL = "killing me"


class PieceError(Exception):
    """Why a piece is not understood; ``unknown`` where a word of it is not known."""

    def __init__(self, message: str, *, unknown: bool = False) -> None:
        super().__init__(message)
        self.unknown = unknown


@dataclass(frozen=True, kw_only=True)
class Ask:
    """One thing asked of some stems.

    ``amount`` is signed, 1 a plain "more"; ``gain_db``, signed too, is there instead where dB were written; ``exact`` is the
    move where Hz were. ``named``: every one of the stems was meant, so none may be passed over. ``text`` is the piece.
    """

    stems: tuple[str, ...]
    named: bool
    word: str
    amount: float
    gain_db: float | None
    text: str
    exact: ExactMove | None = None
    wording: str = ""

    def without(self, stems: Iterable[str]) -> Ask:
        """Return the ask for the other stems only."""
        left_out = set(stems)
        return replace(self, stems=tuple(stem for stem in self.stems if stem not in left_out))


@dataclass(kw_only=True)
class Said:
    """What a piece says; ``called`` is a name for its stems where it does not name them itself."""

    stems: tuple[str, ...] = ()
    called: str = ""
    asks: list[Ask] = field(default_factory=list)
    backs: list[Back] = field(default_factory=list)
    kept_off: list[str] = field(default_factory=list)
    elsewhere: Kind | None = None
    unknown: list[str] = field(default_factory=list)


def said_in(piece: Piece, targets: Targets, vocabulary: Vocabulary, before: tuple[str, ...], named: tuple[str, ...]) -> Said:
    """Return what a piece says.

    Parameters
    ----------
    piece : Piece
    targets : Targets
        Of the pass.
    vocabulary : Vocabulary
        The words in reach.
    before : tuple of str
        The stems the piece before was about.
    named : tuple of str
        Every stem the note has named before: "the rest" is the others.

    Raises
    ------
    PieceError
        If it is not understood, or is about a stem that the song does not have.
    """
    return _Reader(piece, targets, vocabulary, before, named).said()


class _Reader:
    def __init__(
        self, piece: Piece, targets: Targets, vocabulary: Vocabulary, before: tuple[str, ...], named: tuple[str, ...]
    ) -> None:
        self.piece = piece
        self.targets = targets
        self.vocabulary = vocabulary
        self.before = before
        self.named_before = named
        self.numbers = numbers_in(piece.plain)
        self.faults = {name for name, words in vocabulary.words.items() if any(word.fault for word in words)}
        self.words = self._words()
        self.names = self._names()

    def _words(self) -> list[Token]:
        """Return the words of sound; of level only what stands alone, since "up" and "down" go with everything."""
        found = [token for token in self.piece.tokens if token.kind == "word"]
        other = [token for token in found if token.word not in LEVELS or token.word in UNDER]
        if other:
            return other
        if not self.piece.targets and not _MOVES.search(self.piece.text.lower()):
            found = [token for token in found if token.text not in LOOSE]
        return found

    def _names(self) -> list[Token]:
        """Return the target tokens that are meant as targets: a name that is a sound too, beside another name, is the sound."""
        names = list(self.piece.targets)
        if self.numbers.freq_hz and len(names) > 1:
            names = [token for token in names if token.text not in ("bell", "notch")] or names
        present = [token for token in names if token.target is not None and token.target.stems]
        both = [token for token in present if token.word]
        if len(present) > 1 and both and not self.words:
            for token in both:
                if self._dir_before(token) or re.search(rf"\bof {token.text}\b", self.piece.text.lower()):
                    self.words.append(token)
                    names = [name for name in names if name is not token]
                    break
        if len(present) > 1 and any(token.target.kind != "all" for token in present if token.target is not None):
            names = [token for token in names if token.target is None or token.target.kind != "all"]
        if not names or all(token.target is not None and token.target.kind == "all" for token in names):
            spare = [token for token in self.words if token.target is not None]
            if spare and len(self.words) > 1:
                self.words = [token for token in self.words if token is not spare[0]]
                return [spare[0]]
        return names

    def _dir_before(self, token: Token) -> bool:
        at = self.piece.tokens.index(token)
        return at > 0 and self.piece.tokens[at - 1].kind in ("direction", "amount")

    def said(self) -> Said:
        text = self.piece.text.lower()
        kept_off = backward.keeps_off(text)
        kind = None if kept_off else self._elsewhere(text)
        if kind is not None:
            return Said(elsewhere=kind, stems=self._stems_or_none())
        frequency = self.numbers.freq_hz[0] if self.numbers.freq_hz and not self.numbers.gain_db else None
        bare = not self.words and not self.numbers.freq_hz
        back_words = [token.word for token in self.words]
        back = backward.back(text, (), back_words[0] if back_words else None, frequency, bare=bare)
        if back is not None and not (kept_off and back.way == "before"):
            stems, called = self._stems(needed=False)
            stems = stems or (self.before if re.search(r"\b(?:it|them|that)\b", text) and self.named_before else ())
            return Said(stems=stems, called=called, backs=[replace(back, stems=stems)])
        if kept_off:
            return self._keep_off()
        found = self._asks()
        if not found.asks and not found.kept_off and self.names and backward.praises(text):
            found.kept_off = [] if self._all() else list(self._stems_or_none())
        return found

    def _keep_off(self) -> Said:
        text = self.piece.text.lower()
        if not self.names and not (self.before and re.search(r"\b(?:it|them|that|those)\b", text)):
            return Said()
        stems = self._stems_or_none()
        return Said(stems=stems, kept_off=list(stems))

    def _elsewhere(self, text: str) -> Kind | None:
        plain = self.piece.plain
        return elsewhere(text if not self.names else plain) or elsewhere(text)

    def _all(self) -> bool:
        return any(token.target is not None and token.target.kind == "all" for token in self.names)

    # Whom it is about

    def _stems_or_none(self) -> tuple[str, ...]:
        try:
            return self._stems(needed=False)[0]
        except PieceError:
            return ()

    def _stems(self, *, needed: bool) -> tuple[tuple[str, ...], str]:
        chosen = self._chosen()
        missing = [token for token in chosen if token.target is not None and not token.target.stems]
        present = [token for token in chosen if token.target is not None and token.target.stems]
        if missing and not present:
            raise PieceError(f"no {missing[0].text} in this song; its stems: {', '.join(self.targets.stems)}")
        if not present:
            if self.before:
                return self.before, ", ".join(f'"{stem}"' for stem in self.before)
            if self._speaks_of_voice():
                voice = self.targets.called(("vocal",))
                if voice is not None and voice.stems:
                    return voice.stems, "vocal"
            if needed:
                raise PieceError(
                    f"for whom? write a stem, a role or a family before it, as in {self._example()}: {self.piece.text}"
                )
            return (), ""
        stems: list[str] = []
        for token in present:
            assert token.target is not None  # noqa: S101 - present has them only
            of = token.target.stems
            if is_rest(tuple(token.text.split())):
                of = tuple(stem for stem in of if stem not in self.named_before)
            stems += of
        out = {stem for target in self.piece.left_out for stem in target.stems}
        left = tuple(dict.fromkeys(stem for stem in stems if stem not in out))
        if not left:
            raise PieceError("no stem is left after the exceptions")
        return left, ""

    def _chosen(self) -> list[Token]:
        """Return the targets something is asked of: not those another stem is only held against."""
        names = self.names
        if len(names) < 2:
            covers = next((token for token in self.words if token.word in RELATIONS), None)
            if (
                covers is not None
                and names
                and names[0].start >= covers.end
                and self.before
                and not _ROOM.search(self.piece.text.lower())
            ):
                return []  # "the bass is too strong and covers the kick": it is the bass
            return names
        relation = next((token for token in self.words if token.word in (*RELATIONS, *UNDER)), None)
        if relation is not None:
            first = [token for token in names if token.end <= relation.start]
            if first:
                return first
            if relation.word in RELATIONS and self.before and not _ROOM.search(self.piece.text.lower()):
                return []
            beneficiary = [token for token in names if re.search(r"\bfor\b|room", self._between(relation, token))]
            if relation.word in UNDER:
                return names[:1]
            return [token for token in names if token not in beneficiary[:1]] or names
        held = re.search(
            r"\b(?:compared to|compared with|than|against|over|behind|under|like|as soon as|through|match|for|around|with|from|next to|between|out of)\b",
            self.piece.plain,
        )
        if held:
            kept = [
                token
                for token in names
                if not re.search(
                    r"\b(?:compared to|compared with|than|against|over|behind|under|like|as soon as|next to|through|so)\b[^,]*$",
                    self._text_before(token),
                )
            ]
            if kept:
                names = kept
        # "the break's hats": the second is a part of the first, and no stem.
        present = [token for token in names if token.target is not None and token.target.stems]
        if len(present) < len(names) and present:
            missing = [token for token in names if token not in present]
            if all(self._is_part(token) for token in missing):
                return present
            raise PieceError(f"no {missing[0].text} in this song; its stems: {', '.join(self.targets.stems)}")
        if len(present) == 2 and re.search(rf"\b{re.escape(present[1].text)}'s\b", self.piece.text.lower()):
            return present[:1]
        if len(present) == 2 and re.search(r"\b(?:on|of) (?:the |my )?$", self._raw_between(*present)):
            return present[1:]
        if len(present) == 2 and self._adjacent(*present) and not self._raw_between(*present):
            both = tuple(stem for stem in present[0].target.stems if stem in present[1].target.stems)  # type: ignore[union-attr]
            if both and present[0].target is not None:
                return [replace(present[0], target=replace(present[0].target, stems=both))]
        between = [
            token
            for token in self.piece.tokens
            if len(present) > 1 and present[0].end <= token.start < present[-1].start and token.kind in ("word", "unknown")
        ]
        if between:
            raise PieceError(
                f"{present[0].text} or {present[-1].text}? two names with {between[0].text} between them; write one, a colon, and what"
            )
        return names

    def _adjacent(self, first: Token, second: Token) -> bool:
        tokens = list(self.piece.tokens)
        return abs(tokens.index(first) - tokens.index(second)) == 1

    def _raw_between(self, first: Token, second: Token) -> str:
        tokens = [token for token in self.piece.tokens if first.end <= token.start < second.start]
        return " ".join(token.text for token in tokens) + " " if tokens or second.start - first.end > 3 else ""

    def _is_part(self, token: Token) -> bool:
        """Whether an instrument that is not there is only part of the sound of one that is, or of a saying."""
        text = self.piece.text.lower()
        if re.search(rf"'s {re.escape(token.text)}\b|\b(?:when|because|if|like|than|over)\b.*{re.escape(token.text)}", text):
            return True
        at = self.piece.tokens.index(token)
        return at > 0 and self.piece.tokens[at - 1].kind != "target"

    def _text_before(self, token: Token) -> str:
        tokens = [each.text.lower() for each in self.piece.tokens if each.end <= token.start]
        return " ".join(tokens[-4:])

    def _between(self, first: Token, second: Token) -> str:
        low, high = sorted((first, second), key=lambda token: token.start)
        return " ".join([low.text, *(t.text.lower() for t in self.piece.tokens if low.end <= t.start < high.start)])

    def _speaks_of_voice(self) -> bool:
        text = self.piece.text.lower()
        if any(token.word == "sibilant" for token in self.words):
            return True
        return (
            re.search(r"\bi\b|\bi'?m\b|\bme\b|\bmy (?:t|s|p)", text) is not None
            and re.search(r"sound|turn me|hear me|cant hear|too close|more me|less me|have a cold|my [tsp]", text)
            is not None
        )

    def _example(self) -> str:
        return next((stem for stem in self.targets.stems), "piano")

    # What it asks

    def _asks(self) -> Said:
        text = self.piece.plain
        move = exact_move(text, self.numbers)
        ringing = any(token.word == "ringing" for token in self.words)
        if isinstance(move, str):
            raise PieceError(move)
        if self.numbers.freq_hz and ringing and self.numbers.gain_db is None:
            centre = (min(self.numbers.freq_hz) * max(self.numbers.freq_hz)) ** 0.5
            move = ExactMove("notch", (("freq_hz", round(centre, 2)), ("gain_db", -6.0), ("q", 20.0)))
        if move is not None and not (self.words and self.numbers.gain_db is None and not ringing):
            stems, called = self._stems(needed=True)
            ask = Ask(stems=stems, named=self._named(), word=move.kind.replace("_", " "), amount=1.0, gain_db=None,
                      text=self.piece.text, exact=move)  # fmt: skip
            return Said(stems=stems, called=called, asks=[ask])
        unknown = [token.text for token in self.piece.of("unknown")]
        problem = next((token.problem for token in self.piece.of("unknown") if token.problem), "")
        if problem:
            raise PieceError(problem)
        if (
            backward.praises(self.piece.text.lower())
            and not self.piece.of("direction")
            and self.names
            and not self.piece.of("asking")
        ) and all(token.word in self.faults for token in self.words):
            return Said(stems=self._stems_or_none())
        found = self._word_asks() or self._level()
        if not found:
            return self._nothing(unknown)
        if unknown:  # a word nobody knows may turn the meaning round: a wrong answer costs more than none
            raise PieceError(self._unknown(unknown[0]), unknown=True)
        stems, called = self._stems(needed=True)
        asks = [replace(ask, stems=stems, named=self._named()) for ask in found]
        return Said(stems=stems, called=called, asks=asks)

    def _named(self) -> bool:
        return all(token.target is None or token.target.named for token in self.names)

    def _nothing(self, unknown: list[str]) -> Said:
        stems = self._stems_or_none() if self.names else ()
        if self.words:
            return Said(stems=stems, unknown=unknown)
        asked = self.piece.of("direction")
        if self.names and (unknown or asked) and not backward.praises(self.piece.text.lower()):
            raise PieceError(self._unknown(unknown[0] if unknown else self.piece.text), unknown=True)
        if not self.names and self.piece.of("direction") and unknown:
            raise PieceError(self._unknown(unknown[0]), unknown=True)
        return Said(stems=stems, unknown=unknown)

    def _unknown(self, word: str) -> str:
        near = near_words(word, self.vocabulary)
        meant = f"could be: {', '.join(near)}; " if near else ""
        return f"{shown(word)}: no word that is known; {meant}all of them: stemwright words list, one: stemwright words explain WORD"

    def _word_asks(self) -> list[Ask]:
        asks: list[Ask] = []
        gain = self.numbers.gain_db
        for number, token in enumerate(self.words):
            sign = self._sign(token, number)
            if sign is None:
                continue
            amount = self._amount()
            step: float | None = None
            if gain is not None:
                if not 0.0 < abs(gain) <= MOST_DB:
                    raise PieceError(f"{gain:g} dB in one go; a note may ask for up to {MOST_DB:g} dB")
                direction = self.piece.of("direction") or token.says_more
                if (
                    self.numbers.signed
                    and direction
                    and gain * sign < 0
                    and token.word not in LEVELS
                    and token.word not in self.faults
                ):
                    raise PieceError(
                        f"{gain:+g} dB and {'less' if sign < 0 else 'more'} {token.text} point two ways; leave one out"
                    )
                step = abs(gain) * sign
                if self.numbers.signed and token.word not in self.faults:
                    step = gain if not token.says_more else abs(gain) * sign
            word = token.word
            wording = ""
            if token.text == PAINFUL:
                wording = f"{self.piece.text}: taken as harsh; if it is only too loud, say: quieter"
            asks.append(Ask(stems=(), named=True, word=word, amount=sign * amount if step is None else sign, gain_db=step,
                            text=self.piece.text, wording=wording))  # fmt: skip
        asks = _one_of_each(asks)
        if (
            not asks
            and self.words
            and not self.piece.of("negation")
            and (self.piece.of("direction") or self.names)
            and not backward.praises(self.piece.text.lower())
        ):
            first = self.words[0]
            if first.word not in self.faults and not self.piece.of("negation"):
                raise PieceError(
                    f"{shown(first.text)} without a direction; write more {first.text}, less {first.text} or {first.text} +2 dB"
                )
        return asks

    def _sign(self, token: Token, number: int) -> float | None:
        """Return which way a word is asked for; None for a word that says how it is, and asks for nothing."""
        tokens = list(self.piece.tokens)
        at = tokens.index(token)
        previous = next((each for each in reversed(self.words[:number])), None)
        start = tokens.index(previous) + 1 if previous is not None else 0
        lead = tokens[start:at]
        after = tokens[at + 1 : tokens.index(self.words[number + 1]) if number + 1 < len(self.words) else len(tokens)]
        negated = any(each.kind == "negation" for each in lead)
        direction = next((each for each in reversed(lead) if each.kind == "direction"), None)
        trailing = next(
            (
                each
                for each in after
                if each.kind == "direction" and each.text in ("enough", "less", "more", "+", "-", "not so much", "too much")
            ),
            None,
        )
        asking = next((each for each in reversed(lead) if each.kind == "asking"), None)
        fault = token.word in self.faults
        if trailing is not None and trailing.text == "enough":
            return 1.0 if negated else None
        if direction is not None:
            sign = direction.value
            if negated and direction.text == "enough":
                return 1.0
            if negated and fault:
                return None
            if negated and direction.value > 0 and direction.text == "more":
                return -1.0
            return -1.0 if fault and direction.text == "enough" else sign
        if trailing is not None:
            return trailing.value
        if token.says_more:
            if negated:
                return -1.0 if "should" in self.piece.text.lower() else None
            if (
                any(each.text in ("is", "are", "was", "were") for each in self.piece.tokens[max(0, at - 2) : at])
                and not asking
            ):
                raise PieceError(f"{token.text}, is it too much, or wanted? write less or more: {self.piece.text}")
            return 1.0
        if any(each.kind == "target" and each.text == "all" for each in lead):
            return -1.0
        if fault:
            return None if negated and token.text not in ("cant hear", "hear my") else -1.0
        if asking is not None:
            return -asking.value if negated and asking.text != "without" and asking.value > 0 else asking.value
        if negated:
            return 1.0
        if self.numbers.gain_db is not None and self.numbers.signed:
            return 1.0
        follow = next((each for each in after if each.kind == "asking"), None)
        if follow is not None:
            return follow.value
        return None

    def _amount(self) -> float:
        scale = 1.0
        for each in (*self.piece.of("amount")[:1], *self.piece.of("softener")[:1]):
            scale *= each.value
        return round(scale, 4)

    def _level(self) -> list[Ask]:
        """Return an ask for level: dB alone, or more and less of a stem itself."""
        gain = self.numbers.gain_db
        text = self.piece.plain
        if gain is not None and not self.words and not self.numbers.freq_hz:
            if not self.numbers.signed:
                if re.search(r"\bdown\b|\blower\b|\bless\b|\bcut\b|\bquieter\b|\breduce\b|\blose\b", text):
                    gain = -gain
                elif not re.search(
                    r"\bup\b|\braise\b|\badd\b|\bmore\b|\blouder\b|\blift\b|\bboost\b|\bgive\b|\bneeds?\b|\bwants?\b", text
                ):
                    raise PieceError(f"{gain:g} dB up or down? write +{gain:g} dB or -{gain:g} dB")
            if not 0.0 < abs(gain) <= MOST_DB:
                raise PieceError(f"{gain:g} dB in one go; a note may ask for up to {MOST_DB:g} dB")
            return [self._level_ask(1.0, gain)]
        directions = self.piece.of("direction")
        if self.words or not self.names or not directions or self.piece.of("unknown"):
            return []
        sign = directions[0].value
        if directions[0].text == "enough" and self.piece.of("negation"):
            sign = 1.0
        elif self.piece.of("negation"):
            sign = -abs(sign)
        return [self._level_ask(sign * self._amount(), None)]

    def _level_ask(self, amount: float, gain_db: float | None) -> Ask:
        return Ask(stems=(), named=True, word=LEVEL_WORD, amount=amount, gain_db=gain_db, text=self.piece.text)


def _one_of_each(asks: list[Ask]) -> list[Ask]:
    found: dict[str, Ask] = {}
    for ask in asks:
        found.setdefault(ask.word, ask)
    return list(found.values())


def near_words(word: str, vocabulary: Vocabulary) -> list[str]:
    """Return words that an unknown one could be meant for: close in spelling, and never itself."""
    from difflib import get_close_matches  # noqa: PLC0415 - only for a refusal

    forms = sorted({" ".join(form) for form in vocabulary.forms})
    return [form for form in get_close_matches(word[:40].lower(), forms, n=3, cutoff=0.8) if form != word.lower()]
