"""Targets: what a note may call the stems of a pass: by name, by role, by family, by what several roles are called, or all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

from stemwright.errors import StemwrightError
from stemwright.notes.lexicon import ALL, CANON, GROUPS, ME, NARROW, REST, ROLE_NAMES, WEAK, singular
from stemwright.recipes.problems import nearest, shown
from stemwright.stems.asked import fitting, is_one
from stemwright.stems.names import base_name, pairs, split_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stemwright.recipes.grammar import Phrase

Kind = Literal["stem", "role", "family", "group", "all"]


class Planned(Protocol):
    """What is asked of a plan item: its stem, what it is, and whether it has a file."""

    @property
    def stem(self) -> str:
        """Its name."""

    @property
    def role(self) -> str | None:
        """What it is."""

    @property
    def family(self) -> str | None:
        """Drums, music or vocals."""

    @property
    def status(self) -> str:
        """What the pass made of it."""

    @property
    def deliver_as(self) -> object:
        """The file it has, or None."""


class TargetError(StemwrightError):
    """A target is not known, or means two things."""


@dataclass(frozen=True)
class Target:
    """One name for stems. ``named`` targets were meant one by one; of the others some stems may be passed over."""

    kind: Kind
    name: str
    stems: tuple[str, ...]

    @property
    def named(self) -> bool:
        """Whether every one of its stems was meant."""
        return self.kind in ("stem", "role")

    def __str__(self) -> str:
        return self.name if self.kind in ("stem", "all") else f"{self.kind} {self.name}"


class Targets:
    """All names that the stems of a pass go by.

    Parameters
    ----------
    by_phrase : mapping of phrase to list of Target
        Whole names, as split into words, and roles and families under their own names.
    items : iterable of Planned
        All stems.
    """

    def __init__(self, by_phrase: Mapping[Phrase, list[Target]], items: Iterable[Planned]) -> None:
        self._exact = by_phrase
        plan = list(items)
        self._stems = tuple(item.stem for item in plan)
        self._partner = pairs(list(self._stems))
        self._there = [item for item in plan if item.deliver_as is not None and item.status not in ("failed", "skipped")]
        bags = {item.stem: {canonical(word) for word in split_words(base_name(item.stem))} for item in plan}
        everywhere = set.intersection(*bags.values()) if len(bags) > 2 else set()
        self._bags = {stem: bag - everywhere for stem, bag in bags.items()}
        self._raw = {
            item.stem: {word for word in split_words(base_name(item.stem)) if canonical(word) not in everywhere}
            for item in plan
        }
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

    def exact(self, phrase: Phrase) -> list[Target]:
        """Return the targets of exactly this name."""
        return self._exact.get(phrase, [])

    def whole(self, name: str) -> Target | None:
        """Return the target of a stem's whole name, letter for letter."""
        return next(
            (target for target in self.exact(split_words(name)) if name in target.stems and target.kind == "stem"), None
        )

    def called(self, phrase: Phrase) -> Target | None:
        """Return what people mean by a phrase: whole names first, then roles, groups and the telling words of names.

        Returns
        -------
        Target or None
            With no stems where the phrase names a role or an instrument that the song does not have.

        Raises
        ------
        TargetError
            If it means two things.
        """
        text = " ".join(phrase)
        found = self.exact(phrase)
        alone = self._alone(phrase)
        if found:
            own = [Target("stem", text, alone)] if alone and all(target.kind == "role" for target in found) else []
            return one_of([*found, *own])
        plain = tuple(singular(word) for word in phrase)
        if phrase in ME or plain in ME:
            return self._role_target(text, ROLE_NAMES["vocal",])
        if plain in ALL or phrase in ALL:
            return Target("all", text, tuple(item.stem for item in self._there))
        if alone:
            return Target("stem", text, alone)
        if phrase in GROUPS:
            return Target("group", text, self._group(GROUPS[phrase]))
        by_name = self._named(plain)
        if plain in ROLE_NAMES:
            return self._role(text, plain, by_name)
        if plain in NARROW:
            if by_name:
                return Target("stem", text, by_name)
            role = self._role_target(text, NARROW[plain])
            return (
                role if len(role.stems) <= 1 or plain in (("horn",), ("violin",), ("chord",)) else Target("role", text, ())
            )
        return Target("stem", text, by_name) if by_name else None

    def _role(self, text: str, plain: Phrase, by_name: tuple[str, ...]) -> Target:
        role = self._role_target(text, ROLE_NAMES[plain])
        both = tuple(stem for stem in by_name if stem in role.stems)
        if len(plain) > 1 and both:
            return Target("stem", text, both)
        first = ROLE_NAMES[plain][0]
        if role.stems and not (both and all(item.role != first for item in self._there)):
            return role
        if both:
            return Target("stem", text, both)
        if by_name:
            return Target("stem", text, by_name)
        vocal = [item.stem for item in self._there if item.family == "vocals" and item.role != "vocal sample"]
        if ROLE_NAMES[plain] == ("lead vocal",) and len(self._sides(vocal)) == 1:
            return Target("role", text, tuple(vocal))
        return role

    def _role_target(self, text: str, roles: tuple[str, ...]) -> Target:
        for role in roles:
            stems = [item.stem for item in self._there if (item.role or "").replace("-", " ") == role]
            if stems:
                return Target("role", text, self._sides(stems))
        return Target("role", text, ())

    def _group(self, members: tuple[str, ...]) -> tuple[str, ...]:
        wanted = members
        if wanted[0] in ("keys", "percussion") and any(item.role == wanted[0] for item in self._there):
            wanted = wanted[:1]
        return self._sides(
            item.stem for item in self._there if (item.role or "").replace("-", " ") in wanted or item.family in wanted
        )

    def _alone(self, phrase: Phrase) -> tuple[str, ...]:
        """Return the stems whose telling words are these and no others."""
        there = {item.stem for item in self._there}
        words = {canonical(word) for word in phrase}
        weak = all(word in WEAK for word in words)
        found = [
            stem
            for stem, bag in self._bags.items()
            if stem in there and (self._raw[stem] == set(phrase) if weak else bag == words)
        ]
        return self._sides(found)

    def _named(self, plain: Phrase) -> tuple[str, ...]:
        """Return the stems that have all these words in their names, at least one of them telling."""
        words = {canonical(word) for word in plain}
        if all(word in WEAK or (word.isdigit() and word != "808") for word in words):
            return ()
        stems = [stem for stem, bag in self._bags.items() if words <= bag]
        return self._sides(stem for stem in stems if any(item.stem == stem for item in self._there))

    def _sides(self, stems: Iterable[str]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(side for stem in stems for side in (stem, self._partner.get(stem, stem))))

    def find(self, name: str) -> tuple[str, ...]:
        """Return the stems that a name means.

        Raises
        ------
        TargetError
            If it means nothing, or two things.
        """
        whole = self.whole(name)
        if whole is not None:
            return whole.stems
        found = self.called(split_words(name))
        if found is None or not found.stems:
            fits = fitting(name, dict.fromkeys(self._stems))
            if is_one(fits):
                return fits
            if fits:
                raise TargetError(f"{shown(name)} fits several stems; give one of: {', '.join(fits)}")
            near = nearest(name, [*self._stems, *self.names])
            meant = f"did you mean {shown(near)}? " if near and near.casefold() != name.casefold() else ""
            raise TargetError(
                f"no stem, role or family has this name ({shown(name)}); {meant}stems: {', '.join(self._stems)}"
            )
        return found.stems


