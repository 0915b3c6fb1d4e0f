"""Targets: what a note may call the stems of a pass: by name, by role, by family, by what several roles are called, or all."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from stemwright.errors import StemwrightError
from stemwright.notes.callnames import LIGHT, CallNames
from stemwright.notes.numbered import of_number, of_track, with_a_number
from stemwright.recipes.problems import nearest, shown
from stemwright.stems.asked import bare, fitting, is_one
from stemwright.stems.names import base_name, pairs, split_words, without_accents

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from stemwright.notes.planned import Planned
    from stemwright.recipes.grammar import Phrase

MANY = 2
ONE_SIDE = ("left", "right")
TargetKind = Literal["stem", "role", "family", "group", "all"]


class TargetError(StemwrightError):
    """A target is not known, or means two things."""


@dataclass(frozen=True)
class Target:
    """One name for stems. ``named`` targets were meant one by one; of the others some stems may be passed over."""

    kind: TargetKind
    name: str
    stems: tuple[str, ...]

    @property
    def named(self) -> bool:
        """Whether every one of its stems was meant."""
        return self.kind in ("stem", "role")

    def __str__(self) -> str:
        return self.name if self.kind in ("stem", "all") else f"{self.kind} {self.name}"


KIT = ("kick", "snare", "toms", "hats", "cymbals", "rim", "drum bus")  # what "drums" takes in beside a stem of that name


class Targets:
    """All names that the stems of a pass go by.

    Parameters
    ----------
    by_phrase : mapping of phrase to list of Target
        Whole names, as split into words, and roles and families under their own names.
    items : iterable of Planned
        All stems.
    by : str, optional
        Who speaks: "my guitar" is the one that has this name in its own.
    """

    def __init__(self, by_phrase: Mapping[Phrase, list[Target]], items: Iterable[Planned], by: str | None = None) -> None:
        self._exact = by_phrase
        self._by = frozenset(split_words(by or ""))
        plan = list(items)
        self._stems = tuple(item.stem for item in plan)
        there = _with_files(plan)
        self._roles = {item.stem: (item.role, item.family) for item in plan}
        self._everything = tuple(item.stem for item in there)
        self._names = CallNames([(item.stem, item.role, item.family) for item in there], pairs(list(self._stems)))
        self._said = functools.cache(self._names.said)  # the words of a note are looked at several times
        self._longest = max([4, *map(len, self._exact)])

    @property
    def longest(self) -> int:
        """Words in the longest name."""
        return self._longest

    @property
    def names(self) -> list[str]:
        """Every name, for suggestions."""
        return [" ".join(phrase) for phrase in self._exact]

    @property
    def stems(self) -> tuple[str, ...]:
        """Every stem."""
        return self._stems

    @property
    def everything(self) -> Target:
        """Every stem that has a file."""
        return Target("all", "everything", self._everything)

    def role_of(self, stem: str) -> tuple[str | None, str | None]:
        """Return what a stem is: its role and family."""
        return self._roles[stem]

    def called(self, phrase: Phrase) -> Target | None:
        """Return what people mean by a phrase: whole names first, then roles, groups and the telling words of names.

        Accents need not be written, or may be where a file's name has none.

        Returns
        -------
        Target or None
            With no stems where the phrase names a role or an instrument that the song does not have.

        Raises
        ------
        TargetError
            If it means two things.
        """
        if not phrase:
            return None
        plain = tuple(map(without_accents, phrase))
        if plain != phrase:
            said = self._called(phrase)
            return said if said is not None and said.stems else self._called(plain) or said
        return self._called(phrase)

    def _called(self, phrase: Phrase) -> Target | None:  # noqa: PLR0911 - one reading after the other
        text = " ".join(phrase)
        found = list(self._exact.get(phrase, []))
        alone = self._names.alone(phrase)
        if found:
            own = self._names.literal(phrase)
            own = own or (self._only_kit(phrase, found[0].stems) if found[0].kind == "family" else ())
            if own and all(target.kind == "family" for target in found):
                return Target("stem", text, own)  # "drums" of a song with a stem Drums and a loop
            named = [target for target in found if target.kind == "stem"]
            rest = [stem for target in found for stem in target.stems if stem not in named[0].stems] if named else []
            alike = any(self._names.is_numbered(stem, phrase) for stem in rest)
            if len(named) == 1 and not alike and all(target.kind in ("stem", "role") for target in found):
                return named[0]  # "hats" of a song with Hats and Open Hat: the stem of that name
            if own and all(target.kind == "role" for target in found):
                others = [stem for target in found for stem in target.stems if stem not in own]
                found.append(Target("stem", text, own))
                written = self._names.is_written(phrase)
                if written or not any(self._names.has_words(stem, phrase) for stem in others):
                    return found[-1] if written else found[0]
                if not self._names.is_one(phrase):
                    return found[0]  # "hats" of a song with hh and open hat: both
            return one_of(found)
        if alone:
            return Target("stem", text, alone)
        numbered = of_track(self._everything, phrase) or self._numbered(phrase)
        if numbered:
            return Target("stem", text, numbered)
        said = self._said(phrase)
        if said is None and len(phrase) > 1 and phrase[0] in ONE_SIDE:
            whole = self.called(phrase[1:])
            side = self._names.of_side(phrase[0], whole.stems) if whole is not None else ()
            return Target("stem", text, side) if side else None
        return None if said is None else Target(said[0], text, said[1])

    def _numbered(self, phrase: Phrase) -> tuple[str, ...]:
        """Return the one stem of those a phrase names that has the number it says: the second hat."""
        said = with_a_number(phrase)
        whole = self.called(said[0]) if said is not None else None
        if said is None or whole is None or len(whole.stems) < MANY:
            return ()
        found = of_number(whole.stems, said[1])
        if not found and said[1] != phrase[-1]:  # spelt out: of figures people mean dB as well
            raise TargetError(f"{' '.join(phrase)}: which one? name one of: {', '.join(whole.stems)}")
        return found

    def _only_kit(self, phrase: Phrase, stems: tuple[str, ...]) -> tuple[str, ...]:
        """Return the one stem of a family with its word in the name, where none of the others is part of a kit."""
        own = self._names.with_word(phrase[0]) if len(phrase) == 1 else ()
        others = [stem for stem in stems if stem not in own]
        fits = set(own) <= set(stems) and not any(self._roles[stem][0] in KIT for stem in others)
        return own if fits else ()

    def mine(self, stems: tuple[str, ...]) -> tuple[str, ...]:
        """Return those of the stems that have a name of who speaks in theirs."""
        return tuple(stem for stem in stems if self._by & set(split_words(base_name(stem))))

    def one_side(self, phrase: Phrase, stems: tuple[str, ...]) -> bool:
        """Whether a phrase that is no stem's whole name names one side of two that are one stem."""
        return phrase not in self._exact and self._names.one_side(phrase, stems)

    def alone(self, word: str) -> bool:
        """Whether a word is a stem's whole name, or that of a role or family."""
        return bool(self._exact.get((word,)) or self._names.alone((word,)))

    def with_word(self, word: str) -> tuple[str, ...]:
        """Return the one stem that has a word in its name, nothing if there are more."""
        return self._names.with_word(word)

    def with_part(self, part: str) -> tuple[str, ...]:
        """Return the one stem whose name has these letters in it, nothing if there are more."""
        return self._names.with_part(part)

    def find(self, name: str) -> tuple[str, ...]:
        """Return the stems that a name means.

        Raises
        ------
        TargetError
            If it means nothing, or two things.
        """
        whole = next(
            (each for each in self._exact.get(split_words(name), []) if name in each.stems and each.kind == "stem"), None
        )
        if whole is not None:
            return whole.stems
        found = self.called(split_words(name))
        if found is None or not found.stems:
            fits = fitting(name, dict.fromkeys(self._stems))
            if is_one(fits):
                return fits
            if fits:
                raise TargetError(f"{shown(name)} fits several stems; give one of: {', '.join(fits)}")
            if self._names.is_all(split_words(name)):
                return self._everything
            near = nearest(name, [*self._stems, *self.names])
            meant = f"did you mean {shown(near)}? " if near and near.casefold() != name.casefold() else ""
            raise TargetError(
                f"no stem, role or family has this name ({shown(name)}); {meant}stems: {', '.join(self._stems)}"
            )
        return found.stems


