"""Song words: what all of a song's files share says nothing about any of them; and which lettering the song uses.

Conventions
-----------
Common words are dropped at their first place only, so that of "Bells_140_Bells" one is left. A song of fewer than four files has
no common words. Where dropping leaves most names without a word that says something, only those are
dropped that say nothing themselves or stand in a title of several words.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stemwright.recipes.letterings import codes_of, marks_of
from stemwright.recipes.shared_runs import FEWEST_FILES, MOST, Runs
from stemwright.stems.names import split_words, words_of
from stemwright.stems.people import PEOPLE
from stemwright.stems.short_forms import (
    ALONE,
    ALWAYS,
    BESIDE,
    CODES,
    EIGHTS,
    INITIALS,
    MACHINES,
    MICROPHONES,
    PLAYED,
    STRUCK,
    WITHOUT,
)
from stemwright.stems.vocabulary import MODIFIERS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.recipes.library import Library
    from stemwright.recipes.spelling import Speller, Words

_DONE = PLAYED | STRUCK
RHYTHM = frozenset({"kick", "snare", "drum", "hat", "guitar", "808"})
BAND = frozenset({"drum", "hat", "guitar", "808", "clap", "bass guitar"})
KIT = frozenset({"kick", "snare"})
# Beside a kit "T2 trig" is a tom: the letter, a number, and words for where the microphone stands.
SIDES = frozenset(
    {
        "t",
        "l",
        "r",
        "top",
        "bottom",
        "btm",
        "mic",
        "spot",
        "close",
        "trig",
        "samp",
        "sample",
        "smp",
        "gated",
        "over",
        "under",
        "tk",
        "take",
        "comp",
        "print",
    }
)
MIX = ("mix",)
SOPRANO, BARITONE = "soprano", "bari"
SUNG_SO = frozenset({"lead", "ld", "main", "backing", "bg", "bkg", "dbl", "double", "harm", "hrm"})  # never a cello
SUNG_PARTS = frozenset({"verse", "hook", "chorus", "bridge", "lead", "adlib", "adlibs", "refrain"})
PARTS = (frozenset({"alto", "alt"}), frozenset({"tenor", "ten"}))


@dataclass(frozen=True, kw_only=True)
class SongWords:
    """What a song's names have in common.

    Parameters
    ----------
    common : tuple of str
        Words that every file has, in the order of the first.
    runs : Runs, optional
        What most of the files, or of one folder's, begin and end with.
    titles : tuple of tuple of str
        The song's own names, and its word for the mix where most files have it ("MX"); dropped where another word is left.
    folders : frozenset of str
        Folders that say nothing, by their paths.
    uppers : frozenset of str
        Folders of folders that say something.
    codes : mapping of str to str
        What the song's two-letter words mean.
    heard : frozenset of str
        What the words of all its files mean.
    marks : frozenset of str
        Letters that end several names and say nothing: whose take it is.
    written : frozenset of str
        The words themselves.
    unblown : frozenset of str
        The same of those files that are no saxophone.
    blown : frozenset of frozenset of str
        What the words of each that is one mean.
    """

    common: Words = ()
    runs: Runs | None = None
    titles: tuple[Words, ...] = ()
    folders: frozenset[str] = frozenset()
    uppers: frozenset[str] = frozenset()
    codes: dict[str, str] = field(default_factory=dict)
    heard: frozenset[str] = frozenset()
    marks: frozenset[str] = frozenset()
    written: frozenset[str] = frozenset()
    unblown: frozenset[str] = frozenset()
    blown: frozenset[frozenset[str]] = frozenset()

    @property
    def sings_in_parts(self) -> bool:
        """Whether a soprano stands beside an alto or a tenor, and no saxophone but such as is called so."""
        alto, tenor = (bool(self.unblown & each) for each in PARTS)
        if not self.blown:
            return SOPRANO in self.heard and (alto or tenor)
        named = all(not each.isdisjoint(frozenset({SOPRANO, BARITONE}).union(*PARTS)) for each in self.blown)
        return SOPRANO in self.unblown and (named or (alto and tenor))

    @property
    def is_orchestral(self) -> bool:
        """Whether bowed strings are heard in several parts, and no band."""
        return len(self.heard & {"violin", "viola", "cello"}) > 1 and self.heard.isdisjoint(BAND)

    def short_form(self, word: str) -> str | None:
        """Return what a short form means in this song; None if it means here what it means anywhere."""
        hung = word == "oh" and not MICROPHONES.isdisjoint(self.heard)
        if (
            word in self.codes
            and not hung
            and self.codes[word] not in (self.heard if word == "b" and "bs" not in self.codes else ())
        ):
            return self.codes[word]  # beside a bass "b 3" is another instrument
        heard = self.heard | self.written
        return next((meaning for others, meaning in BESIDE.get(word, ()) if not others or others & heard), None)

    def spelt_out(self, words: Words, *, alone: bool) -> Words:
        """Return a name with its short forms spelt out.

        Those that mean nothing without the song's others are read only where the name has no other word but such as say how,
        where or which one. ``alone``: whether the name stands in no folder that says something.
        """
        whole = [word for word in words if not word.isdigit()]
        kept = next((at for at, word in enumerate(whole) if word in WITHOUT), len(whole))
        if alone and kept == 1 and whole[0] in ALONE:
            return tuple(ALONE.get(word, word) for word in words)
        if "t" in whole and SIDES.issuperset(whole) and len(whole) < len(words) and self.heard & KIT:
            return tuple("tom" if word == "t" else word for word in words)
        said = [
            word
            for word in whole
            if word not in self.marks
            and word not in PEOPLE
            and (word not in MODIFIERS or word in BESIDE or word in self.codes)
        ]
        if INITIALS.intersection(whole) and not SUNG_PARTS.isdisjoint(whole):
            return words
        saying = [word for word in said if word not in _DONE and (len(word) > 1 or word in BESIDE or word in self.codes)]
        saying = saying or said or list(words)
        meant = {
            word: "vocal" if word == "vcl" and not SUNG_SO.isdisjoint(whole) else self.short_form(word) for word in saying
        }
        sure = None not in meant.values()
        spelt = [(meant.get(word) if sure or word in ALWAYS else None) or word for word in words]
        for at, word in enumerate(words):
            if word == "oh" and at and words[at - 1] in MACHINES | EIGHTS:
                spelt[at] = word
        return tuple(spelt)

    def own(self, stem: str) -> Words:
        """Return the words of a file's name that are its own."""
        return self.left(words_of(stem))

    def left(self, name: Words) -> Words:
        """Return the words of a name that are left without what the song's files share."""
        words = list(name)
        for common in self.common:
            if common in words:
                words.remove(common)
        if self.runs:
            words = list(self.runs.left(tuple(words)))
        for title in self.titles:
            rest = _without(words, title)
            words = rest or words
        return tuple(words)

    def folder(self, stem: str) -> Words:
        """Return the words of the folder a file lies in, if they say something."""
        parent = PurePosixPath(stem).parent
        if str(parent) in self.folders:
            return ()
        upper = split_words(parent.parent.name) if str(parent.parent) in self.uppers else ()
        return (*upper, *split_words(parent.name))


