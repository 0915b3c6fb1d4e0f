"""The rings command: the frequencies that ring in one file, and what a notch would do to each."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from stemwright.cli.console import say, show, show_json
from stemwright.cli.options import json_option

if TYPE_CHECKING:
    from stemwright.dsp.rings import PlannedNotch, Ring
    from stemwright.recipes.units import Quantity


class UnitType(click.ParamType):  # type: ignore[type-arg]
    """An option that takes a number with its unit, as a recipe does."""

    def __init__(self, quantity: Quantity) -> None:
        self._quantity: Quantity = quantity
        self.name = quantity

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:  # noqa: ANN401
        """Read ``2 kHz`` or ``2000``."""
        from stemwright.recipes.units import UnitError, parse  # noqa: PLC0415 - only when the option is used

        try:
            return parse(self._quantity, value)
        except UnitError as error:
            self.fail(str(error), param, ctx)


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--from", "from_hz", type=UnitType("frequency"), default="20 Hz", show_default=True, help="Look no lower.")
@click.option("--to", "to_hz", type=UnitType("frequency"), default="20 kHz", show_default=True, help="Look no higher.")
@click.option("--at-most", type=click.IntRange(1, 8), default=3, show_default=True, help="List no more than so many.")
@click.option("--least", "least_db", type=UnitType("gain"), default="4 dB", show_default=True, help="Smallest excess.")
@click.option("--take", "depth_percent", type=UnitType("percent"), default="50 %", show_default=True, help="Share taken.")
@click.option("--deepest", "deepest_db", type=UnitType("gain"), default="6 dB", show_default=True, help="No deeper.")
@click.option(
    "--audition",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Write a short file for each ring: as received, lifted, notched, as received. Turn the monitors down first.",
)
@json_option
def rings(  # noqa: PLR0913 - one parameter for each option
    file: Path,
    *,
    from_hz: float,
    to_hz: float,
    at_most: int,
    least_db: float,
    depth_percent: float,
    deepest_db: float,
    audition: Path | None,
    as_json: bool,
) -> int:
    """Find the frequencies that ring in FILE: narrow, louder than their surroundings, and there whatever is played.

    The most certain comes first, and what to do with it: "take" is what a rings move with these settings notches by itself;
    "listen" may be a ring, is only offered, and left to you; "leave" is more likely a note than a ring.
    """
    from stemwright.dsp.rings import plan_notches  # noqa: PLC0415 - numpy only when it is needed
    from stemwright.handover.audition import CAUTION, write_auditions  # noqa: PLC0415
    from stemwright.plan.rings_in_file import rings_in  # noqa: PLC0415

    heard = rings_in(file, from_hz=from_hz, to_hz=to_hz, at_most=at_most, least_db=least_db)
    notches = {notch.found: notch for notch in plan_notches(heard.rings, depth_percent=depth_percent, deepest_db=deepest_db)}
    written = write_auditions(file, heard.info, list(notches.values()), audition) if audition is not None else []
    if as_json:
        rows = [_as_data(ring, notches.get(ring), taken=ring in heard.taken) for ring in heard.rings]
        show_json({"file": file.name, "rings": rows, "auditions": [str(path) for path in written]})
    elif heard.rings:
        _show(file.name, heard.rings, notches, heard.taken)
    else:
        show(f"{file.name}: nothing rings.")
    if written:
        say(CAUTION)
        for path in written:
            say(f"written: {path}")
    return 0


def _as_data(ring: Ring, notch: PlannedNotch | None, *, taken: bool) -> dict[str, Any]:
    planned = {**notch.settings(), "gave_way": notch.gave_way} if notch else None
    return {**cast("dict[str, Any]", ring.as_json()), "taken": taken, "notch": planned}


DO = {"taken": "take", "offered": "listen", "no": "leave"}
WIDTH = 80


def _show(name: str, found: list[Ring], notches: dict[Ring, PlannedNotch], taken: set[Ring]) -> None:
    """Print what to do first, then ring by ring what it is, why, and half an octave around it."""
    from stemwright.plan.ring_words import pictures, why  # noqa: PLC0415
    from stemwright.plan.wording import decibels, frequency  # noqa: PLC0415

    does = [DO["taken" if ring in taken else "offered" if ring.verdict != "no" else "no"] for ring in found]
    counts = {"take": "to take", "listen": "to listen to", "leave": "to leave"}
    show(f"{name}: " + ", ".join(f"{does.count(word)} {text}" for word, text in counts.items() if word in does))
    for ring, word in zip(found, does, strict=True):
        notch = notches.get(ring)
        cut_db = round(notch.gain_db, 1) if notch is not None and word != "leave" else 0.0
        cut = f": notch {decibels(cut_db)}, leaves {decibels(round(ring.excess_db + cut_db, 1))}" if cut_db else ""
        what = f"{frequency(ring.freq_hz)}  {decibels(round(ring.excess_db, 1))}  Q {ring.q:.0f}"
        show()
        show(f"{word:<8}{what}  {100 * ring.confidence:.0f} % certain{cut}")
        gave_way = [f"{notch.gave_way}."] if notch is not None and notch.gave_way else []
        for text in (f"{_started(why(ring))}.", *gave_way):
            for line in textwrap.wrap(text, WIDTH - 8):
                show(f"{'':8}{line}")
        for line in pictures(ring, notch if word != "leave" else None):
            show(f"{'':8}{line}")


def _started(sentence: str) -> str:
    return sentence[0].upper() + sentence[1:]