def canonical(word: str) -> str:
    """Return a word of a stem's name as the tables have it: short forms written out, no plural."""
    word = CANON.get(word, word)
    return CANON.get(singular(word), singular(word))


def is_rest(phrase: Phrase) -> bool:
    """Whether a phrase means all that the note did not name."""
    return tuple(singular(word) for word in phrase) in REST


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


def targets_of(items: Iterable[Planned]) -> Targets:
    """Gather the names that the stems of a plan go by.

    Parameters
    ----------
    items : iterable of Planned
        A pass. Stems without a file in it (skipped, failed) have their own names only.

    Returns
    -------
    Targets
    """
    plan = list(items)
    stems = [item.stem for item in plan]
    partner = pairs(stems)
    found: dict[Phrase, list[Target]] = {}

    def add(kind: Kind, name: str, phrases: Iterable[Phrase], of: Iterable[str]) -> None:
        together = {side for stem in of for side in (stem, partner.get(stem, stem))}
        target = Target(kind, name, tuple(sorted(together)))
        for phrase in dict.fromkeys(phrases):
            if phrase and target.stems:
                found.setdefault(phrase, []).append(target)
                found.setdefault((kind, *phrase), []).append(target)

    for stem in stems:
        bare = stem.removesuffix(stem[len(stem) - len(_ending(stem)) :]) if _ending(stem) else stem
        add("stem", stem, [split_words(stem), split_words(bare), split_words(base_name(stem))], [stem])
    there = [item for item in plan if item.deliver_as is not None and item.status not in ("failed", "skipped")]
    for role in dict.fromkeys(item.role for item in there if item.role):
        add("role", role, [split_words(role)], [item.stem for item in there if item.role == role])
    for family in dict.fromkeys(item.family for item in there if item.family):
        add("family", family, [(family,)], [item.stem for item in there if item.family == family])
    return Targets(found, plan)


def _ending(stem: str) -> str:
    last = stem.rsplit("/", 1)[-1]
    return last[len(base_name(last)) :]
