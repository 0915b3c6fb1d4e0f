"""Kinds: the table of what a move can be. A new kind is a new entry in `_ALL`, and nothing else here."""

from __future__ import annotations

from stemwright.recipes.fields import Field, Kind


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
