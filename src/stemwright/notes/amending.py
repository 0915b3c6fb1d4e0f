"""Amending: a clause of nothing but dB, Q, "narrow" or "subtle" says more about the ask before it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.asking import SOFT
from stemwright.notes.exact import BELL_Q, CUTS, MOST_DB, NARROW_Q, a_q, a_slope, gain_in, within
from stemwright.notes.frames import PieceError
from stemwright.notes.items import stems_of
from stemwright.notes.tokens import tokens_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.frames import Ask
    from stemwright.notes.items import Item


WIDTHS: Final = ("wide", "broad", "wide q", "broad q")
IN_ITS_PLACE: Final = ("there", "in there", "right there")  # 3k is stabbing me, take out 2 dB there
OF_LEVEL = ("level", "volume", "gain", "fader")


def amended(last: Ask, clause: Clause) -> tuple[Ask, str] | None:
    """Return an ask with what a clause says about it, and how to say so; None where the clause is one of its own.

    Parameters
    ----------
    last : Ask
        The ask before.
    clause : Clause

    Raises
    ------
    PieceError
        If a figure is out of range, or nothing that the move has.
    """
    if not _adds_only(last, clause) or any(item.text in OF_LEVEL for item in clause.items):
        return None
    gain, _ = gain_in(clause.items)
    soft = next((item for item in clause.items if item.has("soft")), None)
    if last.exact is not None:
        return _exact(last, clause, gain)
    if last.gain_db is not None:
        return None
    if gain is not None:
        way = 1.0 if last.amount > 0 else -1.0
        return replace(last, amount=way, gain_db=within(abs(gain) * way)), f" {abs(gain):g} dB"
    if soft is None:
        return None
    said = f", {'but ' if clause.joined_by == 'but' else ''}{soft.text}"
    return replace(last, amount=round(last.amount * SOFT, 4), text=last.text + said), said


def _adds_only(last: Ask, clause: Clause) -> bool:
    there = [item for item in clause.items if item.names and any(each.text in IN_ITS_PLACE for each in clause.items)]
    named = stems_of([*clause.heads, *there])  # "build up at 120 Hz, take a dB from the 808 there"
    if named and set(named) != set(last.stems):
        return False
    return all(item in there or _adds(item, exact=last.exact is not None) for item in clause.items)


def _adds(item: Item, *, exact: bool) -> bool:
    if item.names or item.quality is not None or item.unknown:
        return False
    if exact and item.text in (*WIDTHS, *IN_ITS_PLACE):
        return True
    if item.figure is not None:
        bare = not item.figure.unit and (item.figure.signed or (exact and abs(item.figure.value) <= MOST_DB))
        return bare or item.figure.unit in ("db", "q", "slope", "%")
    verbs = exact and item.has("direction", "turn", "take")
    return item.idle or verbs or item.has("soft", "amount", "filter", "want", "enough")


def _exact(last: Ask, clause: Clause, gain: float | None) -> tuple[Ask, str] | None:
    assert last.exact is not None  # noqa: S101 - the caller has looked
    settings = dict(last.exact.settings)
    q, slope = (_figure(clause, unit) for unit in ("q", "slope"))
    turned = gain is not None and any(item.has("turn") for item in clause.items)
    if turned and (last.exact.kind in CUTS or _is_of_level(last, clause)):
        return None  # "high-pass at 100 and down 2": of its level
    for figure, setting, what in ((gain, "gain_db", "dB"), (q, "q", "Q"), (slope, "slope_db_oct", "dB/oct")):
        if figure is not None and setting not in settings:
            raise PieceError(f"{figure:g} {what} is nothing that a {last.exact.kind.replace('_', '-')} has")
    if slope is not None:
        settings["slope_db_oct"] = a_slope(slope)
        return replace(last, exact=replace(last.exact, settings=tuple(settings.items()))), f", {slope:g} dB/oct"
    narrow = any(item.text in WIDTHS or (item.has("filter") and item.value("filter") == "narrow") for item in clause.items)
    if "gain_db" not in settings or (gain is None and q is None and not narrow):
        return None
    if narrow and q is None and "shelf" not in last.exact.kind:
        wide = any(item.text in WIDTHS for item in clause.items)
        settings["q"] = BELL_Q / 2 if wide else NARROW_Q
    if gain is not None:
        settings["gain_db"] = within(abs(gain) * (-1.0 if settings["gain_db"] < 0 or gain < 0 else 1.0))
    if q is not None:
        settings["q"] = a_q(q, last.exact.kind)
    return replace(last, exact=replace(last.exact, settings=tuple(settings.items()))), ""


def _is_of_level(last: Ask, clause: Clause) -> bool:
    """Whether dB behind a move that has its own turn its stem: cut 300 by 2 on the keys and turn them up 1 dB."""
    told = [token for token in tokens_of(last.text)[1] if token.figure is not None]
    there = any(item.text in IN_ITS_PLACE for item in clause.items)
    return (
        len(told) > 1
        and not there
        and any(item.text.split(" ")[-1] in ("up", "down") or item.has("it") for item in clause.items)
    )


def _figure(clause: Clause, unit: str) -> float | None:
    return next((item.figure.value for item in clause.items if item.figure is not None and item.figure.unit == unit), None)


def without_vaguer(asks: Sequence[Ask]) -> list[Ask]:
    """Return asks without those that a later one says again in dB: less low mids (2 dB)."""
    return [
        ask
        for at, ask in enumerate(asks)
        if ask.gain_db is not None
        or not any(
            each.gain_db
            and (each.stems, each.word, each.gain_db > 0, each.when) == (ask.stems, ask.word, ask.amount > 0, ask.when)
            for each in asks[at + 1 : at + 2]
        )
    ]
