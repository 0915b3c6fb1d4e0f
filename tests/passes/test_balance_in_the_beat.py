"""A plan's stems as a beat: what is heard of a change, what is offered for one over another, and who covers the voice of a pass."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from stemwright.dsp.bands import CENTRES_HZ
from stemwright.errors import SongError
from stemwright.notes.frames import Relation
from stemwright.passes import balance as balancing
from stemwright.passes import in_the_beat
from stemwright.passes.balance import Judged, balance, covered_in
from stemwright.passes.in_the_beat import PlannedBeat
from stemwright.plan.balance import Balance, Covered
from stemwright.plan.cures import Cure
from stemwright.plan.items import DeliverAs, InputFacts, PlanItem, PlannedMove
from stemwright.plan.only import Only
from stemwright.recipes.timeline import Timeline

RATE_HZ, FRAMES = 1000, 400  # of 10 ms
FLAT = np.ones((FRAMES, len(CENTRES_HZ)))


def gain(gain_db, *spans, name="level"):
    only = Only(said=("there",), fade_frames=1, spans=spans) if spans else None
    return PlannedMove(kind="gain", name=name, why="", settings={"gain_db": gain_db}, only=only)


def item(stem, *moves, role=None, family=None):
    received = InputFacts(
        path=stem, sha256=stem, frames=4000, channels=1, rate_hz=RATE_HZ, container="WAV", subtype="PCM_24"
    )
    form = DeliverAs(path=stem, container="WAV", subtype="PCM_24", rate_hz=RATE_HZ, frames=4000)
    return PlanItem(
        stem=stem, input=received, role=role, family=family, recipe=None, matched_by="", status="prepped", why="",
        moves=moves, deliver_as=form,
    )  # fmt: skip


@pytest.fixture
def beat(monkeypatch):
    """Return a maker of beats: items, and the level of each in dB, or its powers."""

    def make(*held):
        power = {
            each.stem: level if isinstance(level, np.ndarray) else FLAT * 10.0 ** (level / 10.0) for each, level in held
        }
        monkeypatch.setattr(in_the_beat, "kept_matrices", lambda _, hashes: {stem: power[stem] for stem in hashes})
        return PlannedBeat(SimpleNamespace(), [each for each, _ in held])

    return make


# Noise hides what lies 4 dB under it: 20 dB under the other is covered, 20 dB over it heard.
@pytest.mark.parametrize(("level", "said"), [(-20.0, "covered by over.wav nearly always"), (20.0, "heard")])
def test_a_change_is_judged_among_the_other_stems(beat, level, said):
    keys = item("keys.wav")
    found = beat((keys, level), (item("over.wav"), 0.0)).judged([replace(keys, moves=(gain(2.0),))])
    assert list(found) == ["keys.wav"]
    assert found["keys.wav"].startswith(f"all of it +2 dB in the beat: {said}")


def test_what_the_same_note_does_to_the_others_counts(beat):
    # 2 dB under the other it is heard; when the same note lifts that one by 12 dB it is covered.
    keys, over = item("keys.wav"), item("over.wav")
    both = beat((keys, -2.0), (over, 0.0))
    assert both.judged([replace(keys, moves=(gain(2.0),))])["keys.wav"].endswith(": heard")
    found = both.judged([replace(keys, moves=(gain(2.0),)), replace(over, moves=(gain(12.0),))])
    assert "covered by over.wav" in found["keys.wav"]
    assert found["over.wav"].endswith(": heard")


def test_what_changes_nothing_that_is_heard_or_is_no_stem_of_the_beat_is_not_said(beat):
    keys = item("keys.wav")
    ride = PlannedMove(kind="ride", name="ride", why="", settings={}, points=((0, 9.0, 2.8), (4000, 9.0, 2.8)))
    known = beat((keys, -20.0), (item("over.wav"), 0.0))
    assert known.known
    assert known.judged([replace(keys, moves=(ride,))]) == {}  # each phrase its own level, no change of a band
    assert known.judged([item("strange.wav", gain(2.0))]) == {}


def test_a_beat_that_was_never_listened_to_says_nothing_and_offers_nothing(monkeypatch):
    monkeypatch.setattr(in_the_beat, "kept_matrices", lambda *_: None)
    unknown = PlannedBeat(SimpleNamespace(), [item("keys.wav")])
    relation = Relation(front=("keys.wav",), over=("keys.wav",), text="room")
    assert (unknown.known, unknown.judged([item("keys.wav", gain(2.0))]), unknown.offered(relation, Timeline())) == (
        False,
        {},
        relation,
    )


def test_stems_without_a_file_are_no_part_of_a_beat(monkeypatch):
    asked = []
    monkeypatch.setattr(in_the_beat, "kept_matrices", lambda _, hashes: asked.append(hashes))
    PlannedBeat(
        SimpleNamespace(), [item("a.wav"), replace(item("b.wav"), input=None), replace(item("c.wav"), deliver_as=None)]
    )
    assert asked == [{"a.wav": "a.wav"}]


# The other sounds in the first two seconds only. A change there is covered, a change after them heard; everywhere: both counts.
@pytest.mark.parametrize(
    ("moves", "said"),
    [
        ((gain(2.0, (0, 2000)),), "covered by over.wav nearly always"),
        ((gain(2.0, (2000, 4000)),), "heard"),
        ((gain(2.0, (1900, 4000)),), "heard"),
        ((gain(2.0),), "heard"),
        ((gain(2.0, (0, 2000)), gain(2.0, (2000, 4000), name="second")), "heard"),
    ],
)
def test_a_change_in_a_place_is_judged_in_it(beat, moves, said):
    over = FLAT.copy()
    over[200:] = 1e-9
    keys = item("keys.wav")
    found = beat((keys, -20.0), (item("over.wav"), over)).judged([replace(keys, moves=moves)])
    assert f"in the beat: {said}" in found["keys.wav"]


def test_a_move_that_was_there_before_says_nothing_of_where_to_look(beat):
    over = FLAT.copy()
    over[200:] = 1e-9
    old = gain(1.0, name="old")  # everywhere, and not new
    keys = item("keys.wav", old)
    found = beat((keys, -20.0), (item("over.wav"), over)).judged([replace(keys, moves=(old, gain(2.0, (0, 2000))))])
    assert "covered by over.wav nearly always" in found["keys.wav"]


def test_one_over_another_is_offered_two_ways_out_where_the_stems_show_it(beat):
    front, over = item("keys.wav"), item("pad.wav")
    relation = Relation(front=("keys.wav",), over=("pad.wav",), text="keys under the pad")
    found = beat((front, -7.0), (over, 0.0)).offered(relation, Timeline())
    # 7 dB under, 4 dB of which hide nothing: from 3 dB on all of it is heard, by either way.
    assert found.text.startswith("keys under the pad (100% of it covered, most at ")
    less, more = found.offers
    assert less.startswith('"pad.wav": cut 3 dB at ')
    assert more == '"keys.wav": +3 dB'
    clear = beat((front, 20.0), (over, 0.0)).offered(relation, Timeline())
    assert (clear.text, clear.offers) == ("keys under the pad (less than a tenth of it is covered)", ())
    strange = replace(relation, over=("nobody.wav",))
    assert beat((front, -7.0), (over, 0.0)).offered(strange, Timeline()) == strange


def test_of_several_stems_on_a_side_each_is_in_the_offer(beat):
    both = Relation(front=("a.wav", "b.wav"), over=("c.wav", "d.wav"), text="room")
    found = beat((item("a.wav"), -20.0), (item("b.wav"), -20.0), (item("c.wav"), 0.0), (item("d.wav"), 0.0)).offered(
        both, Timeline()
    )
    assert found.offers[0].startswith('"c.wav" and "d.wav": cut ')
    assert found.offers[1].startswith('"a.wav" and "b.wav": +')


def a_pass(*items):
    return SimpleNamespace(written={each.stem: SimpleNamespace(item=each) for each in items})


@pytest.fixture
def judged(monkeypatch):
    """Return what is handed to the judge of a pass's stems: the powers, the front, and whether it is a voice."""

    def make(*items, known=True):
        asked = []
        power = {each.stem: FLAT for each in items}
        monkeypatch.setattr(
            balancing, "kept_matrices", lambda _, hashes: {each: power[each] for each in hashes} if known else None
        )
        monkeypatch.setattr(balancing, "Beat", lambda power, front, *, voice: asked.append((power, front, voice)))
        monkeypatch.setattr(balancing, "judge", lambda _: "judged")
        found = covered_in(SimpleNamespace(), a_pass(*items))
        return (found, *asked)

    return make


