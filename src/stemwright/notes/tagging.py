"""Tagging: a sentence's words matched with the names of stems, the words of sound and the lexicon, the longest phrase first."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.notes.beside import in_context
from stemwright.notes.clauses import ARTICLES
from stemwright.notes.items import Item
from stemwright.notes.lexicon import Lexicon, Sense, house_lexicon
from stemwright.notes.spelling import near
from stemwright.notes.targets import Target, TargetError
from stemwright.notes.which_one import told_apart
from stemwright.stems.names import pairs, split_words
from stemwright.stems.vocabulary import MODIFIERS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.targets import Targets
    from stemwright.notes.tokens import Token
    from stemwright.recipes.words import Vocabulary

LONGEST = 7
_BESIDE = 4  # words from one side's name to the other's
PARTICLES = ("up", "down", "back", "forward", "out", "in", "off", "under", "closer")
MOVING = ("turn", "take", "undo")
MORE = ("more", "plus", "más", "mas", "mais", "mehr", "più", "meer")
JOINED = ("turn", "undo", "cover", "take", "filter", "elsewhere")
FURTHEST = 9  # words between a verb and its particle
LONGEST_SAYING = 4
COMMON = ("talk", "event", "part", "elsewhere", "weak")
SOUNDING = ("sound", "sounds")  # "guitars sound massive": the verb
NAMING = ("role", "instrument", "group", "part")


class Tagger:
    """Gives a sentence's words their meanings.

    Parameters
    ----------
    targets : Targets
        The names the pass's stems go by.
    vocabulary : Vocabulary
        The words in reach.
    """

    def __init__(self, targets: Targets, vocabulary: Vocabulary) -> None:
        self._targets = targets
        self._both = False
        self._lexicon = house_lexicon()
        self._words = Lexicon()
        for form, (name, more) in vocabulary.forms.items():
            self._words.add(form, Sense("more word" if more else "word", name))
        self._known = {name for name, words in vocabulary.words.items() if words}

    def items(self, tokens: Sequence[Token]) -> list[Item]:
        """Return the items of a sentence's tokens, the longest known phrase first."""
        found: list[Item] = []
        at = 0
        self._both = _both_sides([token.text for token in tokens])
        while at < len(tokens):
            token = tokens[at]
            if token.kind == "name":
                found.append(self._name(token))
                at += 1
                continue
            item, taken = self._longest(
                tokens[at : at + max(LONGEST, self._targets.longest)],
                after_article=bool(found) and found[-1].text in ARTICLES,
            )
            heads = (
                taken == 1
                and (not found or found[-1].kind == "break")
                and [each.kind for each in tokens[at + 1 : at + 2]] == ["colon"]
            )
            found.append(self._as_heading(item) if heads else self._me(item))
            at += taken
        return told_apart(self._particles(found), self._targets)

    def _as_heading(self, item: Item) -> Item:
        """Return a word of sound before a colon as the one stem that has it in its name: "rumble: hpf at 35"."""
        stems = self._targets.with_word(item.text) if item.quality is not None and not item.names else ()
        return (
            replace(item, target=Target("stem", item.text, stems), senses=(), tags=frozenset()) if stems else self._me(item)
        )

    def _me(self, item: Item) -> Item:
        """Return "my voice" as the lead vocal's name, where the song has one."""
        if not item.has("me") or item.text == "me":
            return item
        voice = self._targets.called(("vocal",))
        if voice is None or not voice.stems:
            return item
        if len(voice.stems) > 1 and len(pairs(voice.stems)) < len(voice.stems):
            return replace(item, problem=f"whose voice? name one of: {', '.join(voice.stems)}")
        return replace(item, target=voice, senses=(), tags=frozenset())

    def _particles(self, items: list[Item]) -> list[Item]:
        """Join a verb and its "up", "down" or "back" that stand apart: turn the vocal up, pull them back."""
        found = in_context(items)
        for at, item in enumerate(items):
            following = items[at + 1 : at + 2]
            placed = item.text == "in" and bool(following) and (following[0].text in ARTICLES or following[0].has("section"))
            if item.text not in PARTICLES or item.names or placed:
                continue  # "sits well in the first half": where
            for back in range(at - 2, max(-1, at - FURTHEST), -1):
                verb = items[back]
                listed = (verb.names and back and items[back - 1].kind == "word") or (
                    verb.has("and") and (items[back - 1].names or items[back - 1].has("every"))
                )
                if verb.kind != "word" or (not listed and (verb.names or verb.has("and"))):
                    break  # "pull the kick and the snare down"
                length, senses = self._lexicon.match([*verb.text.split()[:1], item.text])
                turning = [sense for sense in senses if sense.tag in JOINED and not verb.has("is")]
                cut = any(each.figure is not None for each in items[back:at]) and verb.text == "cut"  # cut 4 off the pad
                if length == 2 and turning and len(verb.text.split()) == 1 and not cut:
                    found[at] = replace(item, senses=tuple(turning), tags=frozenset(sense.tag for sense in turning))
                    found[back] = replace(verb, senses=(Sense("talk"),), tags=frozenset(("talk",)))
                    break
        return found

    def _name(self, token: Token) -> Item:
        where = {"text": token.text, "start": token.start, "end": token.end}
        form = self._words.match(split_words(token.text) or (token.text,))
        if form[0] and form[0] == len(split_words(token.text)):
            return _item(where, form[1], None)
        try:
            return _item(where, [], Target("stem", token.text, self._targets.find(token.text)))
        except TargetError as error:
            if len(split_words(token.text)) <= LONGEST_SAYING and not set(token.text) & set(
                "._0123456789"
            ):  # a word in quotes, as when somebody is cited
                return _item(where, [Sense("talk")], None)
            return Item(**where, kind="name", problem=str(error))  # type: ignore[arg-type]

    def _longest(self, tokens: Sequence[Token], *, after_article: bool) -> tuple[Item, int]:
        first = tokens[0]
        run = _run(tokens)
        target, length = self._target(run)
        words = _words(run, tokens)
        if first.kind != "word" and (target is None or not length):
            where = {"text": first.text, "start": first.start, "end": first.end}
            return Item(**where, kind=first.kind, figure=first.figure), 1  # type: ignore[arg-type]
        best, senses = self._senses(words, length)
        if best > max(length, 1):
            following, taken = self._target(run[best - 1 :])
            if isinstance(following, Target) and following.stems and taken > 1:
                best, senses = self._senses(words[: best - 1], length)  # feel the | bass guitar
        if isinstance(target, Target) and target.stems and best > length and all(sense.tag in MOVING for sense in senses):
            best, senses = length, []  # "kick up" of a song with a kick
        if isinstance(target, str) and length >= best:
            where = {"text": " ".join(token.text for token in run[:best]), "start": first.start, "end": run[best - 1].end}
            return Item(**where, kind="name", problem=target), best  # type: ignore[arg-type]
        named = target if isinstance(target, Target) and length >= best else None
        if named is not None and length == 1 and self._is_sound(words, senses, named):
            named = None  # a word of sound in a longer name: the harsh vox
        taken_for = ""
        if named is None and words:
            named = self._by_part(words[0], senses, best, after_article=after_article)
            senses = [] if named is not None else senses
        if named is None and words and not senses:
            taken_for, senses = self._meant(words[0])
            if after_article and all(sense.tag in JOINED for sense in senses):
                taken_for, senses = "", []  # a verb does not stand behind "a"
        best = max(best, 1)
        where = {"text": " ".join(token.text for token in run[:best]), "start": first.start, "end": run[best - 1].end}
        return replace(_item(where, self._fitting(senses, named), named), meant=taken_for), best

    def _senses(self, words: Sequence[str], length: int) -> tuple[int, list[Sense]]:
        """Return how many words the longest known phrase has, at least as many as a name has, and what it may mean."""
        best: int = length
        senses: list[Sense] = []
        for lexicon in (self._words, self._lexicon):
            taken, found = lexicon.match(words) if words else (0, [])
            if taken > best:
                best, senses = taken, []
            senses += found if taken == best else []
        if best > 1 and any(sense.tag == "image" for sense in senses) and self._says_more(words[0]):
            senses = [replace(sense, ending="er") for sense in senses]  # softer on the ears
        if best > length and senses and all(sense.tag in NAMING and sense.tag != "part" for sense in senses):
            return max(length, 1), []  # a role the song does not have, or "the" before a name
        return best, senses

    def _says_more(self, word: str) -> bool:
        return word in MORE or any(
            sense.tag == "more word" or sense.ending == "er" for sense in self._words.match([word])[1]
        )

    def _is_sound(self, words: Sequence[str], senses: Sequence[Sense], target: Target) -> bool:
        """Whether a word is a word of sound rather than part of a stem's longer name."""
        if (
            not words
            or target.kind != "stem"
            or self._lexicon.whole(tuple(words[:1]), "role")
            or self._targets.alone(words[0])
        ):
            return False
        return any(sense.tag in ("word", "more word") and not sense.ending for sense in senses)

    def _by_part(self, word: str, senses: Sequence[Sense], best: int, *, after_article: bool) -> Target | None:
        """Return the one stem meant by a part of its name, or by a common word of it behind "the"."""
        if not best:
            stems = self._targets.with_word(word) or self._targets.with_part(word)
        elif (
            best == 1 and after_article and senses and all(sense.tag in COMMON for sense in senses) and word not in MODIFIERS
        ):
            stems = self._targets.with_word(word)
        else:
            return None
        return Target("stem", word, stems) if stems else None

    def _meant(self, word: str) -> tuple[str, list[Sense]]:
        """Return the known word that one nobody knows is a slip of, and what that may mean."""
        meant = near(word, self._lexicon, self._words)
        return (meant, self._words.match([meant])[1] + self._lexicon.match([meant])[1]) if meant else ("", [])

    def _fitting(self, senses: Sequence[Sense], target: Target | None) -> list[Sense]:
        """Return the senses that count: as the word stands before its inflections, and beside a name no talk."""
        left = [sense for sense in senses if sense.tag != "image" or sense.value in self._known]
        if any(not sense.ending for sense in left):
            left = [sense for sense in left if sense.ending != "y"]  # "bell" is no form of "belly"
        if target is not None and target.stems:
            left = [sense for sense in left if sense.tag not in ("talk", *NAMING)]
        return left

    def _target(self, run: Sequence[Token]) -> tuple[Target | str | None, int]:
        """Return the longest name of stems, or why it is none, and its words."""
        absent: tuple[Target | None, int] = (None, 0)
        for length in range(len(run), 0, -1):
            phrase = tuple(word for token in run[:length] for word in split_words(token.text))
            if not phrase or (length > 1 and phrase[-1] in SOUNDING):
                continue
            try:
                target = self._targets.called(phrase)
            except TargetError as error:
                return str(error), length
            if target is not None and (target.stems or run[0].kind == "word"):
                if (
                    target.stems
                    and run[0].kind == "word"
                    and self._targets.one_side(phrase, target.stems)
                    and not self._both
                ):
                    sides = " and ".join(target.stems)
                    return (
                        f"{' '.join(phrase)}: {sides} are the two sides of one stem, and get the same moves; name both",
                        length,
                    )
                if target.stems:
                    return target, length
                absent = absent if absent[0] else (target, length)
        return absent


