"""What a plan may hold, at the ends of every range: settings, places, points, filters, lengths and containers."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import pytest

from stemwright.passes.bounds import beyond, lift
from stemwright.plan.items import TIMES_DEFINED, TRIM, DeliverAs, InputFacts, PlanItem, PlannedMove
from stemwright.plan.only import Only
from stemwright.recipes.kinds import KINDS
from stemwright.stems.limits import MOST_FRAMES

FIELDS = [(kind, field) for kind in KINDS.values() for field in kind.fields]


def move(kind, *, name="m", sections=(), points=(), only=None, **changed):
    settings = {field.setting: field.lowest if field.default is None else field.default for field in KINDS[kind].fields}
    settings.pop("linear_phase", None)
    return PlannedMove(
        kind=kind, name=name, why="", settings={**settings, **changed}, sections=sections, points=points, only=only
    )


def item(*moves, stem="a.wav", frames=1000, rate_hz=48_000, channels=2, subtype="PCM_24", **deliver):
    received = InputFacts(
        path=stem, sha256="0" * 64, frames=frames, channels=channels, rate_hz=rate_hz, container="WAV", subtype=subtype
    )
    form = {"path": stem, "container": "WAV", "subtype": subtype, "rate_hz": rate_hz, "frames": frames, **deliver}
    return PlanItem(
        stem=stem, input=received, role=None, recipe=None, matched_by="", status="prepped", why="", moves=moves,
        deliver_as=DeliverAs(**form),
    )  # fmt: skip


def wrong_with(*moves, **form):
    found = beyond([item(*moves, **form)])
    return None if found is None else found.removeprefix("a.wav: ")


@pytest.mark.parametrize(("kind", "field"), FIELDS, ids=[f"{kind.name}.{field.key}" for kind, field in FIELDS])
def test_a_setting_may_be_anything_in_its_range_and_nothing_beyond(kind, field):
    for value in field.one_of or (field.lowest, field.highest):
        assert wrong_with(move(kind.name, **{field.setting: value})) is None
    for value in (field.lowest - 1e-6, field.highest + 1e-6, *((field.lowest + 0.5,) if field.one_of else ())):
        message = f"m: {field.setting} {value:g}; allowed: {field.allowed}"
        assert wrong_with(move(kind.name, **{field.setting: value})) == message


# What JSON does to the last digit is no fault.
@pytest.mark.parametrize(("off", "fine"), [(5e-10, True), (2e-9, False)])
def test_a_last_digit_off_is_allowed(off, fine):
    assert (wrong_with(move("bell", gain_db=24.0 + off)) is None) == fine
    assert (wrong_with(move("bell", gain_db=-24.0 - off)) is None) == fine


# A trim lowers a stem by what is over full scale, 60 dB at most, and the margin of one.
@pytest.mark.parametrize(("name", "gain_db", "fine"), [(TRIM, -61.0, True), (TRIM, -61.1, False), ("gain", -48.1, False)])
def test_a_trim_goes_lower_than_a_gain(name, gain_db, fine):
    assert (wrong_with(move("gain", name=name, gain_db=gain_db)) is None) == fine


def test_settings_are_those_of_the_kind():
    few = replace(move("bell"), settings={"freq_hz": 100.0, "gain_db": 1.0})
    assert wrong_with(few) == "m: a bell has freq_hz, gain_db, q"
    assert wrong_with(move("gain", q=1.0)) == "m: a gain has gain_db"
    assert wrong_with(move("polarity", gain_db=1.0)) == "m: a polarity has no settings"
    assert wrong_with(move("bell", **{TIMES_DEFINED: 1.0})) is not None
    for value, fine in ((1.0, True), (0.0, False), (2.0, False)):
        assert (wrong_with(move("compress", **{TIMES_DEFINED: value})) is None) == fine
    assert wrong_with(move("high_pass", linear_phase=1.0)) is None


@pytest.mark.parametrize(("count", "message"), [(256, None), (257, "257 moves; allowed: 256")])
def test_so_many_moves(count, message):
    assert wrong_with(*[move("gain", gain_db=0.0)] * count) == message


@pytest.mark.parametrize(
    ("spans", "fine"),
    [
        (((0, 1),), True), (((0, 5), (5, 9)), True), (((5, 5),), False), (((5, 4),), False), (((5, 9), (0, 4)), False),
        (((0, 6), (5, 9)), False),
    ],
)  # fmt: skip
def test_places_are_in_order_and_none_over_another(spans, fine):
    only = Only(said=("hook",), fade_frames=1, spans=spans)
    assert wrong_with(move("gain", gain_db=0.0, only=only)) == (None if fine else "m: its places are not in order")


def points(*each):
    return tuple((frame, gain_db, 10.0 ** (gain_db / 20.0)) for frame, gain_db in each)


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        (points((0, 1.0), (5, -12.0)), None),
        (points((0, 12.0)), None),
        (points((-1, 1.0)), "m: its points are not in order"),
        (points((5, 1.0), (5, 2.0)), "m: its points are not in order"),
        (points((5, 1.0), (4, 2.0)), "m: its points are not in order"),
        (points((0, 12.01)), "m: a point of it is over 12 dB, or its factor is not its gain"),
        (points((0, -12.01)), "m: a point of it is over 12 dB, or its factor is not its gain"),
        (((0, 6.0, 2.0),), "m: a point of it is over 12 dB, or its factor is not its gain"),
    ],
)
def test_points_of_a_ride(asked, message):
    # By hand 12 dB are allowed, whatever a ride may find by itself.
    assert wrong_with(move("ride", at_most_db=4.0, points=asked)) == message


def test_only_a_ride_has_points():
    assert wrong_with(move("gain", gain_db=0.0, points=points((0, 1.0)))) == "m: a gain has no points"


# The stability triangle: |a2| < 1 and |a1| < 1 + a2 (Oppenheim and Schafer).
@pytest.mark.parametrize(
    ("row", "fine"),
    [
        ((1, 0, 0, 1, 0, 0.9999), True), ((1, 0, 0, 1, 0, 1.0), False), ((1, 0, 0, 1, 0, -1.0), False),
        ((1, 0, 0, 1, 1.49, 0.5), True), ((1, 0, 0, 1, 1.5, 0.5), False), ((1, 0, 0, 1, -1.5, 0.5), False),
        ((1, 0, 0, 1.0001, 0, 0), False), ((float("inf"), 0, 0, 1, 0, 0), False), ((1, 0, float("nan"), 1, 0, 0), False),
    ],
)  # fmt: skip
def test_a_filter_comes_to_rest(row, fine):
    row = tuple(float(value) for value in row)
    found = wrong_with(move("bell", sections=(row,)))
    assert (found == "a filter of it never comes to rest") == (not fine)
    assert (lift([move("bell", sections=(row,))]) is not None) == fine


# All moves of a stem together: 72 dB. Makeup counts where it lifts, and of a ride its highest point.
@pytest.mark.parametrize(
    ("moves", "lift_db"),
    [
        ([], 0.0),
        ([move("compress", makeup_db=5.0)], 5.0),
        ([move("compress", makeup_db=-5.0)], 0.0),
        ([move("ride", points=points((0, -3.0), (9, 4.0), (12, 1.0)))], 4.0),
        ([move("ride", points=points((0, -3.0)))], -3.0),
        ([move("gain", sections=((2.0, 0.0, 0.0, 1.0, 0.0, 0.0),)), move("compress", makeup_db=5.0)], 11.0206),
        # 1 + z^-1 is 2 at 0 Hz and nothing at half the rate, 1 - z^-1 the other way round: together 2 in the middle.
        ([move("bell", sections=((1.0, 1.0, 0.0, 1.0, 0.0, 0.0), (1.0, -1.0, 0.0, 1.0, 0.0, 0.0)))], 6.0206),
        ([move("bell", sections=((1.0, 0.5, 0.25, 1.0, 0.0, 0.0),))], 20 * 0.24303804868629444),  # 1.75
    ],
)  # fmt: skip
def test_the_lift_of_moves(moves, lift_db):
    assert lift(moves) == pytest.approx(lift_db, abs=1e-3)


# A narrow resonance between two points of any grid: 1/(1 - 2 r cos w z^-1 + r^2 z^-2) reaches 1/((1 - r) |1 - r e^2jw|) at w, nearly.
@pytest.mark.parametrize("angle", [0.1, 1.234, 2.9])
def test_a_narrow_resonance_is_seen_at_its_own_frequency(angle):
    radius = 1.0 - 1e-6
    row = (1.0, 0.0, 0.0, 1.0, -2.0 * radius * math.cos(angle), radius * radius)
    expected = -20.0 * math.log10((1.0 - radius) * abs(1.0 - radius * cmath.exp(-2j * angle)))
    assert lift([move("bell", sections=(row,))]) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(
    ("gains_db", "message"),
    [((24.0,) * 3, None), ((24.0, 24.0, 24.0, 1.0), "its moves lift by 73 dB; allowed: 72 dB")],
)
def test_moves_lift_by_72_db_at_most(gains_db, message):
    rows = [
        move("gain", gain_db=0.0, sections=((10.0 ** (gain_db / 20.0) - 1e-9, 0.0, 0.0, 1.0, 0.0, 0.0),))
        for gain_db in gains_db
    ]
    assert wrong_with(*rows) == message


def test_a_file_is_no_longer_than_the_longest_stem_at_its_rate():
    short, long = item(stem="b.wav", frames=1000), item(stem="c.wav", frames=2000, rate_hz=96_000)
    assert beyond([replace(short, deliver_as=replace(short.file, frames=1000)), long]) is None
    assert beyond([replace(short, deliver_as=replace(short.file, frames=1001)), long]) == (
        "b.wav: 1001 frames to be written, and the longest stem has 1000"
    )
    long = item(stem="c.wav", frames=2002, rate_hz=96_000)
    assert beyond([replace(short, deliver_as=replace(short.file, frames=1001)), long]) is None
    endless = item(frames=MOST_FRAMES + 1)
    assert beyond([endless]) == f"a.wav: {MOST_FRAMES + 1} frames to be written, and the longest stem has {MOST_FRAMES + 1}"


@pytest.mark.parametrize(
    ("form", "message"),
    [
        ({"container": "MP3", "subtype": "MPEG_LAYER_III"}, "MP3 MPEG_LAYER_III cannot be written"),
        ({"container": "WAV", "subtype": "ULAW"}, "WAV ULAW cannot be written"),
        ({"container": "FLAC"}, None),
        ({"container": "WAV", "subtype": "FLOAT"}, None),
    ],
)
def test_what_is_changed_becomes_what_can_be_written(form, message):
    assert wrong_with(move("gain", gain_db=-1.0), **form) == message


@pytest.mark.parametrize(
    ("channels", "rate_hz", "fine"), [(8, 48_000, True), (9, 48_000, False), (2, 655_350, True), (2, 655_351, False)]
)
def test_what_flac_holds(channels, rate_hz, fine):
    found = wrong_with(move("gain", gain_db=-1.0), channels=channels, rate_hz=rate_hz, container="FLAC")
    assert found == (None if fine else "FLAC holds 8 channels and 655350 Hz at most")
    assert wrong_with(channels=channels, rate_hz=rate_hz) is None  # a copy is what it is


def test_a_copy_may_be_what_cannot_be_written_and_what_was_not_read_has_no_form():
    assert wrong_with(subtype="ULAW") is None
    assert beyond([replace(item(), input=None)]) is None
    assert beyond([replace(item(move("gain", gain_db=-1.0)), deliver_as=None)]) is None


def test_a_stem_stands_in_a_plan_once():
    assert beyond([item(), item(stem="b.wav"), item(stem="b.wav")]) == "b.wav: two entries for one stem"
    assert beyond([]) is None


def test_72_db_of_lift_are_the_most_and_no_more():
    rides = [move("ride", at_most_db=12.0, points=points((0, 12.0)))] * 6
    assert lift(rides) == 72.0
    assert wrong_with(*rides) is None
    assert wrong_with(*rides, move("compress", makeup_db=0.6)) == "its moves lift by 73 dB; allowed: 72 dB"
