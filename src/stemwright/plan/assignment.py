"""Which recipe takes which stem: the session sheet's word first, then the names; a left and a right go together."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stemwright.recipes.deciding import Doubt
from stemwright.recipes.matching import label, match_all
from stemwright.stems.findings import Finding
from stemwright.stems.names import pairs

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stemwright.plan.sections import Span
    from stemwright.recipes.deciding import Match
    from stemwright.recipes.library import Library
    from stemwright.recipes.moves import Move
    from stemwright.recipes.recipe import Recipe
    from stemwright.recipes.stem_choices import StemChoice


@dataclass(frozen=True, kw_only=True)
class Assignment:
    """What is to happen to one stem and why. ``partner`` is the other side of a left/right pair.

    ``aside`` are moves whose condition is not met, ``because`` those whose condition is, each with the reason.
    ``places`` are those, in seconds, of moves that are made in some only.
    ``readings`` are the recipes that its name could ask for, where it asks for more than one and none was taken.
    """

    recipe: Recipe | None
    matched_by: str
    why: str
    skip: bool = False
    leave: bool = False
    partner: str | None = None
    aside: Mapping[str, str] = field(default_factory=dict)
    because: Mapping[str, str] = field(default_factory=dict)
    places: Mapping[str, tuple[Span, ...]] = field(default_factory=dict)
    readings: tuple[str, ...] = ()

    @property
    def moves(self) -> tuple[Move, ...]:
        """The recipe's moves that are switched on and not set aside; none for a stem left or skipped."""
        if self.recipe is None or self.skip or self.leave:
            return ()
        return tuple(move for move in self.recipe.moves if not move.off and move.name not in self.aside)


def assign(
    stems: Iterable[str], library: Library, choices: Mapping[str, StemChoice], titles: Iterable[str] = ()
) -> dict[str, Assignment]:
    """Decide for every stem.

    Parameters
    ----------
    stems : iterable of str
        Names as received.
    library : Library
        The recipes, in their search order.
    choices : mapping of str to StemChoice
        The session sheet's words, by stem.
    titles : iterable of str
        The song's own names, which say nothing of its stems.

    Returns
    -------
    dict of str to Assignment

    Raises
    ------
    RecipeError
        If the sheet names a role that no recipe has.
    """
    names = list(stems)
    matches = match_all(names, library, titles)
    return _together({stem: _assign_one(matches[stem], library, choices.get(stem)) for stem in names}, choices)


def _assign_one(matched: Match | Doubt | None, library: Library, choice: StemChoice | None) -> Assignment:
    if choice is not None and choice.skip is not None:
        return Assignment(recipe=None, matched_by="session sheet", why=choice.skip, skip=True)
    if choice is not None and choice.leave is not None:
        return Assignment(recipe=None, matched_by="session sheet", why=choice.leave, leave=True)
    if choice is not None and choice.role is not None:
        return Assignment(recipe=library.get(choice.role), matched_by="session sheet", why=choice.why or "by hand")
    if matched is None:
        return Assignment(recipe=None, matched_by="nothing", why="no recipe takes this name; left as received")
    if isinstance(matched, Doubt):
        both = " or ".join(f"{each.recipe.name} ({each.why})" for each in matched.readings)
        readings = tuple(each.recipe.name for each in matched.readings)
        return Assignment(recipe=None, matched_by="two readings", why=f"{both}; left as received", readings=readings)
    return Assignment(recipe=matched.recipe, matched_by=matched.why, why=matched.recipe.about)


def _together(found: dict[str, Assignment], choices: Mapping[str, StemChoice]) -> dict[str, Assignment]:
    """Give both sides of a pair the same treatment: a word about one side is a word about both."""
    for stem, partner in pairs(tuple(found)).items():
        if partner not in found:
            continue
        source = partner if partner in choices and stem not in choices else stem
        found[stem] = replace(found[source], partner=partner)
    return found


def unmatched(stem: str, assignment: Assignment) -> Finding:
    """Return the finding for a stem that no recipe takes, or that its name gives to more than one."""
    if assignment.readings:
        return Finding(
            id="two-readings",
            severity="warn",
            stem=stem,
            measured=assignment.why.removesuffix("; left as received"),
            why="a wrong recipe does more harm than none, so it is left as received until somebody says which",
            do=f"in session.yaml, under stems: {label(stem)}: {{role: {assignment.readings[-1]}}}, or the other",
        )
    return Finding(
        id="no-recipe",
        severity="warn",
        stem=stem,
        measured="no recipe takes this name",
        why="it is left as received, byte for byte, until somebody says what it is",
        do="give it a role in session.yaml, or leave it there with a reason",
    )
