"""Pronouns: whom a clause without a name is about: me, the rest, everything, her, or those of the clause before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.notes.frames import PieceError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets

TO_ME = ("hear", "turn", "bring", "with", "pull", "push", "make", "put")
SOMEBODY = ("he", "she", "hes", "shes", "him", "her", "his", "hers")
OF_VOICES = (
    "nose",
    "nasal",
    "nasally",
    "chest",
    "breath",
    "breathy",
    "lisp",
    "lispy",
    "plosive",
    "plosives",
    "p pops",
    "popping",
    "whispering",
    "intimate",
)
WORDS = {"word", "words", "lyric", "lyrics", "syllable", "syllables", "consonants"}
SENSING = (
    "hear",
    "heard",
    "hearing",
    "liked",
    "find",
    "found",
    "notice",
    "noticed",
    "know",
    "picked",
    "see",
    "cant",
    "can",
    "dont",
)
PEOPLE = {
    "daughter", "son", "wife", "husband", "girl", "girlfriend", "boyfriend", "sister", "brother", "mum", "mom", "mother", "dad",
    "father", "grandad", "grandma", "granny", "uncle", "aunt", "cousin", "kid", "kids", "children", "friend", "friends",
}  # fmt: skip
OVERALL = ("all", "overall", "general", "in general")
BESIDE = ("below", "above", "under", "over", "around")


@dataclass(frozen=True, kw_only=True)
class Context:
    """What the clauses before said: the stems they were about, all that were named, and the moves they spoke of.

    ``listed``: how many clauses right before, in the same sentence, asked for words of sound of the same stems.
    """

    moves: tuple[Item, ...] = ()
    before: tuple[str, ...] = ()
    before_called: str = ""
    named: tuple[str, ...] = ()
    listed: int = 0


@dataclass(frozen=True, kw_only=True)
class Meant:
    """The stems that a clause without a name is about, as `stemwright.notes.subjects.Subjects` has them."""

    stems: tuple[str, ...] = ()
    named: bool = True
    called: str = ""
    explicit: bool = False
    taken: Item | None = None


def meant_by(clause: Clause, targets: Targets, context: Context) -> Meant:
    """Return whom a clause is about that names nobody.

    Raises
    ------
    PieceError
        If it is about the voice of somebody, and the song has several.
    """
    items = [*(item for item in clause.heads if item.has("every", "other")), *clause.items]
    if any(item.has("other") and not _held(items, at) for at, item in enumerate(items)):
        rest = tuple(stem for stem in targets.everything.stems if stem not in context.named)
        return Meant(stems=rest, named=False, explicit=True)
    voice = targets.called(("vocal",))
    voices = voice.stems if voice is not None else ()
    likened = bool(context.before) and any(
        item.has("like") for item in items[:2]
    )  # "sounds like I'm hitting boxes": it does
    if voices and not likened and any(_is_me(item, items) for item in items):
        if len(voices) > 1 and len({targets.role_of(stem) for stem in voices}) == 1:
            raise PieceError(f"whose voice? name one of: {', '.join(voices)}")
        return Meant(stems=voices, called="vocal", explicit=True)
    if _is_everything(items, context, clause.heads):
        return Meant(stems=targets.everything.stems, named=False, explicit=True)
    return _carried_over(items, targets, context, voices)


def _carried_over(items: Sequence[Item], targets: Targets, context: Context, voices: tuple[str, ...]) -> Meant:
    """Return whom a clause is about that points at nobody: those of the clause before, unless it speaks of a voice."""
    of_words = any(item.quality is not None and WORDS & set(item.text.split(" ")) for item in items)
    if of_words and voices and not any(targets.role_of(stem)[1] == "vocals" for stem in context.before):
        return Meant(stems=voices, called="vocal")  # "love the music, but we can't understand the words"
    buried = any(item.quality == "buried" for item in items) and any(item.text in SOMEBODY for item in items)
    if (
        buried
        and len(context.before) > 1
        and voices
        and not any(targets.role_of(stem)[1] == "vocals" for stem in context.before)
    ):
        return Meant(stems=voices, called="vocal")  # "the beat is loud, but he is buried"
    person = next((at for at, item in enumerate(items) if set(item.text.split(" ")) & PEOPLE), None)
    if person is not None and any(item.quality or item.has("turn") for item in items[person + 1 :]):
        raise PieceError(f"who is {items[person].text}? name the stem", "whom")
    if context.before:
        return Meant(stems=context.before, called=context.before_called)
    of_a_voice = any(item.text in SOMEBODY or item.quality == "sibilant" or item.text in OF_VOICES for item in items)
    if of_a_voice and len(voices) == 1:
        return Meant(stems=voices, called="vocal")
    return _sound_that_is_a_name(items, targets)


def _held(items: Sequence[Item], at: int) -> bool:
    """Whether a clause only holds somebody against the rest: one note louder than the rest."""
    return any(item.text == "than" for item in items[max(0, at - 2) : at])


def _is_everything(items: Sequence[Item], context: Context, heads: Sequence[Item]) -> bool:
    every = [
        item
        for at, item in enumerate(items)
        if item.has("every") and not (items[at + 1 : at + 2] and items[at + 1].text in BESIDE)  # "everything below 400"
    ]
    every = [item for item in every if item.text != "all" or item in heads or _is_all_of_it(items, items.index(item))]
    return bool(every) and not (context.before and all(item.text in OVERALL for item in every))


def _is_all_of_it(items: Sequence[Item], at: int) -> bool:
    """Whether "all" means every stem, and is no part of a turn of speech: turn it all down, all brighter; not "first of all"."""
    beside = [*items[max(0, at - 1) : at], *items[at + 1 : at + 2]]
    return (
        any(item.quality or item.has("turn", "direction") or item.figure is not None for item in beside) or len(items) == 1
    )


def _sound_that_is_a_name(items: Sequence[Item], targets: Targets) -> Meant:
    """Return the one stem that has a word of sound in its name, beside another one: the rumble is too rumbly."""
    sounds = [item for item in items if item.quality is not None]
    for item in sounds if len(sounds) > 1 else ():
        stems = targets.with_word(item.text)
        if stems:
            return Meant(stems=stems, explicit=True, taken=item)
    return Meant()


def _opens_as_me(item: Item, after: Sequence[Item]) -> bool:
    """Whether a sound is told or wished of whoever speaks: I sound like a phone, could I be closer, I feel cold and far."""
    sound = next((at for at, each in enumerate(after) if each.quality is not None and each.target is None), None)
    if sound is None:
        return False
    if item.text in ("i", "im") and after[0].text in ("sound", "sounding"):
        return True
    if item.text.endswith(" i") and after[0].has("is"):
        return all(each.has("is", "amount", "direction") for each in after[:sound])
    return item.text == "i feel" and all(each.has("amount", "direction") for each in after[:sound])


def _is_me(item: Item, items: Sequence[Item]) -> bool:
    """Whether somebody speaks of their own voice: turn me up, I sound far away."""
    at = items.index(item)
    if item.text == "me":
        lead = [each for each in items[:at] if not each.idle or each.has("place")]
        asked = bool(lead) and (
            lead[-1].has("direction", "turn", "amount")
            or lead[-1].quality == "buried"
            or (at > 0 and items[at - 1].text == "louder")
            or (at > 0 and items[at - 1].text == "on" and any(each.quality for each in lead))
        )
        return asked or (at > 0 and items[at - 1].text in TO_ME)
    if _opens_as_me(item, items[at + 1 : at + 7]):
        return True
    if item.text not in ("im", "i"):
        return item.has("me")
    sound = next(
        (each for each in items[at : at + 5] if (each.quality is not None and each.target is None) or each.has("under")),
        None,
    )
    between = items[at + 1 : items.index(sound)] if sound is not None and sound is not item else []
    sounds = (
        sound is not None
        and not any(each.text.split(" ")[0] in SENSING for each in (*between, sound))
        and not sound.text.endswith((" ear", " ears"))
    )
    wishes = any(each.has("want", "strong", "praise", "take", "direction", "like") for each in items[at : at + 3])
    return sounds and not wishes
