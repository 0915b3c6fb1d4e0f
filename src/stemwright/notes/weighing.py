"""Weighing: a note as its words were followed, held against its gist. Where both say the same it is done; else the surer counts.

Conventions
-----------
Figures, ways back, what is meant for a place in the song, and one stem over another stand as they were read, unless all of the note
is surely somebody else's work, or it surely asks and only tells of earlier: those are written, not guessed; so do few words that
deny nothing, and lists of such, unless the gist is sure of something else. Figures in a longer note that the gist speaks against are
refused. Of the rest nothing is done that the gist does not bear out for sure. A reading that takes the place of another says so, and
a note that is refused is offered what it may mean.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

from stemwright.notes.accounted import is_accounted
from stemwright.notes.all_but import is_of_all
from stemwright.notes.besides import (
    UNTOUCHED,
    asked_besides,
    asked_of,
    is_borne_out,
    is_plainly_asked,
    refuse_doubtful_praise,
    would_lose,
)
from stemwright.notes.clauses import ARTICLES
from stemwright.notes.elsewhere import OTHER
from stemwright.notes.exact import CUTS
from stemwright.notes.frames import UNDIRECTED
from stemwright.notes.gist.met import has_met
from stemwright.notes.going_back import goes_back, has_figures, is_short, ways_back
from stemwright.notes.history import SHARES
from stemwright.notes.plainly import is_plain, is_plain_amid_talk
from stemwright.notes.restating import asks_of, does, in_words, is_as_offered
from stemwright.notes.understood import NotOurs

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stemwright.notes.frames import Ask
    from stemwright.notes.gist.effects import Effects
    from stemwright.notes.gist.reading import Gist
    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets
    from stemwright.notes.understood import NoteRead

BORNE_OUT: Final = 0.35  # how likely a way has to be for an ask to stand
MEANT: Final = 0.5  # how likely each of its stems has to be meant, and no other may be
BELIEVED: Final = 0.8  # how sure the gist has to be to bear out what a longer note asks
IDLE: Final = 0.1  # a way less likely than this is not meant, where another ask of the stem is
SURE: Final = 0.9  # how sure the gist has to be to take the place of another reading, or of none; or what kind of note it is
CERTAIN: Final = 0.95  # the same where something is said not to be so
KNOWING: Final = 0.97  # the same of words that say too little by themselves, or what cannot be, all of them met before
WORTH_SAYING: Final = 0.6  # of what is offered then, seven in ten are right, of what is less sure three in ten
NOT: Final = frozenset((
    "never", "nor", "neither", "nobody", "not", "wouldnt", "isnt", "arent", "doesnt", "dont", "longer", "far", "without", "no",
))  # fmt: skip
_ABSENT: Final = " in this song; its stems:"
_CERTAINLY: Final = 0.8  # a way this likely has to be among what is done


def is_settled(reading: NoteRead, text: str, items: Sequence[Item | None]) -> bool:
    """Whether a note is written as notes are offered, or as plainly, and understood: it means just that; the whole is not asked."""
    understood = not reading.problems
    return understood and (is_as_offered(text) or (bool(reading.asks) and not reading.backs and is_plain(items)))


def weighed(reading: NoteRead, gist: Gist, sight: tuple[Targets, Effects]) -> NoteRead:
    """Return what is to become of a note, given how its words were read and what it is about as a whole.

    Parameters
    ----------
    reading : NoteRead
        Is changed.
    gist : Gist
    sight : tuple of Targets and Effects
    """
    if not gist.complete or _is_elsewhere(reading, gist) or goes_back(reading, gist, sight[0]):
        return reading
    _weigh(reading, gist, sight)
    refuse_doubtful_praise(reading, gist)
    if not reading.perhaps[1]:
        _offer(reading, gist, sight)
    return reading


def _weigh(reading: NoteRead, gist: Gist, sight: tuple[Targets, Effects]) -> None:
    """Let stand what the gist bears out or has no say in, put what it is sure of in the place of the rest, or refuse."""
    _pass_over_backs(reading, gist)
    if reading.relations and reading.asks and _agree(reading.asks, gist, sight):
        # "backing vocals lower, they poke over the lead": why, and not what
        asked = asked_of(reading)
        reading.relations = [each for each in reading.relations if asked.isdisjoint((*each.front, *each.over))]
    if _doubts_figures(reading, gist, sight) or _as_written(reading, gist):
        return
    understood = bool(reading.asks) and not reading.problems
    denies = _says_not(gist.items)
    plain = is_plain_amid_talk(gist.items)
    if understood and plain and (reading.kept_off or max(map(gist.likely, ("elsewhere", "back", "approval"))) < SURE):
        return
    few = plain or (not denies and (is_short(gist.text) or _is_a_list(reading, gist)))
    if understood and few and (gist.sure < SURE or not gist.meant or _agree(reading.asks, gist, sight)):
        return  # to few words, all of which are understood and deny nothing, the whole has little to add
    if understood and not few and (gist.sure >= BELIEVED or is_short(gist.text)) and _agreed(reading, gist, sight):
        return
    if _asks_nothing_of_ours(reading, gist):
        return
    meant = {each.stem for each in gist.meant}
    undirected = any(UNDIRECTED in why for _, why in reading.problems)
    guessed = is_short(gist.text) and _says_too_little(reading, gist) and (undirected or not _is_certain(gist))
    telling = understood or not guessed
    sure = meant and gist.sure >= (CERTAIN if denies else SURE) and not (understood and would_lose(reading, gist, sight))
    if telling and sure and not meant & set(reading.kept_off):
        _take(reading, gist, sight)
    elif understood:
        words, whole = "; ".join(map(in_words, reading.asks)), _meant(reading, gist, sight)
        both = f"it can be taken in two ways (by its words: {words}; as a whole: {whole}); write the one that is meant"
        alone = f"by its words it asks: {words}; the whole of it does not bear that out; if it is meant, write just that"
        reading.problems.append((gist.text, both if whole not in ("", words) else alone))
        reading.rest = list(map(in_words, reading.asks))


def _pass_over_backs(reading: NoteRead, gist: Gist) -> None:
    """Pass over what only tells of earlier, in a note that almost certainly asks and lets no stem go back: softer, like the old one."""
    if not reading.backs or is_short(gist.text) or gist.likely("asks") < SURE or gist.heard.back.max() >= UNTOUCHED:
        return
    if any(item is not None and item.has("undo", "pass", *SHARES) for item in gist.items):
        return  # those words are for going back alone
    told = [back.text for back in reading.backs]
    reading.taken += [f"taken as told, not asked: {text}" for text in dict.fromkeys(told)]
    reading.rest = list(map(in_words, reading.asks))
    reading.backs = []


def _offer(reading: NoteRead, gist: Gist, sight: tuple[Targets, Effects]) -> None:
    """Offer what a note may mean as a whole, where it is refused and that says more than its words."""
    refused = reading.problems or not (reading.asks or reading.backs)
    ours = not (reading.kept_off or reading.approved or reading.relations or gist.likely("elsewhere") >= SURE)
    if not refused or not ours:
        return
    meant = _meant(reading, gist, sight)
    if meant and meant != "; ".join(map(in_words, reading.asks)):
        reading.perhaps = "for the whole song" if reading.somewhere else "perhaps it means", (meant,)
    elif not meant:
        reading.perhaps = ways_back(gist)


def _meant(reading: NoteRead, gist: Gist, sight: tuple[Targets, Effects]) -> str:
    """Return what a note may mean as a whole, as a note says it; nothing where that is worth nothing."""
    return "; ".join(map(in_words, asks_of(reading, gist, sight))) if gist.sure >= WORTH_SAYING else ""


def _is_a_list(reading: NoteRead, gist: Gist) -> bool:
    """Whether every sentence is short and asks: piano: more bite; drums: a lot tighter; choir: darker."""
    return all(map(is_short, gist.sentences)) and not reading.passed_over and len(reading.rest) >= len(gist.sentences)


def _says_not(items: Sequence[Item | None]) -> bool:
    """Whether a note says of anything that it is not so, or is not to be."""
    ends = [-1, *(number for number, item in enumerate(items) if item is None)]
    sentences = [[item for item in items[start + 1 : end] if item is not None] for start, end in pairwise(ends)]
    return any(
        (item.has("neg", "guard", "leave") or not set(item.text.split()).isdisjoint(NOT))
        and not any(each.has("enough") for each in sentence)
        for sentence in sentences
        for item in sentence
    )


def _is_certain(gist: Gist) -> bool:
    """Whether the whole is as good as certain, of words that it has met: June is a little shy; not: the keys are blorf; nor: keys?."""
    items = [item for item in gist.items if item is not None]
    vague = "?" in gist.text or any(item.has("every") for item in items)
    bare = all(item.names or item.kind != "word" or item.text in ARTICLES for item in items)
    return gist.sure >= KNOWING and not vague and not bare and has_met(items)


def _says_too_little(reading: NoteRead, gist: Gist) -> bool:
    """Whether a short note has a word nobody knows, means everything, names a sound without more or less, or says nothing at all.

    Of such a note the whole can only guess.
    """
    vague = any(item is not None and (item.unknown or item.has("every")) for item in gist.items)
    return vague or not reading.problems or any(UNDIRECTED in why for _, why in reading.problems)


def _is_elsewhere(reading: NoteRead, gist: Gist) -> bool:
    """Take a note for somebody else's work where it almost certainly is nothing else, whatever its words seem to ask on the way."""
    touched = max(gist.heard.meant.max(), gist.heard.back.max()) >= UNTOUCHED
    plain = is_short(gist.text) and bool(reading.asks) and not reading.problems
    if gist.likely("elsewhere") < SURE or touched or plain or _has_exact(reading):
        return False
    if not reading.not_ours:
        reading.not_ours.append(NotOurs(kind=OTHER, text=gist.text))
    reading.asks, reading.backs, reading.relations, reading.problems, reading.rest = [], [], [], [], []
    reading.approved = False
    return True


