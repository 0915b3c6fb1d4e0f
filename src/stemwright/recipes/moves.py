"""Moves: the table of kinds, and a move resolved to numbers. A new kind is a new entry in `_ALL`, and nothing else here."""

from __future__ import annotations

from dataclasses import dataclass, field

from stemwright.recipes.units import UNITS, Quantity, show

NOTE_KEYS = ("name", "why", "off", "when", "if_there", "only")
WHEN = ("rumble", "always")


@dataclass(frozen=True, kw_only=True)
class Field:
    """One number of a move.

    ``key`` is its name in a recipe, ``setting`` its name with the unit. ``default`` None means that it must be given.
    ``one_of`` are the only values there are, where it is not empty.
    """

    key: str
    setting: str
    quantity: Quantity
    lowest: float
    highest: float
    about: str
    default: float | None = None
    one_of: tuple[float, ...] = ()

    @property
    def allowed(self) -> str:
        """Return the range in the trade's form: ``10 Hz to 80 kHz``."""
        if self.one_of:
            return ", ".join(f"{value:g}" for value in self.one_of[:-1]) + f", {show(self.quantity, self.one_of[-1])}"
        return f"{show(self.quantity, self.lowest)} to {show(self.quantity, self.highest)}"

    @property
    def example(self) -> str:
        """Return a value that may be written here."""
        return show(self.quantity, -6.0) if self.highest == 0.0 else UNITS[self.quantity].example.split(" or ")[0]

    @property
    def wanted(self) -> str:
        """Say what to write."""
        return f"write {UNITS[self.quantity].what}, as in {self.example}"

    def refusal(self, value: float) -> str | None:
        """Say what is wrong with a number in the base unit, or None."""
        if self.one_of and value not in self.one_of:
            near = min(self.one_of, key=lambda candidate: abs(candidate - value))
            return f"did you mean {show(self.quantity, near)}? allowed: {self.allowed}"
        if not self.lowest <= value <= self.highest:
            return f"allowed: {self.allowed}"
        return None


@dataclass(frozen=True, kw_only=True)
class Kind:
    """A kind of move.

    ``scalar`` is the field that may stand in place of the mapping (``- gain: -3 dB``), ``word`` the only word for a kind
    without numbers (``- polarity: flip``). Of each pair in ``rising`` the first must be smaller. ``own_stage`` is for a kind
    that sections cannot say: it is made by a stage of its own, whether it has sections or not.
    """

    name: str
    about: str
    fields: tuple[Field, ...] = ()
    scalar: str | None = None
    word: str | None = None
    rising: tuple[tuple[str, str], ...] = ()
    own_stage: bool = False

    def field(self, key: str) -> Field:
        """Return the field of this key; KeyError if there is none."""
        return {candidate.key: candidate for candidate in self.fields}[key]


@dataclass(frozen=True)
class Move:
    """One move in explicit numbers.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    name : str
        Unique within its recipe.
    why : str
        The reason in words, empty where none was given.
    off : bool
        Written down but not done.
    settings : dict of str to float
        Keys carry units: ``freq_hz``, ``gain_db``.
    when : {None, "rumble"}
        Only done where intake finds rumble under the move's frequency.
    if_there : str or None
        Only done where the song has a stem of this role or family.
    only : tuple of str
        Sections, bars or times in which it is made, as written; empty for everywhere.
    """

    kind: str
    name: str
    why: str
    off: bool
    settings: dict[str, float]
    when: str | None = None
    if_there: str | None = None
    only: tuple[str, ...] = ()


def _freq(highest: float, about: str) -> Field:
    return Field(key="freq", setting="freq_hz", quantity="frequency", lowest=10.0, highest=highest, about=about)


def _gain(lowest: float, highest: float, about: str = "How much, at most, it lifts or cuts.") -> Field:
    return Field(key="gain", setting="gain_db", quantity="gain", lowest=lowest, highest=highest, about=about)


