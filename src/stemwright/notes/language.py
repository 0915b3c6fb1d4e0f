"""The note language: each clause a target and what is asked of it. Small, predictable, and never guessing.

Grammar
-------
::

    note    = clause { ( ";" | line's end | ". " ) clause }
    clause  = target ":" ask { join ask }        piano: a little more bite, but subtle
            | ask on target, in any order        less harsh on the hats · hats less harsh
    target  = names { ("," | "and") names } [ ("but" | "except") names ]
    names   = a stem, with or without its ending · a role · drums, music, vocals · keys, synths · all, everything
    ask     = [ amount ] direction word · a form that says more (brighter, louder) · word and dB (bite +2 dB) · dB alone
    join    = "," · "and" · "but" · "with"

Amounts are a touch (a quarter), a little (half), a plain more (1) and a lot (2); "but subtle" halves. Directions are more,
not enough, and less, too, not so. ``+2 dB`` sets the largest move of the word to that many dB. dB alone is level.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stemwright.errors import StemwrightError
from stemwright.notes.tokens import Clause, Token, clauses_of
from stemwright.recipes.problems import shown
from stemwright.recipes.reading import LONGEST_NAME

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.notes.targets import Target, Targets
    from stemwright.recipes.words import Vocabulary

LEVEL_WORD = "loud"
LONGEST_NOTE = 2000
MOST_DB = 12.0
MOST_LISTED = 20
HOW = "piano: a little more bite"


def checked_name(by: str | None) -> str | None:
    """Return a person's name as it goes into manifests; None stays None.

    Raises
    ------
    NoteError
        If it is empty, very long, or has characters that cannot be seen.
    """
    if by is None:
        return None
    name = " ".join(by.split())
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise NoteError(f"--by {shown(by)!r}: a name has 1 to {LONGEST_NAME} characters, all of which can be seen")
    return name


class NoteError(StemwrightError):
    """A note that is not understood as a whole; the message has what was understood, what was not, and the nearest words."""


class _ClauseError(Exception):
    """Why one clause is not understood."""


@dataclass(frozen=True, kw_only=True)
class Ask:
    """One thing asked of some stems.

    ``amount`` is signed, 1 a plain "more"; ``gain_db``, signed too, is there instead where dB were written. ``named``: every
    one of the stems was meant, so none may be passed over. ``text`` is the clause as written.
    """

    stems: tuple[str, ...]
    named: bool
    word: str
    amount: float
    gain_db: float | None
    text: str


def parse(text: str, targets: Targets, vocabulary: Vocabulary) -> list[Ask]:
    """Understand a note.

    Parameters
    ----------
    text : str
        As the approver said it, with a target in each clause.
    targets : Targets
        The names the pass's stems go by.
    vocabulary : Vocabulary
        The words in reach.

    Returns
    -------
    list of Ask
        In the order they were written.

    Raises
    ------
    NoteError
        If any of it is not understood.
    """
    if len(text) > LONGEST_NOTE:
        raise NoteError(
            f"a note has at most {LONGEST_NOTE} characters, this one has {len(text)} ({len(text.split())} words); "
            "answer it in parts, each a pass"
        )
    asks: list[Ask] = []
    understood: list[str] = []
    problems: list[str] = []
    for clause in clauses_of(text, targets, vocabulary):
        try:
            asks += _clause(clause)
            understood.append(f"  understood: {clause.text}")
        except _ClauseError as error:
            problems.append(f"  not understood: {clause.text}\n    {error}")
    if problems:
        raise NoteError("\n".join(["the note is not understood as a whole, so nothing was done", *understood, *problems]))
    if not asks:
        raise NoteError(f"the note is empty; write a target and what is asked of it, as in {HOW}")
    return asks


def _clause(clause: Clause) -> list[Ask]:
    unknown = [token for token in clause.tokens if token.kind == "unknown"]
    if unknown:
        lines = [f"{shown(each.text)}: {each.problem or 'no known word, stem or role'}" for each in unknown[:MOST_LISTED]]
        more = [f"and {len(unknown) - MOST_LISTED} more"] if len(unknown) > MOST_LISTED else []
        raise _ClauseError("\n    ".join([*lines, *more]))
    named, rest = _split(clause)
    targets, left_out = _target(named)
    stems = tuple(
        dict.fromkeys(stem for target in targets for stem in target.stems if not any(stem in out.stems for out in left_out))
    )
    if not stems:
        raise _ClauseError("no stem is left after the exceptions")
    return _asks(rest, stems, named=all(target.named for target in targets), text=clause.text)


def _split(clause: Clause) -> tuple[list[Token], list[Token]]:
    """Part a clause into what names stems and what is asked of them."""
    tokens = [token for token in clause.tokens if token.kind != "filler"]
    colons = [number for number, token in enumerate(tokens) if token.kind == "colon"]
    if len(colons) > 1:
        raise _ClauseError("two colons; put a semicolon between the two parts")
    if colons:
        return tokens[: colons[0]], tokens[colons[0] + 1 :]
    at = [number for number, token in enumerate(tokens) if token.kind == "target"]
    if not at:
        raise _ClauseError(f"no stem, role or family in it; write for whom it is, as in {HOW}")
    first, last = at[0], at[-1] + 1
    if any(token.kind not in ("target", "separator", "exception") for token in tokens[first:last]):
        raise _ClauseError("two targets with something asked between them; put a semicolon between the two parts")
    return tokens[first:last], [*tokens[:first], *tokens[last:]]


def _target(tokens: list[Token]) -> tuple[list[Target], list[Target]]:
    included: list[Target] = []
    left_out: list[Target] = []
    current = included
    expected = "target"
    for token in tokens:
        if token.kind == "exception" and token.text != "and" and current is included and included:
            current, expected = left_out, "target"
        elif token.kind == "separator" and expected == "join":
            expected = "target"
        elif token.kind == "target" and token.target is not None and expected == "target":
            current.append(token.target)
            expected = "join"
        else:
            raise _ClauseError(f"{shown(token.text)} does not fit here; name the stems first, as in {HOW}")
    if not included or expected != "join":
        raise _ClauseError(f"no stem, role or family before the colon; write for whom it is, as in {HOW}")
    return included, left_out


def _asks(tokens: list[Token], stems: tuple[str, ...], *, named: bool, text: str) -> list[Ask]:
    asks: list[Ask] = []
    for piece in _pieces(tokens):
        if any(token.kind == "word" for token in piece):
            asks.append(_ask(piece, stems, named=named, text=text))
        elif asks:
            asks[-1] = _amended(asks[-1], piece)
        else:
            asks.append(_level(piece, stems, named=named, text=text))
    if not asks:
        raise _ClauseError(f"nothing is asked of {', '.join(stems)}; say what, as in {HOW}")
    return asks


def _pieces(tokens: Iterable[Token]) -> list[list[Token]]:
    pieces: list[list[Token]] = [[]]
    for token in tokens:
        if token.kind in ("separator", "exception"):
            pieces.append([])
        else:
            pieces[-1].append(token)
    return [piece for piece in pieces if piece]


def _ask(piece: list[Token], stems: tuple[str, ...], *, named: bool, text: str) -> Ask:
    word, direction, amount, gain = (_one(piece, kind) for kind in ("word", "direction", "amount", "db"))
    assert word is not None  # noqa: S101 - the caller looked
    name = word.word or ""
    if direction is None and not word.says_more and (gain is None or not gain.signed):
        raise _ClauseError(
            f"{shown(word.text)} without a direction; write more {word.text}, less {word.text} or {word.text} +2 dB"
        )
    sign = direction.value if direction is not None else 1.0
    if gain is not None:
        if amount is not None or _one(piece, "softener") is not None:
            raise _ClauseError(f"an amount in words and one in dB ({gain.text}); keep one of them")
        if gain.signed and (direction is not None or word.says_more):
            if gain.value * sign < 0:
                raise _ClauseError(f"{gain.text} and {(direction or word).text} point two ways; leave one of them out")
            sign = 1.0
        return Ask(stems=stems, named=named, word=name, amount=sign, gain_db=_limited(gain, sign), text=text)
    softener = _one(piece, "softener")
    scale = (amount.value if amount else 1.0) * (softener.value if softener else 1.0)
    return Ask(stems=stems, named=named, word=name, amount=sign * scale, gain_db=None, text=text)


def _level(piece: list[Token], stems: tuple[str, ...], *, named: bool, text: str) -> Ask:
    gain = _one(piece, "db")
    if gain is None or len(piece) > 1 or not gain.signed:
        said = " ".join(token.text for token in piece)
        raise _ClauseError(f"{shown(said)}: more or less of what? write a word, as in {HOW}, or louder, quieter, +2 dB")
    return Ask(stems=stems, named=named, word=LEVEL_WORD, amount=1.0, gain_db=_limited(gain, 1.0), text=text)


def _amended(ask: Ask, piece: list[Token]) -> Ask:
    """Return the ask before, with an afterthought to its amount: ``but subtle``."""
    scale = 1.0
    for token in piece:
        if token.kind not in ("amount", "softener") or ask.gain_db is not None:
            said = " ".join(each.text for each in piece)
            raise _ClauseError(f"{shown(said)}: of what? say which word it is about")
        scale *= token.value
    return replace(ask, amount=ask.amount * scale)


def _one(piece: list[Token], kind: str) -> Token | None:
    found = [token for token in piece if token.kind == kind]
    if len(found) > 1:
        both = " and ".join(shown(token.text) for token in found)
        raise _ClauseError(f"{both} side by side; put a comma or 'and' between two things asked for")
    return found[0] if found else None


def _limited(gain: Token, sign: float) -> float:
    if not 0.0 < abs(gain.value) <= MOST_DB:
        raise _ClauseError(f"{gain.text} in one go; a note may ask for up to {MOST_DB:g} dB")
    return gain.value * sign
