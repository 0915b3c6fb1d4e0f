"""Tokens: a sentence of a note cut into names, words of sound, amounts, directions and what only carries them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from stemwright.notes.exact import spelled
from stemwright.notes.lexicon import FILLERS
from stemwright.notes.targets import Target, TargetError, Targets
from stemwright.recipes.grammar import AMOUNTS, ASKING, DIRECTIONS, NEGATIONS, SOFTENERS
from stemwright.stems.names import split_words

if TYPE_CHECKING:
    from stemwright.recipes.words import Vocabulary

Kind = Literal[
    "target", "word", "amount", "softener", "direction", "number", "separator", "colon", "asking", "negation", "filler",
    "exception", "unknown",
]  # fmt: skip
_STRAIGHT = str.maketrans(
    {"\u201c": '"', "\u201d": '"', "\u201e": '"', "\u2019": "'", "\u2018": "'", "\u2212": "-", "\u2013": "-", "\u2014": ","}
)
_BULLET = re.compile(r"(?m)^\s*(?:[-*\u2022\u00b7>]+\s+|\(?\d{1,2}[.)]\s+)")
_INLINE = re.compile(r"\s\(?\d\)\s")
_END = re.compile(r"[;\n!?]+|\.{2,}|(?<!\d)\.(?=\s|$)|(?<=\d)\.(?=\s+[A-Za-z]|$)|(?<=[a-z])\.(?=[A-Z])")
_PIECES = re.compile(
    r'"(?P<quoted>[^"\n]*)"|(?P<filename>[^\s"]+\.(?:wav|aiff?|flac|mp3|ogg|caf|w64|au)\b)|(?P<colon>:(?!\d))|(?P<comma>[,&/()=])'
    r"|(?P<plus>(?<=\s)[-+]+(?=\s|$|,)|(?<=\s)[-+]{2,}|[-+]+$)"
    r"|(?P<number>[-+@]\s?\d+(?:[.,]\d+)?\s?(?:dbs?\b|khz\b|k\d?\b|hz\b|hertz\b|decibels?\b)?|\d+(?:[.,]\d+)?\s?(?:dbs?|khz|k\d?|hz|hertz|decibels?)\b|\d+(?:[.,:]\d+)+|\d+)|(?P<word>[^\W\d_]+(?:'[^\W\d_]+)?)",
    re.IGNORECASE,
)
_SPLIT_WORDS = {
    ("and",),
    ("but",),
    ("while",),
    ("though",),
    ("although",),
    ("because",),
    ("so",),
    ("then",),
    ("plus",),
    ("also",),
}


@dataclass(frozen=True)
class Token:
    """One thing a sentence says, with where it stands in the text."""

    kind: Kind
    text: str
    start: int
    end: int
    target: Target | None = None
    word: str = ""
    value: float = 1.0
    says_more: bool = False
    problem: str = ""


def sentences_of(text: str) -> list[str]:
    """Cut a note into sentences; bullets and numbers before them go."""
    text = text.translate(_STRAIGHT)
    text = _BULLET.sub("", text)
    text = _INLINE.sub("; ", f" {text}")
    text = text.replace("10/10", "is perfect").replace("\u2705", " is fine; ").replace("\u274c", "; ")
    return [part for each in _END.split(text) if (part := " ".join(each.split()).strip(" ,"))]


@dataclass(frozen=True)
class _Raw:
    kind: str
    text: str
    start: int
    end: int


def tokens_of(sentence: str, targets: Targets, vocabulary: Vocabulary) -> list[Token]:
    """Return the tokens of a sentence, the longest known phrase first."""
    raws: list[_Raw] = []
    for match in _PIECES.finditer(sentence):
        kind, text = match.lastgroup or "", match.group()
        if kind == "word":
            lowered = text.lower()
            short = re.sub(r"'s$|'$", "", lowered) if not lowered.endswith("n't") else lowered.replace("n't", "nt")
            cased = text if not lowered.endswith(("'s", "n't")) else short
            words = split_words(cased) if cased.lower() == short else split_words(short)
            raws += [_Raw("word", word, match.start(), match.end()) for word in words if word]
        elif kind == "number" and text.isdigit():
            raws.append(_Raw("word", text, match.start(), match.end()))
        else:
            raws.append(_Raw(kind, text, match.start(), match.end()))
    found: list[Token] = []
    at = 0
    longest = max([targets.longest, 4, *map(len, vocabulary.forms)])
    while at < len(raws):
        raw = raws[at]
        if raw.kind != "word":
            found.append(_other(raw, targets, vocabulary))
            at += 1
            continue
        run = []
        for each in raws[at : at + longest]:
            if each.kind != "word":
                break
            run.append(each)
        token, taken = _match(run, targets, vocabulary, found[-1].text if found else "")
        found.append(token)
        at += taken
    return found


def _other(raw: _Raw, targets: Targets, vocabulary: Vocabulary) -> Token:
    if raw.kind in ("quoted", "filename"):
        form = vocabulary.forms.get(split_words(raw.text))
        if form is not None:
            return Token("word", raw.text, raw.start, raw.end, word=form[0], says_more=form[1])
        try:
            stems = targets.find(raw.text.strip('"'))
        except TargetError as error:
            if raw.kind == "quoted" and len(raw.text) < 6:
                return Token("filler", raw.text, raw.start, raw.end)
            return Token("unknown", raw.text, raw.start, raw.end, problem=str(error))
        return Token("target", raw.text, raw.start, raw.end, target=Target("stem", raw.text.strip('"'), stems))
    if raw.kind == "plus":
        return Token("direction", raw.text, raw.start, raw.end, value=1.0 if "+" in raw.text else -1.0)
    kind: Kind = {"colon": "colon", "comma": "separator", "number": "number"}[raw.kind]  # type: ignore[assignment]
    return Token(kind, raw.text, raw.start, raw.end)


def _match(run: list[_Raw], targets: Targets, vocabulary: Vocabulary, before: str) -> tuple[Token, int]:
    for length in range(len(run), 0, -1):
        phrase = tuple(each.text for each in run[:length])
        text, start, end = " ".join(phrase), run[0].start, run[length - 1].end
        if phrase in FILTERS:
            return Token("filler", text, start, end), length
        if phrase == ("me",) and before not in SPEAKS_OF_ME:
            return Token("filler", text, start, end), 1
        try:
            target = targets.called(phrase)
        except TargetError as error:
            return Token("unknown", text, start, end, problem=str(error)), length
        form = vocabulary.forms.get(phrase)
        if target is not None and (form is None or (target.stems and target.kind in ("stem", "role", "family"))):
            word = form[0] if form else ""
            return Token("target", text, start, end, target=target, word=word), length
        if form is not None:
            return (
                Token(
                    "word",
                    text,
                    start,
                    end,
                    word=form[0],
                    says_more=form[1],
                    target=target if target and target.stems else None,
                ),
                length,
            )
        for said, table in (("amount", AMOUNTS), ("softener", SOFTENERS), ("direction", DIRECTIONS)):
            if phrase in table:
                return Token(said, text, start, end, value=table[phrase]), length  # type: ignore[arg-type]
        if phrase in ASKING:
            return Token("asking", text, start, end, value=ASKING[phrase]), length
        if phrase in NEGATIONS:
            return Token("negation", text, start, end), length
        if phrase in _SPLIT_WORDS:
            return Token("separator", text, start, end), length
        if phrase in EXCEPT:
            return Token("exception", text, start, end), length
    text = run[0].text
    if text.isdigit():
        return Token("number", text, run[0].start, run[0].end), 1
    kind: Kind = "filler" if text in FILLERS or len(text) == 1 else "unknown"
    return Token(kind, text, run[0].start, run[0].end), 1


FILTERS = {(side, kind) for side in ("low", "high", "hi") for kind in ("pass", "shelf", "cut")}
SPEAKS_OF_ME = ("turn", "more", "less", "hear", "bring", "pull", "push", "than", "cant hear", "with")
EXCEPT = {("except",), ("except", "for"), ("apart", "from"), ("but", "not"), ("other", "than"), ("excluding",)}


def plain(text: str) -> str:
    """Return a piece of text as the patterns have it."""
    return spelled(text.translate(_STRAIGHT))