def _q(lowest: float, highest: float, default: float, about: str) -> Field:
    return Field(key="q", setting="q", quantity="q", lowest=lowest, highest=highest, default=default, about=about)


_SLOPE = Field(
    key="slope",
    setting="slope_db_oct",
    quantity="slope",
    lowest=6.0,
    highest=48.0,
    default=12.0,
    one_of=(6.0, 12.0, 18.0, 24.0, 36.0, 48.0),
    about="How steep: dB an octave, Butterworth.",
)
_PHASE = Field(
    key="phase",
    setting="linear_phase",
    quantity="phase",
    lowest=0.0,
    highest=1.0,
    default=0.0,
    about="linear turns no phase and sounds a little before each start; slopes of 12, 24, 36 and 48 dB/oct.",
)
LINEAR_SLOPES = (12.0, 24.0, 36.0, 48.0)
_PASS = (_freq(40_000.0, "The corner: 3 dB down, at any slope. May lie above half the sample rate."), _SLOPE)
_SHELF = (
    _freq(80_000.0, "Where half of the gain is reached. May lie above half the sample rate."),
    _gain(-24.0, 24.0),
    _q(0.3, 2.0, 0.7071, "Steepness; above 0.7071 the shelf overshoots."),
)
_RINGS = (
    Field(key="from", setting="from_hz", quantity="frequency", lowest=20.0, highest=20_000.0, about="Look no lower."),
    Field(key="to", setting="to_hz", quantity="frequency", lowest=20.0, highest=20_000.0, about="Look no higher."),
    Field(
        key="at_most", setting="at_most", quantity="count", lowest=1.0, highest=8.0, default=2.0, about="No more notches."
    ),
    Field(
        key="take",
        setting="take_percent",
        quantity="percent",
        lowest=0.0,
        highest=100.0,
        default=50.0,
        about="How much of a ring's excess is taken.",
    ),
    Field(
        key="deepest",
        setting="deepest_db",
        quantity="depth",
        lowest=0.0,
        highest=24.0,
        default=6.0,
        about="No deeper notch.",
    ),
    Field(
        key="least",
        setting="least_db",
        quantity="depth",
        lowest=0.0,
        highest=24.0,
        default=4.0,
        about="Rings that stand out less are left.",
    ),
    Field(
        key="verdict",
        setting="only_offered",
        quantity="verdict",
        lowest=0.0,
        highest=1.0,
        default=0.0,
        about="offered shows what may ring and takes none by itself; for metal, whose own modes are the instrument.",
    ),
)
_COMPRESS = (
    Field(
        key="threshold",
        setting="threshold_db",
        quantity="level",
        lowest=-80.0,
        highest=0.0,
        about="Where it begins, in dBFS.",
    ),
    Field(key="ratio", setting="ratio", quantity="ratio", lowest=1.0, highest=100.0, about="dB in for one dB out."),
    Field(key="attack", setting="attack_ms", quantity="time", lowest=0.01, highest=1000.0, about="How fast it takes hold."),
    Field(key="release", setting="release_ms", quantity="time", lowest=1.0, highest=10_000.0, about="How fast it lets go."),
    Field(
        key="makeup",
        setting="makeup_db",
        quantity="gain",
        lowest=-24.0,
        highest=24.0,
        default=0.0,
        about="Gain after it.",
    ),
)
_DE_ESS = (
    Field(
        key="freq", setting="freq_hz", quantity="frequency", lowest=1000.0, highest=16_000.0, about="The band begins here."
    ),
    Field(
        key="over",
        setting="over_db",
        quantity="gain",
        lowest=-40.0,
        highest=0.0,
        default=-8.0,
        about="Works where the band comes nearer than this to the whole sound.",
    ),
    Field(key="most", setting="most_db", quantity="depth", lowest=0.0, highest=24.0, default=4.0, about="Takes no more."),
    Field(
        key="attack",
        setting="attack_ms",
        quantity="time",
        lowest=0.5,
        highest=100.0,
        default=2.0,
        about="Until 63 % of a reduction in dB is there.",
    ),
    Field(
        key="release",
        setting="release_ms",
        quantity="time",
        lowest=5.0,
        highest=1000.0,
        default=60.0,
        about="Until 63 % of it is gone.",
    ),
)

