"""Spare: a figure in dB, of Q or of a slope that nothing in its clause takes up. None is dropped without a word."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from stemwright.notes.frames import PieceError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.frames import Frame
    from stemwright.notes.items import Item

TELLING: Final = ("the", "that", "this", "your", "my", "those", "these", "of", "last")
TAKES: Final = {"gain_db": "db", "q": "q", "slope_db_oct": "slope"}


def refuse_spare(items: Sequence[Item], frame: Frame, text: str) -> None:
    """Refuse a clause with a figure that is not heard in what it asks.

    Parameters
    ----------
    items : sequence of Item
        The clause's.
    frame : Frame
        What it was understood to say.
    text : str
        As it was written.

    Raises
    ------
    PieceError
        If it has such a figure.
    """
    if frame.elsewhere is not None or frame.kept_off:
        return
    taken = _taken(frame, items)
    for at, item in enumerate(items):
        unit = _unit(item)
        if not unit:
            continue
        if unit in taken:
            taken.remove(unit)
        elif not (frame.backs and _tells_which(items, at)):
            raise PieceError(f"{item.text}: of what? nothing else in {text!r} takes it up; write stem, what and how much")


def _unit(item: Item) -> str:
    figure = item.figure
    if figure is None:
        return ""
    if figure.unit in ("db", "q", "slope"):
        return figure.unit
    return "db" if not figure.unit and figure.signed else ""


def _taken(frame: Frame, items: Sequence[Item]) -> list[str]:
    gain = next((item.figure.value for item in items if item.figure is not None and item.figure.unit == "db"), None)
    if any(ask.exact is not None for ask in frame.asks):
        slopes = [dict(ask.exact.settings).get("slope_db_oct") for ask in frame.asks if ask.exact is not None]
        return (
            ["db"]
            if gain is not None and gain in slopes
            else [TAKES[name] for ask in frame.asks if ask.exact for name, _ in ask.exact.settings if name in TAKES]
        )
    return ["db"] if any(ask.gain_db is not None for ask in frame.asks) else []


def _tells_which(items: Sequence[Item], at: int) -> bool:
    """Whether a figure only says which move is meant: undo the 2 dB at 300."""
    return at > 0 and items[at - 1].text.split(" ")[-1] in TELLING