def _asks_nothing_of_ours(reading: NoteRead, gist: Gist) -> bool:
    """Take a note for what it almost certainly is as a whole: approval, or a way back that is not clear."""
    if gist.touched or reading.not_ours or reading.kept_off:
        return False
    if gist.likely("approval") >= SURE and not is_short(gist.text):
        reading.approved = True
    elif gist.likely("back") >= SURE and reading.asks:
        why = "it goes back, and not clearly to what; write undo, back to pass 2, or half of that"
        reading.problems.append((gist.text, why))
        return True
    else:
        return False
    reading.asks, reading.problems, reading.rest = [], [], []
    return True


def _has_exact(reading: NoteRead) -> bool:
    return any(ask.exact is not None or ask.gain_db is not None for ask in reading.asks)


def _doubts_figures(reading: NoteRead, gist: Gist, sight: tuple[Targets, Effects]) -> bool:
    """Refuse figures in a longer note that were read as what the gist speaks against: 6 to 7k is spitting, a couple of dB out."""
    heard = bool(gist.meant) and not is_short(gist.text)
    figures = _has_exact(reading) and has_figures([item for item in gist.items if item is not None])
    figures = figures and not all(ask.exact is not None and ask.exact.kind in CUTS for ask in reading.asks)
    if not heard or not figures or reading.backs or _agree(reading.asks, gist, sight, unheard=CUTS):
        return False
    items = [item for item in gist.items if item is not None]
    one_of_all = len(reading.asks) == 1 and is_of_all(items) and is_borne_out(reading, gist)
    if not reading.problems and (one_of_all or is_accounted(reading.asks, items)):
        return False  # turn everything but the vocal down 1 dB
    why = "what its figures are for cannot be said for sure; write them plainly, as in: piano: -3 dB at 250 Hz"
    reading.problems.append((gist.text, why))
    reading.asks, reading.rest = [], []
    return True