_RIDE = (
    Field(
        key="keep",
        setting="keep_percent",
        quantity="percent",
        lowest=0.0,
        highest=100.0,
        default=50.0,
        about="How much of a phrase's distance from the others stays.",
    ),
    Field(
        key="follow",
        setting="follow_percent",
        quantity="percent",
        lowest=0.0,
        highest=100.0,
        default=25.0,
        about="How far a voice goes along with the track under it.",
    ),
    Field(
        key="at_most",
        setting="at_most_db",
        quantity="depth",
        lowest=0.0,
        highest=12.0,
        default=4.0,
        about="Moves no phrase further.",
    ),
)

_ALL = (
    Kind(name="high_pass", about="Roll off what lies under a frequency.", fields=(*_PASS, _PHASE)),
    Kind(name="low_pass", about="Roll off what lies over a frequency.", fields=_PASS),
    Kind(name="low_shelf", about="Lift or lower all that lies under a frequency.", fields=_SHELF),
    Kind(
        name="high_shelf",
        about="Lift or lower all that lies over a frequency: air, with a corner above hearing.",
        fields=_SHELF,
    ),
    Kind(
        name="bell",
        about="Lift or cut around a frequency.",
        fields=(_freq(80_000.0, "The centre."), _gain(-24.0, 24.0), _q(0.1, 60.0, 1.0, "Higher is narrower.")),
    ),
    Kind(
        name="notch",
        about="Take one narrow frequency down.",
        fields=(
            _freq(80_000.0, "The centre."),
            _gain(-48.0, 0.0, "How deep; never above 0 dB."),
            _q(0.5, 100.0, 30.0, "Higher is narrower."),
        ),
    ),
    Kind(name="rings", about="Find frequencies that ring, and notch the worst.", fields=_RINGS, rising=(("from", "to"),)),
    Kind(name="de_ess", about="Lower the top while it is most of the sound: sibilance.", fields=_DE_ESS, own_stage=True),
    Kind(name="compress", about="Lower what is louder than the threshold.", fields=_COMPRESS, own_stage=True),
    Kind(name="ride", about="Bring phrases towards each other, moving in the gaps only.", fields=_RIDE, own_stage=True),
    Kind(name="gain", about="Louder or softer as a whole.", fields=(_gain(-48.0, 24.0, "How much."),), scalar="gain"),
    Kind(name="polarity", about="Turn the waveform upside down.", word="flip"),
)
KINDS: dict[str, Kind] = {kind.name: kind for kind in _ALL}


@dataclass
class Names:
    """Gives moves their names: the one written, else the kind, numbered when repeated."""

    taken: set[str] = field(default_factory=set)

    def free(self, kind: str) -> str:
        """Return ``bell``, or ``bell 2`` where that is taken."""
        name, number = kind, 1
        while name in self.taken:
            number += 1
            name = f"{kind} {number}"
        self.taken.add(name)
        return name


def describe(move: Move) -> dict[str, str]:
    """Return a move's numbers as a recipe has them: ``{"freq": "30 kHz", "gain": "+4 dB", "q": "0.7071"}``.

    Parameters
    ----------
    move : Move

    Returns
    -------
    dict of str to str
        In the table's order; for a kind without numbers, its word: ``{"polarity": "flip"}``.
    """
    kind = KINDS[move.kind]
    if kind.word:
        return {kind.name: kind.word}
    return {
        each.key: show(each.quantity, move.settings[each.setting]) for each in kind.fields if each.setting in move.settings
    }
