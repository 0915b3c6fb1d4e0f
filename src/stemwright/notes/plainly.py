"""Plainly: notes of nothing but a stem, a sound, which way and how much. What their words say is all of them, and stands."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

from stemwright.notes.clauses import POLITE
from stemwright.recipes.grammar import LEVEL_WORDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item

_SAYS: Final = frozenset(("turn", "take", "direction"))
_CARRIES: Final = frozenset((
    "the", "a", "an", "some", "of", "on", "in", "to", "from", "for", "my", "our", "can", "you", "we", "get", "it", "out", "off", "at",
    "@", "around", "about", "by", "everything", "below", "under", "above", "turn", "bring", "pull", "push", "take", "put", "with",
    "has", "have", "got", "there", "is", "are", "make", "think",
))  # fmt: skip
# Parts of the spectrum and of a sound that every engineer means alike. Common practice, no source.
_SOUNDS: Final = frozenset((
    "lows", "low end", "bottom", "bottom end", "low mids", "mids", "upper mids", "high mids", "highs", "high end", "top",
    "top end", "treble", "air", "bite", "body", "presence", "sub", "warmth", "weight", "attack", "brightness", "mud", "boxiness",
    "boom", "harshness", "fizz", "sibilance", "sparkle", "punch", "clarity", "definition", "edge", "brilliance", "crispness",
    "fullness", "midrange", "shine", "depth", "boominess", "low frequencies", "high frequencies", "thump", "click", "snap",
    "honk", "hiss", "rumble", "brighter", "darker", "warmer", "bright", "dark", "warm", "dull", "harsh", "muddy", "boomy",
    "boxy", "thin", "sibilant", "fizzy", "crisp", "punchy", "brighten", "darken", "warm up", "brighten up",
))  # fmt: skip
# What may change or place what is asked, wherever it stands.
_SPEAKING: Final = (
    "neg", "guard", "undo", "before", "pass", "half", "less than last", "more than last", "leave", "stays", "touch", "elsewhere",
    "section", "event", "direction", "turn", "take", "lack", "enough", "filter", "but not for", "other", "every", "cover", "under",
    "room", "move", "like",
)  # fmt: skip
_UNLESS: Final = frozenset(("unless", "except", "only if", "instead", "rather"))
_POLITE: Final = frozenset((*POLITE, "thanks", "also"))
_LEVEL: Final = ("volume", "level", "fader")
_TURNS: Final = (
    "up", "down", "turn", "bring", "pull", "push", "take", "reduce", "raise", "lower", "increase", "decrease", "lift",
)  # fmt: skip
_LACKS: Final = frozenset((
    "need", "needs", "could use", "can use", "could do with", "can do with", "lack", "lacks", "misses", "is missing", "are missing",
))  # fmt: skip
_FAULTS: Final = ("harsh", "muddy", "boomy", "boxy", "sibilant", "fizzy")
_WISHES: Final = _POLITE | frozenset(
    ("would", "i would", "id", "can", "could", "should", "i", "want", "be", "id like", "should be")
)


def is_plain(items: Sequence[Item | None]) -> bool:
    """Whether a note says of stems one sound each, and which way, and has no word that may say more.

    Parameters
    ----------
    items : sequence of Item or None
        Its words, None where a sentence ends.
    """
    sentences = _parts(items)
    return bool(sentences) and all(_opens(parts) and all(map(_goes_on, _with_names(parts))) for parts in sentences)


def _opens(parts: Sequence[Sequence[Item]]) -> bool:
    """Whether a sentence's first part asks, of the stem that the second one names too: less lows, more highs on the keys."""
    if _is_asked(parts[0]):
        return True
    if len(parts) > 1 and all(item.names or item.idle for item in parts[0]) and _first_name(parts[0]) is not None:
        return _opens(parts[1:])  # keys and pad: cut 2 dB at 250
    named = _first_name(parts[1]) if len(parts) > 1 else None
    return (
        named is not None
        and _is_asked(parts[1])
        and not any(item.names for item in parts[0])
        and _is_asked([*parts[0], named])
    )


def _with_names(parts: Sequence[Sequence[Item]]) -> list[Sequence[Item]]:
    """Return a sentence's parts but for the first, each that only asks with a name of the one before: keys louder and brighter."""
    done, named = [], _first_name(parts[0])
    for part in parts[1:]:
        bare = bool(_sounds(part)) and named is not None and not any(item.names and not is_sound(item) for item in part)
        done.append([named, *part] if bare and named is not None else part)
        named = _first_name(part) or named
    return done


def _first_name(part: Sequence[Item]) -> Item | None:
    return next((item for item in part if item.names), None)


def is_plain_amid_talk(items: Sequence[Item | None]) -> bool:
    """Whether all that a note says of sounds and stems is plain, and what stands around it says nothing of them."""
    parts = [part for sentence in _parts(items) for part in sentence]
    asked = [part for part in parts if not all(map(_is_talk, part)) and not _praises(part)]
    return bool(asked) and _is_asked(asked[0]) and all(map(_goes_on, asked[1:]))


def _parts(items: Sequence[Item | None]) -> list[list[list[Item]]]:
    """Return a note's sentences, each parted where another thing may begin."""
    sentences: list[list[list[Item]]] = [[[]]]
    for item in items:
        if item is None:
            sentences.append([[]])
        elif _parts_two(item, sentences[-1][-1]):
            sentences[-1].append([])
        else:
            sentences[-1][-1].append(item)
    return sentences[:-1]


def _parts_two(item: Item, before: Sequence[Item]) -> bool:
    """Whether another thing may begin behind an item; behind a colon it does unless names alone stand before it."""
    heading = any(each.names for each in before) and not _sounds(before)
    return item.kind == "break" or (item.kind in ("colon", "dash") and not heading) or (item.has("and") and not item.names)


