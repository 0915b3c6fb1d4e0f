"""Frames: what a note asks, as plain values: a word turned, an exact move, a way back, one stem over another, a place in time."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.notes.elsewhere import WorkKind

UNDIRECTED = "without a direction"  # of a word of sound with neither more nor less
Way = Literal["before", "pass", "passes back", "notch", "word", "frequency", "scale"]


class PieceError(Exception):
    """Why a clause is not understood; ``why`` in a word, where a later clause may make it good.

    ``whom``: it does not say of whom. ``what``: something is wrong, and not what. ``way``: a word of sound without more or less.
    ``firm``: nothing else in the note can make it good, as where a stem is not there; so it is if there is no ``why``.
    """

    def __init__(self, message: str, why: str = "", *, firm: bool | None = None) -> None:
        super().__init__(message)
        self.why = why
        self.firm = not why if firm is None else firm


@dataclass(frozen=True)
class When:
    """A place in time: a section's name, or a start and an end in seconds; ``text`` as it was said.

    ``said`` is there where the session sheet knows it: sections, bars and times as a recipe's ``only`` has them.
    """

    text: str
    section: str = ""
    start_s: float | None = None
    end_s: float | None = None
    said: tuple[str, ...] = ()


@dataclass(frozen=True)
class ExactMove:
    """One move as it stands in a note; ``settings`` as a plan has them."""

    kind: str
    settings: tuple[tuple[str, float], ...]


@dataclass(frozen=True, kw_only=True)
class Ask:
    """One thing asked of some stems.

    ``amount`` is signed, 1 a plain "more"; ``gain_db``, signed too, is there instead where dB were written; ``exact`` is the
    move where Hz were. ``named``: every one of the stems was meant, so none may be passed over. ``text`` is the clause.
    ``when`` is where in the song, None for all of it.
    """

    stems: tuple[str, ...]
    named: bool
    word: str
    amount: float
    gain_db: float | None
    text: str
    exact: ExactMove | None = None
    wording: str = ""
    when: When | None = None

    def without(self, stems: Iterable[str]) -> Ask:
        """Return the ask for the other stems only."""
        left_out = set(stems)
        return replace(self, stems=tuple(stem for stem in self.stems if stem not in left_out))


@dataclass(frozen=True, kw_only=True)
class Back:
    """One request to go back, for some stems; none named is every stem that the newest pass changed."""

    stems: tuple[str, ...]
    way: Way
    number: int = 1
    word: str = ""
    freq_hz: float = 0.0
    share: float = 1.0
    text: str = ""


@dataclass(frozen=True, kw_only=True)
class Relation:
    """One stem that is not heard because of another: ``front`` is to be heard, ``over`` covers it; ``offers`` are two ways out.

    Which of the two, a person chooses; each is a note that can be given. ``when`` is where in the song, None for all of it.
    """

    front: tuple[str, ...]
    over: tuple[str, ...]
    text: str
    offers: tuple[str, ...] = ()
    when: When | None = None


@dataclass(kw_only=True)
class Frame:
    """What a clause says; ``called`` is a name for its stems where it does not name them itself."""

    stems: tuple[str, ...] = ()
    named: bool = True
    called: str = ""
    asks: list[Ask] = field(default_factory=list)
    backs: list[Back] = field(default_factory=list)
    kept_off: list[str] = field(default_factory=list)
    relation: Relation | None = None
    elsewhere: WorkKind | None = None
    praised: bool = False
    talk: list[str] = field(default_factory=list)

    @property
    def asks_something(self) -> bool:
        """Whether anything comes of it."""
        return bool(self.asks or self.backs or self.kept_off or self.relation or self.elsewhere)
