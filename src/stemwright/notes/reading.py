"""Reading: one clause understood. Its readings are tried in turn, and the first that leaves no word unexplained is taken.

Conventions
-----------
A word nobody knows stops the clause, unless it only says of whom ("the funk guitar", where one guitar is there), how or where
("on my monitors") of something that is understood without it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.elsewhere import ARRANGEMENT, AUTOMATION, EDIT, KINDS, Kind
from stemwright.notes.exact import direction_in, exact_move, frequencies_in, gain_in, within
from stemwright.notes.frames import Ask, Frame, PieceError, When
from stemwright.notes.history import back_in, keeps_off
from stemwright.notes.qualities import LIMITS, Quality, qualities_in
from stemwright.notes.relations import relation_in
from stemwright.notes.subjects import Context, Subjects, subjects_of
from stemwright.notes.timing import when_in
from stemwright.notes.unexplained import circumstance, help_with, unexplained
from stemwright.recipes.grammar import LEVEL_WORDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets
    from stemwright.recipes.words import Vocabulary

LEVEL_WORD: Final = "loud"
EDITS: Final = (
    "lose",
    "kill",
    "remove",
    "take out",
    "cut",
    "get rid of",
    "get rid",
    "cut out",
    "take away",
    "strip",
    "eliminate",
    "delete",
    "weg",
    "out of",
    "stop",
    "get out",
    "pull out",
)
ADDS: Final = ("add", "inject", "put some")
HALVED_DB: Final = -6.0  # half as loud, half of it: half the amplitude


class Reader:
    """Reads clauses against a pass's stems and the words in reach."""

    def __init__(self, targets: Targets, vocabulary: Vocabulary) -> None:
        self.targets = targets
        self.vocabulary = vocabulary
        self.faults = {name for name, words in vocabulary.words.items() if any(word.fault for word in words)}

    def frame(
        self, clause: Clause, context: Context, text: str, *, everywhere: bool = False, inherited: float | None = None
    ) -> Frame:
        """Return what a clause says.

        Raises
        ------
        PieceError
            If it is not understood, or is about a stem that the song does not have.
        """
        problem = next((item.problem for item in clause.items if item.problem), "")
        if problem:
            raise PieceError(problem)
        when, timed = when_in(clause.items, everywhere=everywhere)
        items = circumstance([item for item in clause.items if item not in timed])
        plain = replace(clause, items=items)
        subjects = subjects_of(plain, self.targets, context)
        sounds = [item for item in items if item.target is None or not item.names or item in subjects.sounds]
        if (
            subjects.absent
            and any(item.quality or item.figure or item.has("direction", "turn") for item in items)
            and not self._elsewhere(items, subjects)
        ):
            raise PieceError(f"no {subjects.absent} in this song; its stems: {', '.join(self.targets.stems)}")
        frame = Frame(stems=subjects.stems, named=subjects.named, called=subjects.called)
        if self._other_than_asks(frame, plain, sounds, subjects, context, text, when):
            return frame
        try:
            qualities = qualities_in(sounds, self.faults, about=bool(subjects.explicit or clause.heads), inherited=inherited)
        except PieceError:
            if not frequencies_in(sounds) and gain_in(sounds)[0] is None:
                raise
            qualities = self._by_gain(sounds)
        frame.asks = self._asks(sounds, qualities, subjects, text, when)
        frame.praised = any(item.has("praise") for item in items)
        left = unexplained(plain, subjects, asked=bool(frame.asks))
        if left and (frame.asks or self._should_ask(plain, sounds, subjects)):
            raise PieceError(help_with(left[0].text, self.vocabulary))
        if not frame.asks and not frame.praised and not left:
            self._nothing(plain, sounds, subjects, text, qualities)
        frame.talk = [item.text for item in left]
        if frame.asks and not subjects.stems:
            raise PieceError(f"for whom? write a stem, a role or a family before it, as in {self._example()}: {text}")
        return frame

    def _example(self) -> str:
        return next(iter(self.targets.stems), "piano")

    # What asks for no move

    def _other_than_asks(
        self,
        frame: Frame,
        clause: Clause,
        sounds: Sequence[Item],
        subjects: Subjects,
        context: Context,
        text: str,
        when: When | None,
    ) -> bool:
        items = clause.items
        if keeps_off(items):
            pronoun = any(item.has("it", "every") for item in items)
            frame.kept_off = list(subjects.stems) if subjects.explicit or pronoun or clause.heads else []
            frame.praised = True
            return True
        words = [item.quality for item in sounds if item.quality is not None and item.quality not in LEVEL_WORDS]
        freqs = frequencies_in(items)
        word = words[0] if words else "level" if self._level_sign(items, sounds, subjects) is not None else None
        moved = [*context.moves, *items] if context.moves and any(item.has("it") for item in items) else items
        if (
            when is not None
            and any(item.has("event") for item in items)
            and not any(item.has("direction", "turn") for item in items)
        ):
            frame.elsewhere = EDIT
            return True
        back = back_in(moved, word, freqs[0] if freqs and gain_in(items)[0] is None else None, text)
        if back is not None:
            stems = (
                subjects.stems
                if subjects.explicit
                or clause.heads
                or (context.before and (back.way == "scale" or any(item.has("it") for item in items)))
                else ()
            )
            frame.backs = [replace(back, stems=stems, word="" if back.word == "level" else back.word)]
            frame.called = frame.called if stems else ""
            return True
        frame.elsewhere = self._elsewhere(items, subjects)
        if frame.elsewhere is not None:
            return True
        if not any(item.figure is not None for item in sounds) or any(
            item.has("room", "cover", "under", "mutual") for item in items
        ):
            frame.relation = relation_in(clause, subjects, context.before, text, (self.targets, self.vocabulary))
        return frame.relation is not None

    def _elsewhere(self, items: Sequence[Item], subjects: Subjects) -> Kind | None:
        marks = [
            item for at, item in enumerate(items)
            if item.has("elsewhere") and (not item.names or item in subjects.sounds) and not (not subjects.explicit and any(each.has("neg") for each in items[:at]))
        ]  # fmt: skip
        sure = [item for item in marks if not item.has("weak") and item.quality is None]
        asked = any(item.quality is not None for item in items if item not in marks) or any(
            item.figure is not None and item.figure.unit in ("hz", "db") for item in items
        )
        if sure or (marks and not asked):
            return KINDS[(sure or marks)[0].value("elsewhere")]
        if (
            any(item.has("section") for item in items)
            and not asked
            and not subjects.items
            and any(item.has("take") and item.text in EDITS for item in items)
        ):
            return ARRANGEMENT
        takes = [item for item in items if item.has("take", "turn") and (item.text in EDITS or item.text in ("drop",))]
        figures = any(item.figure is not None for item in items)
        if takes and not asked and not figures and not any(item.has("direction", "amount", "ask") for item in items):
            event = any(item.has("event") for item in items)
            if event or (subjects.items and not any(item.unknown for item in items)):
                return EDIT
        adds = any(item.text in ADDS for item in items)
        return ARRANGEMENT if adds and subjects.absent and not asked else None

    # What is asked

    def _asks(
        self, items: Sequence[Item], qualities: list[Quality], subjects: Subjects, text: str, when: When | None
    ) -> list[Ask]:
        make = self._maker(subjects, text, when)
        gain, signed = gain_in(items)
        first = qualities[0] if qualities else None
        if frequencies_in(items):
            ringing = any(item.quality == "ringing" for item in items)
            sign = self._gain_sign(first, subjects, frequencies_in(items)[0]) if first else None
            move = exact_move(items, sign=sign, ringing=ringing)
            if move is not None:
                return [make(move.kind.replace("_", " "), 1.0, None, exact=move)]
        if (
            qualities
            and gain is None
            and any(item.quality == "loud" for item in items)
            and any(item.text == "half" for item in items)
        ):
            return [make(LEVEL_WORD, 1.0, HALVED_DB)]
        if gain is None:
            asks = [make(each.name, each.sign * self._amount(items), None, item=each.item) for each in qualities]
            return _one_of_each(asks) or self._level(items, subjects, make)
        if not qualities:
            return self._level(items, subjects, make)
        return _one_of_each(
            [
                make(each.name, each.sign, self._step(each, gain, items, signed=signed), item=each.item) for each in qualities
            ]
        )

    def _by_gain(self, items: Sequence[Item]) -> list[Quality]:
        """Return the word of sound that dB say which way to turn: bite +2 dB."""
        word = next(item for item in items if item.quality is not None)
        gain, signed = gain_in(items)
        sign = 1.0 if signed and gain is not None else direction_in(items)
        if sign is None or word.quality is None:
            raise PieceError(
                f"{word.text} without a direction; write more {word.text}, less {word.text} or {word.text} +2 dB"
            )
        return [Quality(name=word.quality, sign=sign, item=word)]

    def _maker(self, subjects: Subjects, text: str, when: When | None):  # noqa: ANN202 - a closure over what all asks share
        def make(word: str, amount: float, gain_db: float | None, *, exact=None, item: Item | None = None) -> Ask:  # noqa: ANN001
            painful = item is not None and "killing" in item.text
            wording = f"{text}: taken as harsh; if it is only too loud, say: quieter" if painful else ""
            return Ask(
                stems=subjects.stems,
                named=subjects.named,
                word=word,
                amount=amount,
                gain_db=gain_db,
                text=text,
                exact=exact,
                wording=wording,
                when=when,
            )

        return make

    def _step(self, quality: Quality, gain: float, items: Sequence[Item], *, signed: bool) -> float:
        within(gain)
        pointing = any(item.has("direction") for item in items) or quality.item.says_more
        if (
            signed
            and pointing
            and gain * quality.sign < 0
            and quality.name not in LEVEL_WORDS
            and quality.name not in self.faults
        ):
            raise PieceError(
                f"{gain:+g} dB and {'less' if quality.sign < 0 else 'more'} {quality.item.text} point two ways; leave one out"
            )
        if signed and quality.name not in self.faults:
            return gain if not quality.item.says_more else abs(gain) * quality.sign
        return abs(gain) * quality.sign

    def _gain_sign(self, quality: Quality, subjects: Subjects, freq_hz: float) -> float | None:
        """Return which way a bell at a frequency goes for a word: the way its own move nearest to it goes."""
        if quality.name in LEVEL_WORDS or not subjects.stems:
            return -1.0 if quality.name in self.faults else quality.sign
        role, family = self.targets.role_of(subjects.stems[0])
        known = self.vocabulary.understand(quality.name, role, family)
        moves = [move for move in known.meaning.moves if "freq_hz" in move.settings]
        near = min(moves, key=lambda move: abs(move.settings["freq_hz"] / freq_hz - 1.0), default=None)
        if near is not None and quality.name in self.faults and not 1 / 6 <= near.settings["freq_hz"] / freq_hz <= 6:
            raise PieceError(f"{freq_hz:g} Hz and {quality.item.text} lie far apart; write one of them")
        if near is None or not 1 / 3 <= near.settings["freq_hz"] / freq_hz <= 3:
            return quality.sign
        return quality.sign * known.sign * (1.0 if near.settings["gain_db"] > 0 else -1.0)

    def _amount(self, items: Sequence[Item]) -> float:
        amounts = [
            float(item.value("amount")) for item in items if item.has("amount") and not item.has("direction", "enough")
        ]
        percent = [item.figure.value / 100.0 for item in items if item.figure is not None and item.figure.unit == "%"]
        soft = 0.7 if any(item.has("soft") for item in items) else 1.0
        scale = amounts[0] if amounts else max(0.5, min(2.0, 5.0 * percent[0])) if percent else 1.0
        return round(scale * soft, 4)

    def _level_sign(self, items: Sequence[Item], sounds: Sequence[Item], subjects: Subjects) -> float | None:
        if any(item.quality is not None and item.quality not in LEVEL_WORDS and item.target is None for item in sounds):
            return None
        sign_only = next((item for item in items if item.kind == "sign"), None)
        if sign_only is not None:
            return 1.0 if "+" in sign_only.text else -1.0
        negated = False
        for at, item in enumerate(items):
            negated = negated or item.has("neg")
            if item.text == "hear" and not negated and subjects.explicit and any(each.has("want") for each in items[:at]):
                return 1.0
            if item.has("enough") and not item.names:
                return 1.0 if negated else None
            if item.has("guard") and not item.has("direction"):
                return None
            if item.has("less than last"):
                return -1.0
            for tag in ("direction", "turn"):
                if item.has(tag) and not item.names and not (item.has("is") and tag == "turn"):
                    sign = LIMITS[item.value(tag)]
                    return None if negated and (tag == "turn" or not subjects.explicit) else -abs(sign) if negated else sign
        if (
            subjects.explicit
            and subjects.against
            and any(item.text in ("under", "behind", "below", "beneath") for item in items)
        ):
            return -1.0
        return None

    def _level(self, items: Sequence[Item], subjects: Subjects, make) -> list[Ask]:  # noqa: ANN001
        if frequencies_in(items):
            return []
        gain, signed = gain_in(items)
        sign = self._level_sign(items, items, subjects)
        if gain is not None:
            if not signed:
                way = sign if sign is not None else direction_in(items)
                if way is None and not subjects.explicit:
                    return []
                if way is None:
                    raise PieceError(f"{gain:g} dB up or down? write +{gain:g} dB or -{gain:g} dB")
                gain *= way
            return [make(LEVEL_WORD, 1.0, within(gain))]
        if (
            any(item.text == "half" or item.has("half") for item in items)
            and (subjects.explicit or subjects.stems)
            and any(item.quality == "loud" or item.text in ("half", "volume") for item in items)
        ):
            return [make(LEVEL_WORD, 1.0, HALVED_DB)]
        if sign is None or any(item.unknown for item in items):
            return []
        if any(item.has("cover", "under") and not item.names for item in items):
            raise PieceError(f"{text_of(items)}: who is in the way of whom? name both")
        if not subjects.explicit and any(
            item.text == "that" and items[at - 1].text == "of" for at, item in enumerate(items) if at
        ):
            return []
        return [make(LEVEL_WORD, sign * self._amount(items), None)]

    # What is missing

    def _should_ask(self, clause: Clause, items: Sequence[Item], subjects: Subjects) -> bool:
        """Whether a clause without a known word asks for something after all."""
        asking = any(
            item.has("direction", "turn", "take", "want", "strong", "lack", "enough", "guard")
            or item.kind in ("figure", "sign")
            for item in items
        )
        told = any(item.has("is") for item in items)
        return bool((subjects.explicit or clause.heads) and (asking or told or clause.heads)) or (
            asking and any(item.unknown for item in items) and any(item.has("direction", "take", "strong") for item in items)
        )

    def _nothing(
        self, clause: Clause, items: Sequence[Item], subjects: Subjects, text: str, qualities: Sequence[Quality]
    ) -> None:
        """Refuse a clause that asks for something nobody can tell.

        Raises
        ------
        PieceError
        """
        if qualities or any(item.quality is not None for item in items):
            return
        vague = next((item for item in items if item.has("ask")), None)
        about = subjects.explicit or bool(clause.heads)
        if vague is not None and about:
            raise PieceError(
                f"{vague.text}: something is to change, and not what; say what is heard (harsh, boomy, dull, thin, too loud ...)"
            )
        if about and any(item.has("filter") and item.value("filter") in ("high_pass", "low_pass") for item in items):
            raise PieceError(f"at which frequency? write it, as in {text} at 100 Hz")
        take = next(
            (item for item in items if item.has("take", "strong") and not item.has("is", "want", "amount", "move")), None
        )
        if take is not None and about:
            raise PieceError(f"{take.text} what of it? say what is heard: {text}, less harsh; {text}, quieter")


def text_of(items: Sequence[Item]) -> str:
    """Return what items say, in their own words."""
    return " ".join(item.text for item in items)


def _one_of_each(asks: list[Ask]) -> list[Ask]:
    found: dict[str, Ask] = {}
    for ask in asks:
        found.setdefault(ask.word, ask)
    return list(found.values())


def timed(ask: Ask) -> Kind:
    """Return the kind of work that an ask with a place in time is."""
    assert ask.when is not None  # noqa: S101 - the caller has looked
    return AUTOMATION
