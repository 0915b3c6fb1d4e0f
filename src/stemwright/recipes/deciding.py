"""Deciding: of the phrases found in a name the one that says what it is, or a doubt, which the song's other stems may settle."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stemwright.stems.everyday import DONE_TO_IT, EVERYDAY, VAGUE

if TYPE_CHECKING:
    from collections.abc import Callable

    from stemwright.recipes.library import Claim, Library
    from stemwright.recipes.recipe import Phrase, Recipe
    from stemwright.recipes.song_words import SongWords

SAMPLED = "vocal sample"
GUIDES = frozenset({"guide", "reference", "ref", "scratch"})
LOOPED = "loop"
# Of these a bass is the low one ("frame drum bass"), or else a bass that sounds like one ("marimba bass").
STRUCK_LOW = frozenset({"percussion", "toms", "cymbals"})
LOW_OR_BASS = frozenset({"mallets"})
LOW_ONES = frozenset({"bassi", "bajos", "baixos", "basses"})  # a piano's low strings
GROWLED = frozenset({"bass", "lead vocal"})
VOICE_OR_WIND = frozenset({"choir", "woodwinds"})
SUNG_TOGETHER = frozenset({"choir", "backing vocals", "harmonies"})
UPRIGHTS = frozenset({"bass", "piano"})
LEAD_OR_BACKING = frozenset({"backing vocals", "lead vocal"})
LEADS = frozenset({"synth lead", "lead vocal"})
HARMONY_OR_GUITAR = frozenset({"guitar", "harmonies"})
LEAD_OR_GUITAR = frozenset({"guitar", "lead vocal"})
WINDS = frozenset({"woodwinds", "brass"})
GUITARS = frozenset({"guitar", "acoustic guitar"})
# What may be a guitar's or another's, and what that other stands with.
OR_GUITAR: dict[frozenset[str], frozenset[str]] = {
    frozenset({"guitar", "808"}): frozenset({"808", "sub bass"}),
    frozenset({"guitar", "toms"}): frozenset({"brass"}),
}
OF_MACHINES = frozenset({"808", "sub bass", "synth", "pluck", "drum loop"})
LOW_HZ = 45.0
CUT_OFF_RATIO = 2.5
NAME, GENERAL, EVERYDAY_WORD, VAGUE_WORD = range(4)  # how little a phrase says


@dataclass(frozen=True)
class Match:
    """A recipe that takes a stem, the words of the name that did it, and the reason in words."""

    recipe: Recipe
    phrase: Phrase
    why: str


@dataclass(frozen=True)
class Doubt:
    """Readings of one name that exclude each other; none is taken."""

    readings: tuple[Match, ...]

    @property
    def names(self) -> frozenset[str]:
        """The recipes that it leaves."""
        return frozenset(each.recipe.name for each in self.readings)


@dataclass(frozen=True)
class Found:
    """A phrase found in a name: who claims it, and the words as they were written."""

    claims: tuple[Claim, ...]
    written: Phrase

    @property
    def weight(self) -> int:
        """How little it says: 0 for a name, then a general one, an everyday word, and a vague one."""
        if all(claim.general and VAGUE.issuperset(claim.phrase) for claim in self.claims):
            return VAGUE_WORD
        if len(self.written) == 1 and (
            self.written[0] in EVERYDAY
            or all(len(claim.phrase) == 1 and claim.phrase[0] in EVERYDAY for claim in self.claims)
        ):
            return EVERYDAY_WORD
        return GENERAL if all(claim.general for claim in self.claims) else NAME

    @property
    def is_guide(self) -> bool:
        """Whether it says that what follows was played or sung to be played to."""
        return self.recipe_name == "reference" and all(claim.phrase[0] in GUIDES for claim in self.claims)

    @property
    def is_voices(self) -> bool:
        """Whether it says who is heard singing; a verse, bars and a dub are of the song or of a style ("loop 4 bars")."""
        return self.families == {"vocals"} and (self.weight <= GENERAL or self.recipe_name in SUNG_TOGETHER)

    @property
    def is_done_to_it(self) -> bool:
        """Whether it says only what was done to something, or that a part was played."""
        return all(DONE_TO_IT.issuperset(claim.phrase) for claim in self.claims)

    @property
    def families(self) -> set[str | None]:
        """The families of who claims it."""
        return {claim.recipe.family for claim in self.claims}

    @property
    def is_double(self) -> bool:
        """Whether it is an everyday word for a voice doubled, which is what it is of whatever voice ("low growl dbl")."""
        return self.weight == EVERYDAY_WORD and self.recipe_name == "doubles"

    @property
    def recipe_name(self) -> str | None:
        """The recipe that claims it; None if several do."""
        names = {claim.recipe.name for claim in self.claims}
        return names.pop() if len(names) == 1 else None

    def of_families(self, families: set[str | None]) -> Found:
        """Return the phrase as those recipes claim it that are of some families."""
        return replace(self, claims=tuple(claim for claim in self.claims if claim.recipe.family in families))


def decide(found: list[Found], library: Library, where: str) -> Match | Doubt:
    """Return what phrases of a name say: the last of those that say most; a doubt where it is two things.

    ``where`` is what the name is called in the reason.
    """
    own = [each for each in found if any(claim.recipe.name in library.own for claim in each.claims)]
    least = min(each.weight for each in own or found)
    strong = [each for each in own or found if each.weight == least]
    last = next((each for each in reversed(strong) if each.weight == NAME or not each.is_done_to_it), strong[-1])
    if found[-1].is_double and last.families == found[-1].families:
        last = found[-1]
    readings = _beside(last, found, library, where) if not own else _readings(last, where)
    if len(readings) == 1 and last.weight == NAME:
        low = [
            each for other in strong[:-1] for each in _readings(other, where) if _cuts_off(readings[0].recipe, each.recipe)
        ]
        readings = [*low[:1], *readings]
    if len(readings) > 1:
        readings = _by_the_rest(readings, found) or readings
    return readings[0] if len(readings) == 1 else Doubt(tuple(readings))


def _beside(last: Found, found: list[Found], library: Library, where: str) -> list[Match]:
    """Return what a phrase that decides is beside the others: a voice looped is a sample, a drum's bass is the low one of them."""
    readings = _readings(last, where)
    if last.recipe_name == LOOPED and SAMPLED in library.recipes and any(each.is_voices for each in found):
        return [replace(readings[0], recipe=library.recipes[SAMPLED], why=f"{readings[0].why}, beside a voice")]
    at = found.index(last)
    if at == 0 or [each.phrase for each in readings] != [("bass",)]:
        return readings
    before = found[at - 1]
    if before.recipe_name in STRUCK_LOW:
        return _readings(before, where)
    if before.recipe_name in LOW_OR_BASS or (before.recipe_name == "piano" and not LOW_ONES.isdisjoint(last.written)):
        return [*readings, *_readings(before, where)]
    return readings