def one_of(found: list[Target]) -> Target:
    """Return the one target of several readings of a name; they may differ in kind, not in stems.

    Raises
    ------
    TargetError
        If they do.
    """
    if len({frozenset(target.stems) for target in found}) > 1:
        listed = " and ".join(f"the {each.kind} {each.name} ({', '.join(each.stems)})" for each in found)
        raise TargetError(
            f"two things have this name: {listed}; write the file's whole name in quotes, or 'role' or 'family' before it"
        )
    return next((target for target in found if target.named), found[0])


def targets_of(items: Iterable[Planned], by: str | None = None) -> Targets:
    """Gather the names that the stems of a plan go by.

    Parameters
    ----------
    items : iterable of Planned
        A pass. Stems without a file in it (skipped, failed) have their own names only.
    by : str, optional
        Who speaks.

    Returns
    -------
    Targets
    """
    plan = list(items)
    stems = [item.stem for item in plan]
    partner = pairs(stems)
    found: dict[Phrase, list[Target]] = {}

    def add(kind: TargetKind, name: str, phrases: Iterable[Phrase], of: Iterable[str]) -> None:
        together = {side for stem in of for side in (stem, partner.get(stem, stem))}
        target = Target(kind, name, tuple(sorted(together)))
        for phrase in dict.fromkeys(phrases):
            if phrase and target.stems:
                found.setdefault(phrase, []).append(target)
                found.setdefault((kind, *phrase), []).append(target)

    for stem in stems:
        add("stem", stem, [split_words(stem), split_words(bare(stem)), split_words(base_name(stem))], [stem])
    there = _with_files(plan)
    for role in dict.fromkeys(item.role for item in there if item.role):
        add("role", role, [split_words(role)], [item.stem for item in there if item.role == role])
    for family in dict.fromkeys(item.family for item in there if item.family):
        if family == "drums" and all(item.role in LIGHT for item in there if item.family == family):
            continue  # a shaker is no drums
        of = [item.stem for item in there if item.family == family and item.role != "vocal sample"]
        add("family", family, [(family,)], of or [item.stem for item in there if item.family == family])
    return Targets(found, plan, by)


def _with_files(plan: Sequence[Planned]) -> list[Planned]:
    return [item for item in plan if item.deliver_as is not None and item.status not in ("failed", "skipped")]
