"""Balance of a song: its stems as its newest pass has them, or as received before the first, judged round the one in front."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.passes.matrices import HeardFile, as_prepped, kept_matrices, matrices
from stemwright.plan import audible
from stemwright.plan.balance import Balance, Covered, judge
from stemwright.plan.beat import Beat
from stemwright.plan.ride import UNEVEN_DB, spread_db
from stemwright.plan.sections import when
from stemwright.plan.wording import decibels, frequency
from stemwright.recipes.times import clock
from stemwright.stems.asked import find
from stemwright.stems.names import pairs

if TYPE_CHECKING:
    from collections.abc import Mapping
    from concurrent.futures import Executor

    from stemwright.passes.look import Look
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain
    from stemwright.plan.items import PlanItem
    from stemwright.recipes.timeline import Timeline

LEAD = ("lead vocal", "vocal sample")


@dataclass(frozen=True, kw_only=True)
class Judged:
    """A song's balance, and by how much the phrases of the front are spread (standard deviation).

    ``ride`` is what to note where they are a voice's, uneven and not ridden yet; ``sides`` are the pairs among the stems.
    """

    heard_as: str
    balance: Balance
    timeline: Timeline
    spread_db: float
    ride: str | None
    sides: Mapping[str, str]

    @property
    def notes(self) -> tuple[str, ...]:
        """The smallest move for each covered place as a note has it, worst first; empty where there is none."""
        return tuple(note_line(place, self.sides) for place in self.balance.covered)

    @property
    def lines(self) -> tuple[str, ...]:
        """Each covered place in words, worst first."""
        return tuple(said(place, self.timeline) for place in self.balance.covered)

    def as_json(self) -> Plain:
        """Return it as plain JSON values."""
        from stemwright.plain import plain  # noqa: PLC0415

        data: Plain = plain(self.balance)
        for place, one, note in zip(data["covered"], self.balance.covered, self.notes, strict=True):
            place["when"] = when(self.timeline, one.start_s)
            place["note"] = note or None
        return {"heard_as": self.heard_as, **data, "spread_db": self.spread_db, "ride": self.ride}


def balance(seen: Look, items: list[PlanItem], executor: Executor, front: str | None = None) -> Judged:
    """Judge a song.

    Parameters
    ----------
    seen : Look
        The song, looked at with hashes.
    items : list of PlanItem
        What is done to its stems: the newest pass's plan, or none.
    executor : Executor
    front : str, optional
        The stem in front; without one the lead vocal.

    Raises
    ------
    SongError
        If there is no lead vocal and no other stem was named, or nothing beside it.
    """
    wanted = {
        stem: HeardFile(fact.source, fact.sha256, fact.stamp)
        for stem, fact in seen.facts.items()
        if fact.usable and fact.sha256 is not None and not seen.assignments[stem].skip
    }
    roles = {stem: recipe.role if (recipe := seen.assignments[stem].recipe) else None for stem in wanted}
    chosen = find(front, roles, "this song") if front is not None else _lead(roles)
    if not chosen:
        raise SongError(f"{seen.song.folder.name}: no lead vocal in this song; name the stem in front with --front STEM")
    sides = pairs(tuple(wanted))
    together = sorted({*chosen, *(sides[stem] for stem in chosen if stem in sides)})
    if not wanted.keys() - set(together):
        raise SongError(f"{seen.song.folder.name}: nothing is there beside {', '.join(together)}, so nothing can cover it")
    power = matrices(seen.song, wanted, executor)
    moves = {item.stem: item for item in items if item.input is not None}
    for stem, item in moves.items():
        if stem in power and item.moves:
            power[stem] = as_prepped(power[stem], item.moves, item.received.rate_hz)
    voice = any((recipe := seen.assignments[stem].recipe) is not None and recipe.family == "vocals" for stem in together)
    heard_as = seen.last.name if seen.last is not None else "received"
    spread = spread_db(audible.together([power[stem] for stem in together]))
    ridden = any(move.kind == "ride" for stem in together if stem in moves for move in moves[stem].moves)
    return Judged(
        heard_as=heard_as,
        balance=judge(Beat(power, together, voice=voice)),
        timeline=seen.sheet.timeline,
        spread_db=spread,
        ride=_ride(roles[chosen[0]]) if voice and not ridden and spread > UNEVEN_DB else None,
        sides=sides,
    )


def covered_in(song: SongFolder, manifest: Manifest) -> Balance | None:
    """Return how the lead vocal of a pass stands in its beat, from what is known of its stems; nothing is listened to.

    Returns
    -------
    Balance or None
        None where there is no lead vocal, nothing beside it, or a stem was not listened to before.
    """
    items = {stem: entry.item for stem, entry in manifest.written.items() if entry.item.input is not None}
    chosen = _lead({stem: item.role for stem, item in items.items()})
    sides = pairs(tuple(items))
    together = sorted({*chosen, *(sides[stem] for stem in chosen if stem in sides)})
    if not chosen or not items.keys() - set(together):
        return None
    heard = kept_matrices(song, {stem: item.received.sha256 for stem, item in items.items()})
    if heard is None:
        return None
    power = {stem: as_prepped(heard[stem], item.moves, item.received.rate_hz) for stem, item in items.items()}
    return judge(Beat(power, together, voice=any(items[stem].family == "vocals" for stem in together)))


def _ride(role: str | None) -> str:
    return "ride the vocal" if role is None or role in LEAD else f"ride the {role}"


def _lead(roles: dict[str, str | None]) -> list[str]:
    for role in LEAD:
        found = [stem for stem, each in roles.items() if each == role]
        if found:
            return found
    return []


def said(place: Covered, timeline: Timeline) -> str:
    """Say one covered place in words."""
    bands = ", ".join(f"{frequency(round(low, -1))} to {frequency(round(high, -1))}" for low, high in place.bands_hz)
    who = (
        " and ".join(f"{each.stem} ({round(each.over_db) + 0:+d} dB to it there)" for each in place.culprits)
        or "nothing that is here"
    )
    length = place.end_s - place.start_s
    return (
        f"{when(timeline, place.start_s)} for {length:.1f} s: {place.drop:.2f} under the median, by {who}; most at {bands}"
    )


def note_line(place: Covered, sides: Mapping[str, str]) -> str:
    """Return the smallest move as a note has it, both sides of a pair named, with where it is made; empty where there is none."""
    cure = place.cure
    if cure is None:
        return ""
    who = " and ".join(f'"{stem}"' for stem in sorted({cure.stem, sides.get(cure.stem, cure.stem)}))
    at = "" if cure.freq_hz is None else f" at {frequency(cure.freq_hz)} q {cure.q:g}"
    there = f"{clock(round(place.start_s, 2))}-{clock(round(place.end_s, 2))}"
    return f"{who}: {decibels(cure.gain_db)}{at}, only {there}"