LEAD = item("lead vocal.wav", gain(10.0), role="lead vocal", family="vocals")


def test_the_lead_of_a_pass_is_judged_as_the_pass_has_it_among_the_others(judged):
    found, (power, front, voice) = judged(LEAD, item("keys.wav"), item("adlib.wav", role="adlibs"))
    assert (found, front, voice) == ("judged", ["lead vocal.wav"], True)
    assert power["lead vocal.wav"] == pytest.approx(FLAT * 10.0)
    assert np.array_equal(power["keys.wav"], FLAT)
    sides = [item(f"vox {side}.wav", role="lead vocal" if side == "L" else None) for side in "LR"]
    _, (_, front, voice) = judged(*sides, item("keys.wav"))
    assert (front, voice) == (["vox L.wav", "vox R.wav"], False)


def test_without_a_lead_or_anything_beside_it_or_what_was_heard_nothing_is_said(judged):
    assert judged(item("keys.wav"), item("pad.wav")) == (None,)
    assert judged(LEAD) == (None,)
    assert judged(LEAD, item("keys.wav"), known=False) == (None,)
    assert judged(replace(LEAD, input=None), item("keys.wav")) == (None,)


def look_of(*stems, last=None, usable=True):
    assignments = {
        stem: SimpleNamespace(skip=skip, recipe=None if role is None else SimpleNamespace(role=role, family=family))
        for stem, role, family, skip in stems
    }
    facts = {stem: SimpleNamespace(usable=usable, sha256=stem, source=stem, stamp=None) for stem, *_ in stems}
    return SimpleNamespace(
        facts=facts, assignments=assignments, song=SimpleNamespace(folder=SimpleNamespace(name="song")), last=last,
        sheet=SimpleNamespace(timeline=None),
    )  # fmt: skip


