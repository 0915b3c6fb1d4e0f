"""Pieces: a sentence parted at commas and joining words, each piece with its targets and what is said of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.notes.exact import numbers_in, spelled
from stemwright.notes.tokens import Token, tokens_of

if TYPE_CHECKING:
    from stemwright.notes.targets import Target, Targets
    from stemwright.recipes.words import Vocabulary

CONTENT = ("word", "number", "direction", "asking", "negation", "unknown")


@dataclass(frozen=True)
class Piece:
    """Part of a sentence: its text, its tokens, its text without the names of stems, and what it leaves out."""

    text: str
    tokens: tuple[Token, ...]
    plain: str
    left_out: tuple[Target, ...] = ()
    after_colon: bool = False

    @property
    def targets(self) -> list[Token]:
        """The tokens that name stems."""
        return [token for token in self.tokens if token.kind == "target"]

    def of(self, kind: str) -> list[Token]:
        """Return the tokens of a kind."""
        return [token for token in self.tokens if token.kind == kind]


def pieces_of(sentence: str, targets: Targets, vocabulary: Vocabulary) -> list[Piece]:
    """Part a sentence into pieces.

    Parameters
    ----------
    sentence : str
        One sentence of a note.
    targets : Targets
        The names the pass's stems go by.
    vocabulary : Vocabulary
        The words in reach.
    """
    sentence = spelled(sentence)
    tokens = tokens_of(sentence, targets, vocabulary)
    groups: list[tuple[list[Token], str]] = []  # tokens, and what parts them from the next
    current: list[Token] = []
    for token in tokens:
        if token.kind in ("separator", "colon", "exception"):
            groups.append((current, "except" if token.kind == "exception" else token.text))
            current = []
        else:
            if token.kind == "target" and _begins_anew(current, tokens, token):
                groups.append((current, ";"))
                current = []
            current.append(token)
    groups.append((current, ""))
    return [
        _piece(sentence, *each) for each in _joined(sentence, [group for group in groups if group[0] or group[1] == ":"])
    ]


def _begins_anew(before: list[Token], tokens: list[Token], token: Token) -> bool:
    """Whether a second name begins a piece of its own: hats darker kick brighter."""
    if not before or before[0].kind != "target" or not any(each.kind == "word" for each in before):
        return False
    after = tokens[tokens.index(token) + 1 :][:1]
    return bool(after) and after[0].kind in ("word", "direction", "amount") and before[-1].kind == "word"


def _joined(sentence: str, groups: list[tuple[list[Token], str]]) -> list[tuple[list[Token], tuple[Target, ...]]]:
    found: list[tuple[list[Token], tuple[Target, ...]]] = []
    carry: list[Token] = []
    out: list[Target] = []
    leaving_out = False
    head: list[Token] = []
    after = ""
    for tokens, next_after in groups:
        parted, after = after, next_after
        names = [token for token in tokens if token.kind == "target"]
        content = [token for token in tokens if token.kind in CONTENT]
        if leaving_out and names:
            out += [token.target for token in names[:1] if token.target is not None]
            tokens = [token for token in tokens if token is not names[0]]  # noqa: PLW2901 - the exception is dealt with
            names = names[1:]
            leaving_out = after in ("and", ",", ":") and not content
            if leaving_out:
                head = [*carry] if after == ":" else head
                leaving_out = after != ":"
                continue
        if names and not content and after and not _says_something(sentence, tokens):
            carry += tokens
            leaving_out = leaving_out or (after in ("except", "but") and _many(names))
            head = [*carry] if after == ":" else head
            continue
        if (
            names
            and not content
            and not after
            and found
            and not carry
            and _joins(parted)
            and not _says_something(sentence, tokens)
        ):
            found[-1] = ([*found[-1][0], *tokens], found[-1][1])
            continue
        if after == "except" and names and _many(names):
            carry += tokens
            leaving_out = True
            continue
        if not tokens and not carry:
            continue
        if found and _adds_numbers(sentence, tokens) and not carry and not names:
            found[-1] = ([*found[-1][0], *tokens], found[-1][1])
            continue
        whole = [*carry, *tokens]
        if head and not carry and not names and not any(token.kind == "target" for token in whole):
            whole = [*head, *whole]
        found.append((whole, tuple(out)))
        carry = []
        out = out if leaving_out else []
    if carry and found and not (head and not found):
        found[-1] = ([*found[-1][0], *carry], (*found[-1][1], *out))
    elif carry:
        found.append((carry, tuple(out)))
    elif out and found:
        found[-1] = (found[-1][0], (*found[-1][1], *out))
    return found


def _says_something(sentence: str, tokens: list[Token]) -> bool:
    text = f" {_masked(sentence, tokens)} ".lower()
    return any(
        f" {word} " in text
        for word in (
            "love",
            "loved",
            "enjoy",
            "dig",
            "fine",
            "perfect",
            "great",
            "good",
            "lovely",
            "is",
            "are",
            "like",
            "before",
            "revert",
            "undo",
            "leave",
            "hold",
            "keep",
            "version",
            "mute",
            "wider",
        )
    )


def _joins(parted: str) -> bool:
    return parted in ("and", ",", "&", "plus")


def _many(names: list[Token]) -> bool:
    return any(token.target is not None and token.target.kind in ("all", "family", "group") for token in names)


def _adds_numbers(sentence: str, tokens: list[Token]) -> bool:
    """Whether a piece only says more about the exact request before it: ``Q 1.4``, ``narrow``, ``-6``."""
    text = _masked(sentence, tokens).lower()
    words = {token.text.lower() for token in tokens}
    numbers = numbers_in(text)
    softened = any(token.kind == "softener" for token in tokens) and all(
        token.kind in ("softener", "filler", "amount") for token in tokens
    )
    return (
        softened
        or words == {"narrow"}
        or numbers.q is not None
        or (
            numbers.gain_db is not None
            and not numbers.freq_hz
            and all(token.kind in ("number", "filler", "amount") for token in tokens)
        )
    )


def _masked(sentence: str, tokens: list[Token]) -> str:
    """Return what the tokens say without the names of stems; a colon's head and a list before it are names only."""
    text = sentence
    for token in tokens:
        if token.kind == "target" and token.text != "notch":
            text = text[: token.start] + " " * (token.end - token.start) + text[token.end :]
    own = [token for token in tokens if token.kind != "target"] or tokens
    return text[min(token.start for token in own) : max(token.end for token in own)]


def _piece(sentence: str, tokens: list[Token], out: tuple[Target, ...]) -> Piece:
    tokens = sorted(tokens, key=lambda token: token.start)
    own = [token for token in tokens if token.kind != "target"] or tokens
    names = [token for token in tokens if token.kind == "target" and token.end <= own[0].start]
    gap = bool(names) and (":" in sentence[names[-1].end : own[0].start])
    start = own[0].start if gap else tokens[0].start
    text = " ".join(sentence[start : tokens[-1].end].split())
    if gap:
        text = f"{' and '.join(sentence[token.start : token.end] for token in names)}: {text}"
    return Piece(text, tuple(tokens), " ".join(_masked(sentence, tokens).lower().split()), out)
