"""Exact: a request in Hz and dB, as engineers write it, to one move. Figures and verbs only, no names."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from stemwright.notes.edges import ENDS, rolled_off, shelf_of
from stemwright.notes.frames import ExactMove, PieceError
from stemwright.notes.leads import LIMITS
from stemwright.notes.numbers import LEAST_BARE_HZ
from stemwright.recipes.kinds import KINDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item

MOST_DB: Final = 12.0
LEAST_STEP_DB: Final = 1.0  # what is asked in words is heard
WORD_STEP_DB: Final = 2.0  # "too much around 300", without dB: common practice, no source
NOTCH_DB: Final = -6.0  # same
LOWEST_HZ, HIGHEST_HZ = 10.0, 40_000.0
NARROW_Q, BELL_Q, SHELF_Q, RING_Q = 10.0, 1.0, 0.7071, 20.0
SLOPE_DB_OCT: Final = 12.0
SLOPES_DB_OCT: Final = KINDS["high_pass"].field("slope").one_of
CUTS: Final = ("high_pass", "low_pass")
LIMITS_Q: Final = {"notch": (0.5, 100.0), "bell": (0.1, 60.0)}
MORE_WORDS, LESS_WORDS = ("back", "own"), ("off", "out")


def frequencies_in(items: Sequence[Item]) -> tuple[float, ...]:
    """Return the frequencies of a clause in Hz, one, or two for a range."""
    found: list[float] = []
    plain = any(each.is_frequency for each in items)
    for at, item in enumerate(items):
        figure = item.figure
        if figure is None or figure.unit not in ("hz", ""):
            continue
        behind_at = at > 0 and (
            items[at - 1].text == "@"
            or items[at - 1].text in ("at", "around", "near", "about", "round", "below", "above", "under", "over", "from")
        )
        if figure.is_frequency:
            found += figure.values
        elif (
            not figure.signed
            and not plain
            and behind_at
            and any(each.figure is not None and each is not item for each in items)
        ):
            found += [1000.0 * value for value in figure.values]
    return tuple(found)


def gain_in(items: Sequence[Item]) -> tuple[float | None, bool]:
    """Return the dB of a clause, and whether they have a sign of their own."""
    bare: float | None = None
    for at, item in enumerate(items):
        figure = item.figure
        if figure is None:
            continue
        if figure.unit == "db" or (not figure.unit and figure.signed and abs(figure.value) <= 2 * MOST_DB):
            return figure.value, figure.signed
        behind_at = at > 0 and items[at - 1].text in ("@", "at", "around", "pass", "version", "bar", "bars", "take")
        counted = at + 1 < len(items) and items[at + 1].has("counted")  # "after 10 minutes"
        if not figure.unit and abs(figure.value) < LEAST_BARE_HZ and not behind_at and not counted and bare is None:
            bare = figure.value
    return bare, False


def direction_in(items: Sequence[Item]) -> float | None:
    """Return which way the verbs of a clause point, None where they do not."""
    for at, item in enumerate(items):
        if item.has("enough"):
            return 1.0 if any(each.has("neg") for each in items[:at]) else None
        edge = item.text in ENDS and at + 1 < len(items) and items[at + 1].figure is not None  # "below 200 Hz up 2 dB"
        way = None if edge else _pointing(item)
        if way is not None:
            return way
    wished = any(item.text in MORE_WORDS or item.has("want", "strong") for item in items) or _is_some_of_it(items)
    return 1.0 if wished else None


def _is_some_of_it(items: Sequence[Item]) -> bool:
    """Whether an amount of a frequency is asked for: a touch of 10k."""
    amounts = [at for at, item in enumerate(items) if item.has("amount")]
    behind = [items[at + 1 : at + 3] for at in amounts]
    return any(len(each) == 2 and each[0].text == "of" and each[1].is_frequency for each in behind)


def _pointing(item: Item) -> float | None:
    """Return which way one word points."""
    tag = next((tag for tag in ("direction", "turn", "take") if item.has(tag)), None)
    if tag is not None and (tag == "direction" or not item.has("is")):
        return LIMITS[item.value(tag)]
    if item.has("lack"):
        return -1.0 if item.text == "no" else 1.0
    notch = item.has("filter") and item.value("filter") == "notch"
    return -1.0 if notch or item.text in LESS_WORDS else None


def exact_move(
    items: Sequence[Item], *, sign: float | None = None, ringing: bool = False, amount: float = 1.0
) -> ExactMove | None:
    """Return the move that figures and verbs say, None where they say none.

    Parameters
    ----------
    items : sequence of Item
        A clause's.
    sign : float, optional
        Which way, where a word of sound says so and the verbs do not.
    ringing : bool
        Whether a ring is to go.
    amount : float
        How much of a plain step is asked, where no dB are.

    Raises
    ------
    PieceError
        If something is missing, or out of range.
    """
    freqs = frequencies_in(items)
    if not freqs:
        return None
    low, high = min(freqs), max(freqs)
    if not LOWEST_HZ <= low <= high <= HIGHEST_HZ:
        raise PieceError(f"{low:g} Hz is outside {LOWEST_HZ:g} Hz to 40 kHz")
    centre = round((low * high) ** 0.5, 2)
    kinds = [item.value("filter") for item in items if item.has("filter") and not item.names]
    kind = next((each for each in kinds if each not in ("narrow", "broad")), None)
    slope = next(
        (item.figure.value for item in items if item.figure is not None and item.figure.unit == "slope"), SLOPE_DB_OCT
    )
    if kind in CUTS:
        gain, signed = gain_in(items)
        slope = gain if gain in SLOPES_DB_OCT and not signed else slope  # "hp 120 Hz 18 dB"
        return ExactMove(kind, (("freq_hz", centre), ("slope_db_oct", a_slope(slope))))
    gain, signed = gain_in(items)
    rolled = rolled_off(items) if kind is None and gain is None else None
    if rolled is not None:
        return ExactMove(rolled, (("freq_hz", centre), ("slope_db_oct", SLOPE_DB_OCT)))
    if ringing and gain is None:
        return ExactMove("notch", (("freq_hz", centre), ("gain_db", NOTCH_DB), ("q", RING_Q)))
    way = direction_in(items)
    kind = shelf_of(items, kind, centre, in_db=gain is not None) or "bell"
    way = way if sign is None or (way is not None and gain is not None) else sign
    gain = (
        _step(way, amount, notch=kind == "notch") if gain is None else _gain(gain, way, signed=signed, notch=kind == "notch")
    )
    if gain is None:
        return None
    gain = -abs(gain) if kind == "notch" else gain
    return ExactMove(kind, (("freq_hz", centre), ("gain_db", gain), ("q", _q(items, kinds, kind, low, high))))


def _step(way: float | None, amount: float, *, notch: bool) -> float | None:
    """Return what is turned where no dB are said: a bit of 10k is heard, or it is no step."""
    return NOTCH_DB if notch else None if way is None else way * max(LEAST_STEP_DB, WORD_STEP_DB * amount)


def _gain(gain: float, way: float | None, *, signed: bool, notch: bool) -> float:
    if not signed:
        if way is None and not notch:
            raise PieceError(f"{gain:g} dB up or down? write +{gain:g} dB or -{gain:g} dB")
        gain *= way or -1.0
    return within(gain)


def within(gain: float) -> float:
    """Return a gain in dB that a note may ask for.

    Raises
    ------
    PieceError
        If it is more, or nothing.
    """
    if not 0.0 < abs(gain) <= MOST_DB:
        raise PieceError(f"{gain:g} dB in one go; a note may ask for up to {MOST_DB:g} dB")
    return gain


def _q(items: Sequence[Item], kinds: Sequence[str], kind: str, low: float, high: float) -> float:
    written = next((item.figure.value for item in items if item.figure is not None and item.figure.unit == "q"), None)
    if written is not None:
        a_q(written, kind)
    if written is None:
        narrow = "narrow" in kinds or kind == "notch"
        written = NARROW_Q if narrow else SHELF_Q if "shelf" in kind else BELL_Q / 2 if "broad" in kinds else BELL_Q
        if high > low and kind == "bell":
            written = (low * high) ** 0.5 / (high - low)
    return round(written if _is_q(written, kind) else min(_q_range(kind), key=lambda end: abs(end - written)), 4)


def a_slope(slope_db_oct: float) -> float:
    """Return a slope that a pass filter can have.

    Raises
    ------
    PieceError
        If none has it.
    """
    if slope_db_oct not in SLOPES_DB_OCT:
        raise PieceError(f"{slope_db_oct:g} dB/oct; a pass filter has {', '.join(f'{each:g}' for each in SLOPES_DB_OCT)}")
    return slope_db_oct


def a_q(q: float, kind: str) -> float:
    """Return a Q that a move of a kind can have.

    Raises
    ------
    PieceError
        If it is out of its range.
    """
    if not _is_q(q, kind):
        lowest, highest = _q_range(kind)
        raise PieceError(f"a Q of {q:g}; a {kind.replace('_', ' ')} has {lowest:g} to {highest:g}")
    return q


def _is_q(q: float, kind: str) -> bool:
    lowest, highest = _q_range(kind)
    return lowest <= q <= highest


def _q_range(kind: str) -> tuple[float, float]:
    return LIMITS_Q.get(kind, (0.3, 2.0))