def _as_written(reading: NoteRead, gist: Gist) -> bool:
    """Whether a note stands as it was read: it has figures, goes back, holds one stem over another, or is refused for good."""
    firm = [why for clause, why in reading.problems if (clause, why) in reading.firm]
    if firm and (is_short(gist.text) or not _is_certain(gist) or any(_ABSENT in why for why in firm)):
        return True
    if reading.backs or reading.relations or reading.somewhere or _has_exact(reading):
        return True
    turned = {(stem, ask.word, ask.amount > 0.0) for ask in reading.asks for stem in ask.stems}
    if len({(stem, word) for stem, word, _ in turned}) < len(turned):
        return True  # more bite, less bite: it comes to nothing
    items = [item for item in gist.items if item is not None]
    if reading.asks and not reading.problems and is_of_all(items):
        return is_borne_out(reading, gist)
    return has_figures(items)


def _agreed(reading: NoteRead, gist: Gist, sight: tuple[Targets, Effects]) -> bool:
    """Whether the gist bears out what a note asks, once words that only tell are passed over."""
    if _agree(reading.asks, gist, sight):
        return True
    likely = {ask: max(gist.likely_way(stem, does(ask, stem, sight)) for stem in ask.stems) for ask in reading.asks}
    left = [ask for ask in reading.asks if likely[ask] >= IDLE]
    still = {stem for ask in left for stem in ask.stems}
    if not asked_of(reading) <= still or not _agree(left, gist, sight):
        return False
    told = [ask for ask in reading.asks if ask not in left and not is_plainly_asked(ask)]
    reading.taken += [f"taken as told, not asked: {in_words(ask)}" for ask in told]
    reading.asks = [ask for ask in reading.asks if ask not in told]
    reading.rest = [in_words(ask) for ask in reading.asks]
    return True


def _agree(asks: Iterable[Ask], gist: Gist, sight: tuple[Targets, Effects], unheard: tuple[str, ...] = ()) -> bool:
    """Whether the gist speaks against no ask and no stem that is meant, and has nothing else that is certain.

    Of kinds of moves that are ``unheard`` it says nothing that counts.
    """
    done: dict[str, set[str]] = {}
    for ask in asks:
        for stem in ask.stems:
            ways = does(ask, stem, sight)
            if ask.exact is not None and ask.exact.kind in unheard:
                done.setdefault(stem, set()).update(ways)
                continue
            if gist.likely_way(stem, ways) < BORNE_OUT or gist.likely_meant(stem) < MEANT:
                return False
            done.setdefault(stem, set()).update(ways)
    if any(gist.likely_meant(stem) >= MEANT for stem in gist.stems if stem not in done):
        return False
    return all(
        gist.likely_way(stem, ways) >= _CERTAINLY or not gist.certain(stem, _CERTAINLY) - ways for stem, ways in done.items()
    )


def _take(reading: NoteRead, gist: Gist, sight: tuple[Targets, Effects]) -> None:
    """Put what the gist has in the place of the reading's asks."""
    asks = [*asks_of(reading, gist, sight), *(() if reading.problems else asked_besides(reading, gist, sight))]
    reading.asks = asks
    reading.problems = []
    reading.approved = False
    reading.rest = [in_words(ask) for ask in asks]
    reading.taken.append(f"taken as: {'; '.join(reading.rest)}")
