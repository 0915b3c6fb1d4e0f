"""The note language: what people ask of which stems, in their own order of words. When in doubt it refuses, and helps.

Conventions
-----------
A note is cut into sentences, and a sentence into pieces at commas, "and" and "but". A piece has for whom (stems, as
`stemwright.notes.targets` knows them) and what: a word of sound with more or less, an exact request, a way back, something to
keep away from, or work that is not ours. A piece without a target takes that of the piece before it. A fault that is named is
a fault to lessen. A note is done whole or not at all; what is understood of it is offered as a note of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stemwright.errors import StemwrightError
from stemwright.notes.asks import Ask, PieceError, Said, said_in
from stemwright.notes.elsewhere import APPROVAL, Kind, approves
from stemwright.notes.pieces import Piece, pieces_of
from stemwright.notes.tokens import sentences_of
from stemwright.recipes.problems import shown
from stemwright.recipes.reading import LONGEST_NAME

if TYPE_CHECKING:
    from stemwright.notes.back import Back
    from stemwright.notes.targets import Targets
    from stemwright.notes.tokens import Token
    from stemwright.recipes.words import Vocabulary

LONGEST_NOTE = 2000
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


@dataclass(frozen=True, kw_only=True)
class NotOurs:
    """A piece that no move answers: what it is, and as it was written."""

    kind: Kind
    text: str


@dataclass(kw_only=True)
class Reading:
    """A note understood: what it asks, what it takes back, what it keeps away from, and what it could not answer.

    ``passed_over`` are words that said nothing known and decided nothing; ``problems`` pairs of a piece and why it is not
    understood; ``rest`` the pieces that are, each with its target.
    """

    asks: list[Ask] = field(default_factory=list)
    backs: list[Back] = field(default_factory=list)
    kept_off: list[str] = field(default_factory=list)
    not_ours: list[NotOurs] = field(default_factory=list)
    problems: list[tuple[str, str]] = field(default_factory=list)
    passed_over: list[str] = field(default_factory=list)
    readings: list[str] = field(default_factory=list)
    rest: list[str] = field(default_factory=list)
    approved: bool = False


def read(text: str, targets: Targets, vocabulary: Vocabulary) -> Reading:
    """Read a note; nothing is refused yet.

    Parameters
    ----------
    text : str
        As the approver said it.
    targets : Targets
        The names the pass's stems go by.
    vocabulary : Vocabulary
        The words in reach.

    Returns
    -------
    Reading
    """
    reading = Reading()
    before: tuple[str, ...] = ()
    named: list[str] = []
    open_problem: Piece | None = None
    for sentence in sentences_of(text):
        pieces = pieces_of(sentence, targets, vocabulary)
        if approves(sentence) and not any(piece.of("word") or piece.of("number") or _present(piece) for piece in pieces):
            reading.approved = True
            continue
        for piece in pieces:
            try:
                said = said_in(piece, targets, vocabulary, before, tuple(named))
            except PieceError as error:
                reading.problems.append((piece.text, str(error)))
                present = tuple(
                    dict.fromkeys(
                        stem for token in _present(piece) if token.target is not None for stem in token.target.stems
                    )
                )
                before = present if present and (error.unknown or not before) else before
                open_problem = piece if present and error.unknown else None
                continue
            if open_problem is not None and said.asks and not piece.targets:
                # "guitars too polite, I want them to bite": the second says what the first meant.
                reading.passed_over.append(reading.problems.pop()[0])
            open_problem = open_problem if not piece.targets and not said.asks else None
            _collect(reading, piece, said)
            if said.stems and (said.asks or said.backs or said.kept_off or said.elsewhere or not before):
                before = said.stems
                named += said.stems
    if reading.approved:
        reading.problems = [each for each in reading.problems if not each[1].startswith("for whom")]
    reading.asks = [left for ask in reading.asks if (left := ask.without(reading.kept_off)).stems]
    for ask in reading.asks:
        if ask.wording and ask.wording not in reading.readings:
            reading.readings.append(ask.wording)
    return reading


def _present(piece: Piece) -> list[Token]:
    return [
        token for token in piece.targets if token.target is not None and token.target.stems and token.target.kind != "all"
    ]


def _collect(reading: Reading, piece: Piece, said: Said) -> None:
    reading.asks += said.asks
    reading.backs += said.backs
    reading.kept_off += said.kept_off
    reading.passed_over += said.unknown
    if said.elsewhere is not None:
        reading.not_ours.append(NotOurs(kind=said.elsewhere, text=piece.text))
    elif said.asks or said.backs or said.kept_off:
        reading.rest.append(f"{said.called}: {piece.text}" if said.called else piece.text)


def parse(text: str, targets: Targets, vocabulary: Vocabulary) -> Reading:
    """Understand a note as a whole.

    Parameters
    ----------
    text : str
        As the approver said it.
    targets : Targets
        The names the pass's stems go by.
    vocabulary : Vocabulary
        The words in reach.

    Returns
    -------
    Reading
        With at least one thing to do.

    Raises
    ------
    NoteError
        If any of it is not understood, or is not ours; it names what is which, and offers the rest as a note.
    """
    if len(text) > LONGEST_NOTE:
        raise NoteError(
            f"a note has at most {LONGEST_NOTE} characters, this one has {len(text)} ({len(text.split())} words); "
            "answer it in parts, each a pass"
        )
    reading = read(text, targets, vocabulary)
    done = bool(reading.asks or reading.backs)
    if reading.not_ours or reading.problems or (reading.approved and not done) or not done:
        raise NoteError("\n".join(_refusal(reading, text)))
    return reading


def _refusal(reading: Reading, text: str) -> list[str]:
    lines = [
        f"  not ours: {each.text}\n    {each.kind.what} [{each.kind.name}]: {each.kind.whose}"
        for each in reading.not_ours[:MOST_LISTED]
    ]
    lines += [f"  not understood: {piece}\n    {why}" for piece, why in reading.problems[:MOST_LISTED]]
    if reading.approved:
        lines.append(f"  {APPROVAL.what} [{APPROVAL.name}]: {APPROVAL.whose}")
    if not lines:
        what = "keeps stems as they are, and asks for nothing" if reading.kept_off else "asks for nothing that is known"
        lines = (
            [f"  the note {what}; write a target and what is asked of it, as in {HOW}"]
            if text.strip()
            else [f"  the note is empty; write a target and what is asked of it, as in {HOW}"]
        )
    lines += [f"  understood: {each}" for each in reading.rest[:MOST_LISTED]]
    if reading.asks or reading.backs:
        rest = "; ".join(reading.rest).replace("'", "\u2019")
        lines.append(f"  the rest as one note: stemwright note SONG '{rest}'")
    return ["the note is not answered as a whole, so nothing was done", *lines]