def _by_the_rest(readings: list[Match], found: list[Found]) -> list[Match]:
    """Return the one of a doubt's readings that a phrase says which is a single recipe's: "atmos rain" is weather."""
    sure = {found.recipe_name for found in found if found.recipe_name is not None}
    left = [each for each in readings if each.recipe.name in sure]
    return left if len(left) == 1 else []


def _readings(found: Found, where: str) -> list[Match]:
    written = " ".join(found.written)
    claims: dict[str, Claim] = {}
    for claim in found.claims:
        claims.setdefault(claim.recipe.name, claim)
    made = []
    for name in sorted(claims):
        claim = claims[name]
        meant = " ".join(claim.phrase)
        read = "" if set(claim.phrase) <= set(found.written) else f", read as '{meant}'"
        made.append(Match(claim.recipe, claim.phrase, f"its {where} has '{written}'{read}"))
    return made


def _cuts_off(deciding: Recipe, other: Recipe) -> bool:
    """Return whether the recipe that decides would take the body from the other, if that is what the stem is."""
    low, high = (_roll_off_hz(recipe) for recipe in (other, deciding))
    return low is not None and high is not None and low <= LOW_HZ and high >= CUT_OFF_RATIO * low


def _roll_off_hz(recipe: Recipe) -> float | None:
    return next((move.settings["freq_hz"] for move in recipe.moves if move.kind == "high_pass" and not move.off), None)


