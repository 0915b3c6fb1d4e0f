"""The timeline: tempo, meter, bar one and named sections, as ``session.yaml`` has them; nothing in it is assumed.

Conventions
-----------
A tempo counts quarter notes a minute, whatever the meter: so do sequencers and the metadata of files. A bar of 6/8 at 120 lasts
1.5 s.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stemwright.recipes.fields import Field
from stemwright.recipes.problems import shown
from stemwright.recipes.reading import below
from stemwright.recipes.strict_yaml import Items, Scalar, Table
from stemwright.recipes.times import HIGHEST_BAR, WANTED, Bars, Stretch, is_stretch, moment, stretch

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stemwright.recipes.reading import Reading
    from stemwright.recipes.strict_yaml import Node

KEYS = ("tempo", "meter", "bar_one", "sections")
TEMPO = Field(key="tempo", setting="tempo_bpm", quantity="tempo", lowest=20.0, highest=400.0, about="quarters a minute")
LATEST_BAR_ONE_S = 600.0
MOST_SECTIONS = 200
_METER = re.compile(r"(\d{1,2})/(1|2|4|8|16|32)")
_BAR = re.compile(r"(?:bar\s+)?(\d{1,6})", re.IGNORECASE)
TEMPO_EXAMPLE = "a tempo such as 88, or {bar 1: 88, bar 41: 92}"


@dataclass(frozen=True)
class TempoFrom:
    """The tempo from a bar on, in quarters a minute."""

    bar: int
    bpm: float


@dataclass(frozen=True, kw_only=True)
class Timeline:
    """What a sheet says of time. ``tempo`` is empty and ``bar_one_s`` None where it does not say; ``meter`` is beats and unit."""

    tempo: tuple[TempoFrom, ...] = ()
    meter: tuple[int, int] = (4, 4)
    bar_one_s: float | None = None
    sections: Mapping[str, tuple[Stretch, ...]] = field(default_factory=dict)

    @property
    def has_bars(self) -> bool:
        """Whether it is known where bars are."""
        return bool(self.tempo) and self.bar_one_s is not None


def read_timeline(reading: Reading, values: Mapping[str, Node]) -> Timeline:
    """Read the four keys of a session sheet; what is wrong goes to the reading's problems."""
    tempo = _tempo(reading, values["tempo"]) if "tempo" in values else ()
    meter = _meter(reading, values["meter"]) if "meter" in values else None
    bar_one_s = _bar_one(reading, values["bar_one"]) if "bar_one" in values else None
    sections = _sections(reading, values["sections"], values) if "sections" in values else {}
    return Timeline(tempo=tempo, meter=meter or (4, 4), bar_one_s=bar_one_s, sections=sections)


def _tempo(reading: Reading, node: Node) -> tuple[TempoFrom, ...]:
    if isinstance(node, Scalar):
        bpm = reading.number(node, "tempo", TEMPO)
        return () if bpm is None else (TempoFrom(1, bpm),)
    tables = [("tempo", node)] if isinstance(node, Table) else reading.items(node, "tempo", TEMPO_EXAMPLE)
    found: list[TempoFrom] = []
    for where, table in tables:
        if not isinstance(table, Table):
            reading.problem(table, where, f"a tempo without its bar; write {TEMPO_EXAMPLE}")
            continue
        for key, value in table.values.items():
            place = table.keys[key]
            bar = _BAR.fullmatch(key.strip())
            if bar is None or not 1 <= int(bar[1]) <= HIGHEST_BAR:
                reading.problem(place, below(where, key), f"not a bar ({shown(key)}); write {TEMPO_EXAMPLE}")
                continue
            bpm = reading.number(value, below(where, key), TEMPO)
            if bpm is None:
                continue
            if found and int(bar[1]) <= found[-1].bar:
                reading.problem(place, below(where, key), f"bar {bar[1]} does not come after bar {found[-1].bar}")
            found.append(TempoFrom(int(bar[1]), bpm))
    if found and found[0].bar != 1:
        reading.problem(node, "tempo", f"begins at bar {found[0].bar}; say the tempo of bar 1 too")
        return ()
    return tuple(found)


def _meter(reading: Reading, node: Node) -> tuple[int, int] | None:
    found = _METER.fullmatch(node.text.strip()) if isinstance(node, Scalar) else None
    if found is None or not 1 <= int(found[1]) <= 32:
        text = f" ({shown(node.text)})" if isinstance(node, Scalar) else ""
        reading.problem(node, "meter", f"not a meter{text}; write beats and their unit, as in 4/4 or 6/8")
        return None
    return int(found[1]), int(found[2])


def _bar_one(reading: Reading, node: Node) -> float | None:
    if isinstance(node, Scalar):
        seconds = 0.0 if node.text.strip() == "0" else moment(node.text)
        if seconds is not None and seconds <= LATEST_BAR_ONE_S:
            return seconds
    text = f" ({shown(node.text)})" if isinstance(node, Scalar) else ""
    reading.problem(node, "bar_one", f"not a moment of the first ten minutes{text}; write where bar 1 begins, as in 0.52 s")
    return None


def _sections(reading: Reading, node: Node, values: Mapping[str, Node]) -> dict[str, tuple[Stretch, ...]]:
    if not isinstance(node, Table):
        reading.table(node, "sections", (), "a mapping of names, such as {hook: bars 21-28, bridge: 1:02-1:18}")
        return {}
    found: dict[str, tuple[Stretch, ...]] = {}
    said: dict[str, str] = {}
    for name, value in list(node.values.items())[:MOST_SECTIONS]:
        where, place = below("sections", name), node.keys[name]
        if not name.strip():
            reading.problem(place, where, "a section without a name; call it what people call it")
            continue
        if is_stretch(name):
            reading.problem(place, where, f"a time is no name ({shown(name)}); call the section what people call it")
            continue
        if name.casefold() in said:
            reading.problem(
                place, where, f"the same name as {shown(said[name.casefold()])}; keep one, with a list of its places"
            )
            continue
        said[name.casefold()] = name
        places = reading.items(value, where, WANTED) if isinstance(value, Items) else [(where, value)]
        stretches = [each for way, item in places if (each := _stretch(reading, item, way)) is not None]
        if stretches:
            found[name] = tuple(stretches)
        elif not places:
            reading.problem(value, where, f"a list without a place; write {WANTED}")
    if len(node.values) > MOST_SECTIONS:
        reading.problem(node, "sections", f"{len(node.values)} sections; allowed: {MOST_SECTIONS}")
    lacking = [key for key in ("tempo", "bar_one") if key not in values]
    if lacking and any(isinstance(each, Bars) for places_ in found.values() for each in places_):
        what = " and ".join(f"{key} ({'such as 88' if key == 'tempo' else 'such as 0.52 s'})" for key in lacking)
        reading.problem(
            node, "sections", f"bars need {what}; write {' and '.join(lacking)}, or give times such as 1:02-1:18"
        )
    return found


def _stretch(reading: Reading, node: Node, where: str) -> Stretch | None:
    if not isinstance(node, Scalar):
        reading.problem(node, where, f"not a place in the song; write {WANTED}")
        return None
    read = stretch(node.text)
    if isinstance(read, str):
        reading.problem(node, where, f"{read} ({shown(node.text)})")
        return None
    return read