VOICE = ("lead.wav", "lead vocal", "vocals", False)


@pytest.mark.parametrize(
    ("stems", "front", "message"),
    [
        (
            [("keys.wav", "keys", "music", False)],
            None,
            "song: no lead vocal in this song; name the stem in front with --front STEM",
        ),
        ([VOICE], None, "song: nothing is there beside lead.wav, so nothing can cover it"),
        (
            [VOICE, ("keys.wav", "keys", "music", True)],
            None,
            "song: nothing is there beside lead.wav, so nothing can cover it",
        ),
    ],
)
def test_a_song_that_cannot_be_judged_says_why(stems, front, message):
    with pytest.raises(SongError) as caught:
        balance(look_of(*stems), [], None, front)
    assert str(caught.value) == message


# Phrases 7 dB apart by turns are spread by 3.5 dB; over 3 dB a voice that is not ridden yet is proposed a ride.
@pytest.mark.parametrize(
    ("apart_db", "stems", "moves", "ride"),
    [
        (7.0, [VOICE], (), "ride the vocal"),
        (5.0, [VOICE], (), None),
        (7.0, [("lead.wav", "lead vocal", "music", False)], (), None),
        (7.0, [("other.wav", "adlibs", "vocals", False)], (), "ride the adlibs"),
        (7.0, [VOICE], (PlannedMove(kind="ride", name="ride", why="", settings={}),), None),
        (7.0, [VOICE], (gain(-20.0, (0, 1500)), gain(-20.0, (2500, 4000))), "ride the vocal"),
        (5.0, [VOICE], (gain(4.0, (0, 1500)),), "ride the vocal"),
    ],
)
def test_an_uneven_voice_is_proposed_a_ride(monkeypatch, apart_db, stems, moves, ride):
    front = stems[0][0]
    voice = FLAT * 1e-9
    voice[:150], voice[250:] = 1.0, 10.0 ** (-apart_db / 10.0)
    power = {front: voice, "keys.wav": FLAT * 1e-3}
    monkeypatch.setattr(balancing, "matrices", lambda _song, wanted, _pool: {stem: power[stem] for stem in wanted})
    seen = look_of(*stems, ("keys.wav", "keys", "music", False))
    gone = item("gone.wav", gain(-3.0))  # of which nothing was heard
    found = balance(seen, [item(front, *moves), gone], None, None if front == "lead.wav" else front)
    assert (found.ride, found.heard_as, found.balance.front) == (ride, "received", (front,))
    assert balance(replace_last(seen), [], None, front).heard_as == "pass-04"


def replace_last(seen):
    return SimpleNamespace(**{**vars(seen), "last": SimpleNamespace(name="pass-04")})


@pytest.mark.parametrize(("spread_db", "ride"), [(3.0, None), (3.01, "ride the vocal")])
def test_a_spread_of_3_db_is_even_enough(monkeypatch, spread_db, ride):
    monkeypatch.setattr(balancing, "matrices", lambda _song, wanted, _pool: dict.fromkeys(wanted, FLAT))
    monkeypatch.setattr(balancing, "spread_db", lambda _: spread_db)
    found = balance(look_of(VOICE, ("keys.wav", "keys", "music", False)), [], None)
    assert (found.spread_db, found.ride) == (spread_db, ride)


def test_a_balance_as_plain_values_has_each_place_with_when_and_the_move():
    cure = Cure(stem="keys.wav", gain_db=-3.0, freq_hz=None, q=1.0, index=0.6, enough=True)
    place = Covered(start_s=1.0, end_s=2.0, index=0.3, drop=0.2, bands_hz=((100.0, 200.0),), culprits=(), cure=cure)
    found = Judged(
        heard_as="pass-01", timeline=Timeline(), spread_db=2.0, ride=None, sides={},
        balance=Balance(front=("lead.wav",), voice=True, median=0.5, covered=(place, replace(place, cure=None))),
    )  # fmt: skip
    data = found.as_json()
    assert [each["note"] for each in data["covered"]] == ['"keys.wav": -3 dB, only 0:01-0:02', None]
    assert [each["when"] for each in data["covered"]] == ["0:01", "0:01"]
    assert (data["heard_as"], data["median"], data["spread_db"], data["ride"]) == ("pass-01", 0.5, 2.0, None)
    assert len(found.lines) == 2