def settled(doubt: Doubt, sure: list[Recipe], song: SongWords, *, named: bool = False, sings: bool = False) -> Match | Doubt:
    """Settle a doubt by the song's other stems, and by whether somebody is ``named``, who ``sings`` on another stem.

    Somebody's lead is sung where they sing, or where no other lead is and no guitar leads, nor do winds alone; else it may be
    anything. Nobody sings where nobody else does, and one lead singer is enough. An alto is sung where others sing and nobody
    blows, and blown where others blow and nobody sings. Of two kinds of uprights, the one that the song has not is meant. What may
    be a guitar's ("slide", "quads") is one's beside guitars, and another's only beside what that one stands with; a solo is sung
    only where all sing.
    """
    taken = frozenset(recipe.name for recipe in sure)
    if named and doubt.names == LEADS:
        blown = taken & WINDS and not any(_is_sung(recipe) for recipe in sure)
        if not sings and (blown or ("lead vocal" in taken and taken & GUITARS)):
            return doubt
        return next(each for each in doubt.readings if each.recipe.name == "lead vocal")
    if doubt.names == LEADS and len(doubt.readings[0].phrase) > 1:  # "hook lead"
        role = "lead vocal" if any(_is_sung(recipe) for recipe in sure) else "synth lead"
        return next(each for each in doubt.readings if each.recipe.name == role)
    if named and doubt.names == GROWLED:
        return next(each for each in doubt.readings if each.recipe.name == "lead vocal")
    meant = _meant(doubt, taken, song, sung=any(_is_sung(recipe) for recipe in sure))
    left = tuple(each for each in doubt.readings if each.recipe.name in meant)
    return left[0] if len(left) == 1 else replace(doubt, readings=left) if left else doubt


def _is_sung(recipe: Recipe) -> bool:
    return recipe.family == "vocals" and recipe.name != SAMPLED


def _meant(doubt: Doubt, taken: frozenset[str], song: SongWords, *, sung: bool) -> frozenset[str]:
    """Return which of a doubt's recipes the song's other stems leave."""
    names = doubt.names
    if names in OR_GUITAR:
        others = names - {"guitar"}
        return names - others if taken & GUITARS else others if taken & OR_GUITAR[names] else frozenset()
    if names in BY_COMPANY:
        return BY_COMPANY[names](taken, song, sung)
    return frozenset(
        each.recipe.name
        for each in doubt.readings
        if each.recipe.family != "vocals" or (sung and each.recipe.name not in taken)
    )


def _voice_or_wind(taken: frozenset[str], song: SongWords, sung: bool) -> frozenset[str]:  # noqa: FBT001 (a table's)
    blown = bool(taken & {"woodwinds", "brass"}) and not song.sings_in_parts
    sung = song.sings_in_parts or (sung and not (blown and taken.isdisjoint(SUNG_TOGETHER)))  # one singer before horns
    return frozenset({"choir" if sung else "woodwinds"}) if sung != blown else frozenset()


def _upright(taken: frozenset[str], _: SongWords, __: bool) -> frozenset[str]:  # noqa: FBT001
    return UPRIGHTS - taken


def _lead_or_backing(taken: frozenset[str], _: SongWords, __: bool) -> frozenset[str]:  # noqa: FBT001
    return frozenset({"backing vocals" if "lead vocal" in taken else "lead vocal"})


def _lead_or_guitar(taken: frozenset[str], song: SongWords, _: bool) -> frozenset[str]:  # noqa: FBT001
    return frozenset({"lead vocal" if song.sings_in_parts and taken.isdisjoint(GUITARS) else "guitar"})


def _bass_or_voice(taken: frozenset[str], _: SongWords, __: bool) -> frozenset[str]:  # noqa: FBT001
    return frozenset({"lead vocal" if taken & GUITARS and taken.isdisjoint(OF_MACHINES) else "bass"})


def _harmony_or_guitar(taken: frozenset[str], _: SongWords, sung: bool) -> frozenset[str]:  # noqa: FBT001
    played = bool(taken & GUITARS)
    return HARMONY_OR_GUITAR if sung and played else frozenset({"harmonies" if sung else "guitar"})


BY_COMPANY: dict[frozenset[str], Callable[[frozenset[str], SongWords, bool], frozenset[str]]] = {
    VOICE_OR_WIND: _voice_or_wind,
    UPRIGHTS: _upright,
    LEAD_OR_BACKING: _lead_or_backing,
    LEAD_OR_GUITAR: _lead_or_guitar,
    HARMONY_OR_GUITAR: _harmony_or_guitar,
    GROWLED: _bass_or_voice,
}
