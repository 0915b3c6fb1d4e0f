"""The note language: what people ask of which stems, in their own order of words. When in doubt it refuses, and helps.

Conventions
-----------
A note is cut into sentences, and a sentence into clauses where another thing begins (`stemwright.notes.clauses`). A clause has
for whom (stems, as `stemwright.notes.targets` knows them) and what: a word of sound with more or less, an exact request, a way
back, something to keep away from, one stem over another, or work that is not ours. A clause without a name takes the stems of
the one before it. A fault that is named is a fault to lessen. Words around what is understood are passed over and said;
whatever may change it stops the note, unless the note as a whole (`stemwright.notes.gist`) is sure of what is meant; and nothing
but few plain words is done that the whole does not bear out (`stemwright.notes.weighing`). A note is done whole or not at all; what is
understood of it is offered as a note of its own.
"""

from __future__ import annotations

from shlex import quote
from typing import TYPE_CHECKING

from stemwright.errors import StemwrightError
from stemwright.notes.accounted import refuse_unaccounted
from stemwright.notes.all_but import about_the_one_left_out
from stemwright.notes.elsewhere import APPROVAL
from stemwright.notes.frames import Ask as Ask  # noqa: PLC0414 - part of what this module gives
from stemwright.notes.gist.effects import Effects
from stemwright.notes.gist.reading import gist_of, items_of
from stemwright.notes.no_asks import why_no_ask
from stemwright.notes.placed import PlacedConversation
from stemwright.notes.tokens import straight
from stemwright.notes.understood import NoteRead
from stemwright.notes.weighing import is_settled, weighed
from stemwright.recipes.problems import shown
from stemwright.recipes.reading import LONGEST_NAME
from stemwright.recipes.timeline import Timeline

if TYPE_CHECKING:
    from collections.abc import Callable

    from stemwright.notes.targets import Targets
    from stemwright.recipes.words import Vocabulary

LONGEST_NOTE = 2000
MOST_LISTED = 20
HOW = "piano: a little more bite"
NO_TIMELINE = Timeline()


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


def read(text: str, targets: Targets, vocabulary: Vocabulary, timeline: Timeline = NO_TIMELINE) -> NoteRead:
    """Read a note; nothing is refused yet.

    Parameters
    ----------
    text : str
        As the approver said it.
    targets : Targets
        The names the pass's stems go by.
    vocabulary : Vocabulary
        The words in reach.
    timeline : Timeline, optional
        What the session sheet says of time, for what is meant for a place in the song.

    Returns
    -------
    Reading
    """
    text = straight(text)
    idle = why_no_ask(text)
    if idle:
        reading = NoteRead()
        reading.refuse(text, idle)
        return reading
    text = about_the_one_left_out(text)
    reading = PlacedConversation(targets, vocabulary, timeline).read(text)
    said = items_of(text, targets, vocabulary)
    refuse_unaccounted(reading, text, said[1])
    if targets.stems and text.strip() and not is_settled(reading, text, said[1]):
        effects = Effects(vocabulary)
        reading = weighed(reading, gist_of(text, said, reading, targets, effects), (targets, effects))
    for ask in reading.asks:
        if ask.wording and ask.wording not in reading.readings:
            reading.readings.append(ask.wording)
    return reading


def parse(
    text: str,
    targets: Targets,
    vocabulary: Vocabulary,
    timeline: Timeline = NO_TIMELINE,
    offered: Callable[[NoteRead], None] = lambda _: None,
) -> NoteRead:
    """Understand a note as a whole.

    Parameters
    ----------
    text : str
        As the approver said it.
    targets : Targets
        The names the pass's stems go by.
    vocabulary : Vocabulary
        The words in reach.
    timeline : Timeline, optional
        What the session sheet says of time, for what is meant for a place in the song.
    offered : callable, optional
        Finds two ways out, in how the stems sound, for each relation, and for each stem that is said not to be heard.

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
    reading = read(text, targets, vocabulary, timeline)
    offered(reading)
    done = bool(reading.asks or reading.backs)
    if reading.not_ours or reading.problems or reading.relations or (reading.approved and not done) or not done:
        raise NoteError("\n".join(_refusal(reading, text)))
    return reading


def _refusal(reading: NoteRead, text: str) -> list[str]:
    lines = [
        f"  not ours: {each.text}\n    {each.kind.what} [{each.kind.name}]: {each.kind.whose}"
        for each in reading.not_ours[:MOST_LISTED]
    ]
    lines += [f"  not understood: {piece}\n    {why}" for piece, why in reading.problems[:MOST_LISTED]]
    for each in reading.relations[:MOST_LISTED]:
        lines.append(
            f"  one over another: {each.text}\n    {', '.join(each.over)} over {', '.join(each.front)}; two ways, choose one:"
        )
        lines += [f"    {command(offer)}" for offer in each.offers]
    if reading.approved:
        lines.append(f"  {APPROVAL.what} [{APPROVAL.name}]: {APPROVAL.whose}")
    elif reading.keeps_only:
        stems = " ".join(map(quote, dict.fromkeys(reading.kept_off)))
        lines.append(
            f"  leaves as they are, and asks for nothing [{APPROVAL.name}]; to sign off: stemwright keep SONG {stems}"
        )
    if not lines:
        what = "the note asks for nothing that is known" if text.strip() else "the note is empty"
        lines = [f"  {what}; write a target and what is asked of it, as in {HOW}"]
    lines += [f"  understood: {each}" for each in reading.rest[:MOST_LISTED]]
    if reading.asks or reading.backs:
        lines.append(f"  the rest as one note: {command('; '.join(reading.rest))}")
    how, meant = reading.perhaps
    if len(meant) > 1:
        lines += [f"  {how}:", *(f"    {command(each)}" for each in meant)]
    lines += [f"  {how}: {command(each)}" for each in meant if len(meant) == 1]
    return ["the note is not answered as a whole, so nothing was done", *lines]


def command(text: str) -> str:
    """Return the command for a note, safe to paste into a shell whatever stands in the text."""
    return f"stemwright note SONG {quote(text)}"