def _both_sides(texts: Sequence[str]) -> bool:
    """Whether the two sides of a stem are named one after the other: left guitar and right guitar; not: the left, not the right."""
    places = [[at for at, text in enumerate(texts) if text in side] for side in (("left", "l"), ("right", "r"))]
    if not all(places):
        return False
    first, second = sorted((places[0][0], places[1][0]))
    return second - first <= _BESIDE and any(text in ("and", "&", "+", "/") for text in texts[first:second])


def _words(run: Sequence[Token], tokens: Sequence[Token]) -> list[str]:
    """Return the words that a run begins with; an "at" before a frequency is none of a phrase's: a hum at | 120 Hz."""
    words = [token.text for token in itertools.takewhile(lambda each: each.kind == "word", run)]
    behind = tokens[len(words)].figure if len(tokens) > len(words) else None
    return words[:-1] if words[1:] and words[-1] == "at" and behind is not None and behind.is_frequency else words


def _run(tokens: Sequence[Token]) -> list[Token]:
    """Return the tokens from the first that may be one name: words, and figures without a unit or sign."""
    run: list[Token] = []
    for token in tokens:
        plain = token.figure is not None and token.text.isdigit()
        if token.kind != "word" and not plain:
            break
        run.append(token)
    return run


def _item(where: dict[str, object], senses: Sequence[Sense], target: Target | None) -> Item:
    return Item(**where, senses=tuple(senses), target=target, tags=frozenset(sense.tag for sense in senses))  # type: ignore[arg-type]
