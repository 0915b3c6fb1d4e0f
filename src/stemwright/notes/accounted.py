"""Accounted: whether every figure of a note is in what it asks, and nothing is asked of a stem twice."""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING, Final

from stemwright.notes.exact import CUTS
from stemwright.recipes.grammar import LEVEL_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from stemwright.notes.frames import Ask
    from stemwright.notes.items import Item
    from stemwright.notes.understood import NoteRead

_POINTING: Final = ("there", "spot")  # last words of what means a frequency said before
_PLACES: Final = ("bar", "bars")
_MORE_SO: Final = re.compile(r"\bmore so\b(?! (?:than|because))", re.IGNORECASE)
_NEAR: Final = 1e-3  # of a frequency, or in dB
_RANGE: Final = 2  # figures of one: 200 to 400 Hz


def is_accounted(asks: Sequence[Ask], items: Iterable[Item]) -> bool:
    """Whether what is asked is all figures, those of the note and no others, and the note has none that it does not ask.

    Parameters
    ----------
    asks : sequence of Ask
    items : iterable of Item
        The note's words.
    """
    said = list(items)
    figures = [item.figure for item in said if item.figure is not None]
    in_db = {
        abs(value) for figure in figures if not figure.is_frequency and figure.unit in ("", "db") for value in figure.values
    }
    gains = {abs(gain) for ask in asks for gain in _gains(ask)}
    others = any(figure.unit not in ("", "db", "hz", "q", "slope") for figure in figures)
    pointing = any(item.text.split(" ")[-1] in _POINTING for item in said) and any(ask.gain_db is not None for ask in asks)
    plain = any(ask.exact is None and ask.gain_db is None for ask in asks)
    passes = {item.value("filter") for item in said if item.has("filter") and not item.names} & set(CUTS)
    plain = plain or not passes <= {ask.exact.kind for ask in asks if ask.exact is not None}
    whole = not (others or pointing or plain) and all(len(figure.values) == 1 for figure in figures)
    return bool(asks) and whole and in_db == gains and not list(lost_hz(asks, said)) and not list(twice(asks))


def lost_hz(asks: Iterable[Ask], items: Iterable[Item]) -> Iterator[str]:
    """Yield the frequencies of a note that nothing it asks has, as written."""
    settings = [dict(ask.exact.settings) for ask in asks if ask.exact is not None]
    asked = [each["freq_hz"] for each in settings if "freq_hz" in each]
    words = list(items)
    for before, item in zip([None, *words], words, strict=False):
        figure = item.figure
        if figure is None or not figure.is_frequency or (before is not None and before.text.split(" ")[-1] in _PLACES):
            continue
        centre = (figure.values[0] * figure.values[-1]) ** 0.5 if len(figure.values) == _RANGE else figure.values[0]
        if not any(abs(hz - centre) < _NEAR * centre for hz in asked):
            yield item.text


def twice(asks: Iterable[Ask]) -> Iterator[str]:
    """Yield what is asked of a stem more than once, in figures: its level, a high pass, a low pass."""
    counted: Counter[tuple[str, str, object]] = Counter()
    for ask in asks:
        kind = _once(ask)
        if kind:
            counted.update((stem, kind, ask.when) for stem in ask.stems)
    for (stem, kind, _), times in counted.items():
        if times > 1:
            yield f'{kind} of "{stem}"'


def refuse_unaccounted(reading: NoteRead, text: str, items: Iterable[Item | None]) -> None:
    """Refuse a note that asks one thing of a stem more than once in figures, or has a frequency that nothing it asks has."""
    if not reading.asks or reading.problems:
        return
    if _MORE_SO.search(text):
        reading.problems.append((text, "more so: by how much? write it out, as in: piano: a lot more bite"))
        return
    again = next(twice(reading.asks), "")
    more = reading.backs or reading.relations or reading.kept_off or reading.not_ours
    lost = "" if more else next(lost_hz(reading.asks, filter(None, items)), "")
    if again:
        reading.problems.append((text, f"the {again} is asked more than once; write the one that is meant"))
    elif lost:
        reading.problems.append((text, f"{lost}: of what? nothing that is asked has it; write stem, what and how much"))


def _once(ask: Ask) -> str:
    if ask.exact is not None:
        return ask.exact.kind.replace("_", " ") if ask.exact.kind in CUTS else ""
    return "level" if ask.gain_db is not None and ask.word in LEVEL_WORDS else ""


def _gains(ask: Ask) -> Iterator[float]:
    if ask.gain_db is not None:
        yield ask.gain_db
    elif ask.exact is not None and ask.exact.kind not in CUTS:
        yield from (value for name, value in ask.exact.settings if name == "gain_db")