def _praises(part: Sequence[Item]) -> bool:
    """Whether a part says that all is well, or a stem is, or is to stay: the mix is perfect, I like the keys, leave the snare."""
    kept = any(item.has("leave") for item in part) and any(item.names or item.has("other") for item in part)
    enough = any(item.has("enough") for item in part) and not any(item.has("neg", "guard") for item in part)
    praised = kept or enough or any(item.has("praise") or item.text == "like" for item in part)
    left = [item for item in part if not (item.names or item.has("every", "other", "leave", "like", "enough"))]
    left = [item for item in left if not (enough and item.quality is not None)]  # loud enough kick, but ...
    denied = any(item.has("neg") for item in part) and any(item.names for item in part)
    left = [item for item in left if not (denied and item.has("neg"))]  # not the bass
    told = any(item.text == "louder" or (item.text == "better" and not _says_now(part)) for item in part)
    return (praised or denied) and all(map(_is_talk, left)) and not told


def _says_now(part: Sequence[Item]) -> bool:
    return any("now" in item.text.split(" ") for item in part)


def _is_talk(item: Item) -> bool:
    plain = item.target is None and item.quality is None and item.figure is None and not item.problem
    return plain and item.text not in _UNLESS and not item.has(*_SPEAKING)


def _is_asked(said: Sequence[Item]) -> bool:
    """Whether a part is an ask by itself: more bite on the guitar, add 2 dB at 10k on the hats, keys not bright enough."""
    lacking = _is_not_enough(said)
    said = [item for item in said if not (lacking and item.has("neg", "enough"))]
    sounds, figures = _sounds(said), [item for item in said if item.figure is not None]
    directed = (
        any(_SAYS & item.tags or item.text in _LACKS or item.quality in LEVEL_WORDS for item in said)
        or any(item.says_more for item in sounds)
        or bool(figures)
        or lacking
    )
    moved = lacking or any(item.says_more or _SAYS & item.tags for item in said)
    one = len(sounds) == 1 and (is_sound(sounds[0]) or (moved and sounds[0].quality in LEVEL_WORDS))
    if not sounds and not figures and any(map(_is_turned, said)):
        one = directed = True  # bring up the keys
    if [item.text in _FAULTS for item in sounds] == [True] and any(item.has("is") for item in said):
        one = directed = True  # the kick is a little harsh
    if len(sounds) == 1 and _is_too(said, sounds[0]):
        one = directed = True  # the snare is too ringy
    if [item.text for item in sounds] == ["thin"] and any(item.text == "out" for item in said):
        one = directed = True  # thin out the keys
    return directed and (one or (bool(figures) and not sounds)) and _is_clean(said, [*sounds, *figures])


def _is_too(said: Sequence[Item], sound: Item) -> bool:
    """Whether "too" stands right before a word of sound, and no other direction anywhere."""
    before = next((first for first, item in pairwise(said) if item is sound), None)
    ways = [item for item in said if item.tags & _SAYS and item is not sound]
    return before is not None and before.text.rpartition(" ")[2] == "too" and ways == [before]


def _is_turned(item: Item) -> bool:
    """Whether an item says up or down of a level: reduce the volume of the bass, bring up the keys."""
    first, _, last = item.text.partition(" ")
    return item.has("turn") and not item.names and (first in _TURNS and last in ("", "up", "down"))


def _is_not_enough(said: Sequence[Item]) -> bool:
    """Whether a part denies one thing, that there is enough of its sound: not bright enough."""
    return any(
        [each.has("neg") for each in three] == [True, False, False] and three[1].quality and three[2].has("enough")
        for three in zip(said, said[1:], said[2:], strict=False)
    )


def _goes_on(said: Sequence[Item]) -> bool:
    """Whether a part asks, or adds a name to the part before it or turns it round: and the keys; less on the keys."""
    if all(item.text in _POLITE for item in said) or _is_asked(said):
        return True
    figures = [item for item in said if item.figure is not None]
    if any(item.figure.is_frequency for item in figures if item.figure is not None) and not _sounds(said):
        return all(map(_adds_nothing, [item for item in said if item not in figures]))  # keys +2 at 60 and +1 at 3.5k
    return not _sounds(said) and not any(item.has("turn", "take") for item in said) and _is_clean(said, [])


def _is_clean(said: Sequence[Item], sounds: Sequence[Item]) -> bool:
    left = [item for item in said if item not in sounds]
    return any(item.names for item in left) and all(map(_adds_nothing, left))


def _sounds(said: Sequence[Item]) -> list[Item]:
    found = [item for item in said if item.quality is not None and (not item.names or is_sound(item))]
    return [item for item in found if item.quality not in LEVEL_WORDS or len(found) == 1]  # "the lows are too loud"


def is_sound(item: Item) -> bool:
    """Whether an item is one of the sounds that every engineer means alike."""
    return item.text.removeprefix("the ").removesuffix(" on") in _SOUNDS


def _adds_nothing(item: Item) -> bool:
    """Whether an item is a name, a direction or an amount, or only carries them."""
    if item.names or item.kind in ("colon", "dash", "mark", "sign") or item.text in _WISHES | _LACKS:
        return True
    if item.kind != "word" or item.has("neg", "guard") or (item.has("elsewhere") and not item.has("weak")):
        return False
    if any(sense.ending == "ed" for sense in item.senses if sense.tag in _SAYS):
        return False  # "you added bite to the keys": told
    level = item.quality in LEVEL_WORDS or item.text in _LEVEL
    return level or bool(item.tags & _SAYS) or item.has("amount", "filter") or set(item.text.split(" ")) <= _CARRIES