def song_words(stems: Iterable[str], library: Library, titles: Iterable[str] = ()) -> SongWords:
    """Find what a song's names have in common.

    Parameters
    ----------
    stems : iterable of str
        All of them.
    library : Library
        Knows which words say something.
    titles : iterable of str
        The song's own names: the sheet's, the folder's.

    Returns
    -------
    SongWords
    """
    names = list(stems)
    speller = library.speller
    every = [words_of(name) for name in names]
    common: Words = ()
    written = tuple(words for words in (split_words(title) for title in titles) if words)
    if len(every) >= FEWEST_FILES:
        had = Counter(every[0])
        for words in every[1:]:
            had &= Counter(words)
        common = tuple(word for word in dict.fromkeys(every[0]) for _ in range(had[word]))
        codes = frozenset().union(*CODES.values())
        left = [SongWords(common=common).own(name) for name in names]
        if sum(_says(words, speller) or not codes.isdisjoint(words) for words in left) < MOST * len(left):
            named = {word for title in written if len(title) > 1 for word in title}
            common = tuple(word for word in common if word in named or not speller.knows(word))
    shared = SongWords(common=common).own
    runs = Runs([(name, shared(name)) for name in names], library.families)
    usual = SongWords(common=common, runs=runs).own
    rest = [usual(name) for name in names]
    known = tuple(
        title for title in written if sum(_without(list(words), title) != list(words) for words in rest) * 2 > len(rest) > 1
    )
    often = Counter(word for words in rest for word in set(words) if speller.meaning(word) == MIX)
    known += tuple((word,) for word in sorted(often) if often[word] >= max(FEWEST_FILES, MOST * len(rest)))
    episodes = (pair for title in written for pair in pairwise(title) if pair[0] == "ep" and pair[1].isdigit())
    found = SongWords(common=common, runs=runs, titles=(*known, *episodes))
    own = list(map(found.own, names))
    meant = [frozenset(each for word in words for each in speller.meaning(word)) for words in own]
    return SongWords(
        common=common,
        runs=runs,
        titles=found.titles,
        folders=_idle(names, written, speller),
        uppers=_uppers(names, written, speller),
        codes=codes_of(own),
        heard=frozenset().union(*meant),
        marks=marks_of(own, speller),
        written=frozenset().union(*own),
        blown=frozenset(each for each in meant if "saxophone" in each),
        unblown=frozenset().union(*(each for each in meant if "saxophone" not in each)),
    )


def _says(words: Words, speller: Speller) -> bool:
    return any(speller.knows(word) for word in words if len(word) > 2 or not word.isdigit())


def _without(words: list[str], run: Words) -> list[str]:
    for at in range(len(words) - len(run) + 1):
        if tuple(words[at : at + len(run)]) == run:
            return words[:at] + words[at + len(run) :]
    return words


def _idle(names: list[str], titles: tuple[Words, ...], speller: Speller) -> frozenset[str]:
    """Return the folders that hold every file or are called like the song, unless they say one thing only ("Vocals")."""
    folders = {str(PurePosixPath(name).parent) for name in names}
    found = set()
    for folder in folders:
        words = split_words(PurePosixPath(folder).name)
        if words in titles or (len(folders) == 1 and len(words) > 1) or not _says(words, speller):
            found.add(folder)
    return frozenset(found)


def _uppers(names: list[str], titles: tuple[Words, ...], speller: Speller) -> frozenset[str]:
    """Return the folders above a file's own that do not hold every file, are not called like the song, and say something."""
    above = [set(PurePosixPath(name).parents) for name in names]
    some = {folder for folders in above for folder in folders if not all(folder in each for each in above)}
    words = {folder: split_words(folder.name) for folder in some}
    return frozenset(str(folder) for folder in some if words[folder] not in titles and _says(words[folder], speller))
