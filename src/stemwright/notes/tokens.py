"""Tokens: a note cut into clauses, and each clause into names, words, amounts and directions.

Conventions
-----------
Clauses end at a semicolon, a line's end, or a full stop before a space. The longest known phrase wins. Before a colon only
targets are looked for, after it only words; without one a phrase that could be either is an error.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, Literal

from stemwright.notes.targets import Target, TargetError, Targets, one_of
from stemwright.recipes.grammar import (
    ALL,
    AMOUNTS,
    DIRECTIONS,
    EXCEPTIONS,
    FILLERS,
    RESERVED,
    SEPARATORS,
    SOFTENERS,
)
from stemwright.recipes.problems import shown
from stemwright.stems.names import split_words

if TYPE_CHECKING:
    from stemwright.recipes.grammar import Phrase
    from stemwright.recipes.words import Vocabulary

Kind = Literal[
    "target", "word", "amount", "softener", "direction", "db", "separator", "exception", "colon", "filler", "unknown"
]

_PIECES = re.compile(
    r"""(?P<quoted>"[^"\n]*")
      | (?P<db>[-+\u2212]?[0-9]+(?:[.,][0-9]+)?\s*dB\b)
      | (?P<end>[;\n])
      | (?P<colon>:)
      | (?P<comma>[,&])
      | (?P<chunk>[^\s;:,&"]+)
    """,
    re.IGNORECASE | re.VERBOSE,
)
LONGEST_WORD, MOST_NEAR = 40, 3
MOST_SUGGESTED = 10  # difflib takes its time over a song with a thousand stems
_STRAIGHT = str.maketrans({"\u201c": '"', "\u201d": '"', "\u201e": '"', "\u2019": "'", "\u2212": "-"})


@dataclass(frozen=True)
class Token:
    """One thing a clause says.

    ``value`` is the amount, direction (1 or -1) or dB; ``signed`` whether a dB value was written with its sign. ``says_more``
    is set for a form such as "brighter". ``problem`` says why a phrase is not understood.
    """

    kind: Kind
    text: str
    target: Target | None = None
    word: str | None = None
    value: float = 1.0
    signed: bool = False
    says_more: bool = False
    problem: str = ""


@dataclass(frozen=True)
class _Piece:
    kind: str
    text: str
    phrase: Phrase = ()


@dataclass(frozen=True)
class Clause:
    """One clause: as it was written, and its tokens."""

    text: str
    tokens: tuple[Token, ...]


def clauses_of(text: str, targets: Targets, vocabulary: Vocabulary) -> list[Clause]:
    """Cut a note into clauses of tokens.

    Parameters
    ----------
    text : str
        The note.
    targets : Targets
        The names its stems go by.
    vocabulary : Vocabulary
        The words in reach.
    """
    reader = _Reader(targets, vocabulary)
    return [Clause(written, tuple(reader.tokens(pieces))) for written, pieces in _cut(text.translate(_STRAIGHT))]


def _cut(text: str) -> list[tuple[str, list[_Piece]]]:
    found: list[tuple[str, list[_Piece]]] = []
    pieces: list[_Piece] = []
    start = end = 0

    def close(until: int) -> None:
        nonlocal pieces
        if pieces:
            found.append((" ".join(text[start:until].split()), pieces))
            pieces = []

    for match in _PIECES.finditer(text):
        kind, raw = match.lastgroup or "", match.group()
        if kind == "end":
            close(match.start())
            start = match.end()
            continue
        if not pieces:
            start = match.start()
        stopped = kind == "chunk" and raw.endswith((".", "!", "?"))
        raw = raw.rstrip(".!?") if stopped else raw
        end = match.start() + len(raw)
        if kind == "chunk":
            clean = re.sub(r"'s$", "", raw, flags=re.IGNORECASE)
            pieces += [_Piece("word", word, (word,)) for word in split_words(clean)]
        else:
            pieces.append(_Piece(kind, raw))
        if stopped:
            close(end)
    close(end)
    return found


class _Reader:
    def __init__(self, targets: Targets, vocabulary: Vocabulary) -> None:
        self._targets = targets
        self._forms = vocabulary.forms
        self._unknown = 0
        self._longest = max(targets.longest, 4, *map(len, self._forms or [()]))
        self._known = sorted(
            {*targets.names, *(" ".join(form) for form in self._forms), *(" ".join(each) for each in RESERVED - FILLERS)}
        )

    def tokens(self, pieces: list[_Piece]) -> list[Token]:
        colon = next((number for number, piece in enumerate(pieces) if piece.kind == "colon"), None)
        found: list[Token] = []
        at = 0
        while at < len(pieces):
            piece = pieces[at]
            zone = "any" if colon is None else "target" if at < colon else "word"
            if piece.kind != "word":
                found.append(self._other(piece))
                at += 1
                continue
            run = [each.text for each in _while_words(pieces, at)][: self._longest]
            token, taken = self._longest_match(tuple(run), zone)
            found.append(token)
            at += taken
        return found

    def _other(self, piece: _Piece) -> Token:
        if piece.kind == "colon":
            return Token("colon", piece.text)
        if piece.kind == "comma":
            return Token("separator", piece.text)
        if piece.kind == "db":
            if "," in piece.text:
                return Token("unknown", piece.text, problem="a comma in a number; write a decimal point")
            number = re.sub(r"\s*dB$", "", piece.text, flags=re.IGNORECASE)
            return Token("db", piece.text, value=float(number), signed=number[0] in "+-")
        name = piece.text.strip('"')
        try:
            stems = self._targets.find(name)
        except TargetError as error:
            return Token("unknown", piece.text, problem=str(error))
        return Token("target", piece.text, target=Target("stem", name, stems))

    def _longest_match(self, run: Phrase, zone: str) -> tuple[Token, int]:
        for length in range(len(run), 0, -1):
            token = self._match(run[:length], zone)
            if token is not None:
                return token, length
        self._unknown += 1
        near = get_close_matches(run[0][:LONGEST_WORD], self._known, n=MOST_NEAR) if self._unknown <= MOST_SUGGESTED else []
        problem = f"did you mean {' or '.join(map(shown, near))}?" if near else ""
        return Token("unknown", run[0], problem=problem), 1

    def _match(self, phrase: Phrase, zone: str) -> Token | None:
        text = " ".join(phrase)
        said = self._said(phrase, text) if zone != "target" else _joins(phrase, text)
        targets = self._targets.exact(phrase) if zone != "word" else []
        if not targets and said is None and zone != "word":
            targets = self._targets.plural(phrase)
        if not targets:
            return said
        if said is not None and phrase not in ALL and zone != "target":
            problem = f"a target and a word at once; begin the clause with its target and a colon, as in {text}: …"
            return Token("unknown", text, problem=problem)
        try:
            return Token("target", text, target=one_of(targets))
        except TargetError as error:
            return Token("unknown", text, problem=str(error))

    def _said(self, phrase: Phrase, text: str) -> Token | None:
        if phrase in self._forms:
            word, says_more = self._forms[phrase]
            return Token("word", text, word=word, says_more=says_more)
        tables: tuple[tuple[Kind, dict[Phrase, float]], ...] = (
            ("amount", AMOUNTS),
            ("softener", SOFTENERS),
            ("direction", DIRECTIONS),
        )
        for kind, table in tables:
            if phrase in table:
                return Token(kind, text, value=table[phrase])
        return _joins(phrase, text)


def _joins(phrase: Phrase, text: str) -> Token | None:
    if phrase in EXCEPTIONS:
        return Token("exception", text)
    if phrase in SEPARATORS:
        return Token("separator", text)
    return Token("filler", text) if phrase in FILLERS else None


def _while_words(pieces: list[_Piece], start: int) -> list[_Piece]:
    end = start
    while end < len(pieces) and pieces[end].kind == "word":
        end += 1
    return pieces[start:end]
