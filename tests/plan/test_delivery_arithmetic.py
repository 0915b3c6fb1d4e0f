"""Lengths and names of files on paper: which stem is the longest in time, what a float file is called, what a name may be."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from stemwright.errors import SongError
from stemwright.plan.delivery import _named, _one_length, _rename, deliver_all, float_name
from stemwright.plan.items import DeliverAs, InputFacts, PlanItem, PlannedMove
from stemwright.recipes.deliver import Deliver
from stemwright.stems.info import AudioInfo

GAIN = PlannedMove(kind="gain", name="g", why="", settings={"gain_db": -1.0}, sections=((0.9, 0.0, 0.0, 1.0, 0.0, 0.0),))


def item(stem="kick.wav", frames=48_000, rate_hz=48_000, *, moves=(GAIN,), container="WAV", subtype="PCM_24", path=None):
    received = InputFacts(
        path=stem, sha256="0" * 64, frames=frames, channels=2, rate_hz=rate_hz, container=container, subtype=subtype
    )
    form = DeliverAs(path=path or stem, container=container, subtype=subtype, rate_hz=rate_hz, frames=frames)
    return PlanItem(
        stem=stem, input=received, role="kick", recipe="kick", matched_by="", status="prepped", why="", moves=moves,
        deliver_as=form, seed=1,
    )  # fmt: skip


def lengths(*items):
    return [each.file.frames for each in _one_length(items)]


# By time, not by samples: two seconds at 44.1 kHz are longer than one at 96 kHz, and each file gets the frames of its own rate.
def test_the_longest_is_so_by_time():
    assert lengths(item(frames=96_000, rate_hz=96_000), item(frames=88_200, rate_hz=44_100)) == [192_000, 88_200]
    assert lengths(item(frames=10), item(frames=48_001), item(frames=24_000, rate_hz=24_000)) == [48_001, 48_001, 24_001]


def test_no_file_is_cut():
    # 11,025 frames at 44.1 kHz are a quarter of a second; 12,001 at 48 kHz a little more: 11,026 at 44.1 kHz.
    assert lengths(item(frames=11_025, rate_hz=44_100), item(frames=12_001)) == [11_026, 12_001]
    assert lengths(item(frames=5), item(frames=5)) == [5, 5]


def test_what_is_not_written_has_no_length():
    skipped = PlanItem(stem="a.wav", input=None, role=None, recipe=None, matched_by="", status="skipped", why="")
    assert _one_length([skipped]) == [skipped]
    assert _one_length([skipped, item(frames=7)])[0] == skipped
    unwritten = replace(item(frames=5), deliver_as=None)
    assert _one_length([unwritten, item(frames=7)])[0] == unwritten


KICK = SimpleNamespace(
    info=AudioInfo(
        container="WAV",
        subtype="PCM_24",
        rate_hz=48_000,
        channels=2,
        frames=48_000,
        promised_frames=48_000,
        bits=24,
        lossy=False,
    )
)


# Its own rate, or what a stem is already, is no other form; another length of all or other names leave the form.
@pytest.mark.parametrize(
    ("asked", "form"),
    [
        ({"rate_hz": 48_000}, ("WAV", "PCM_24", 48_000, 48_000)),
        ({"rate_hz": 96_000}, ("WAV", "PCM_24", 96_000, 96_000)),
        ({"bits": 16}, ("WAV", "PCM_16", 48_000, 48_000)),
        ({"container": "FLAC"}, ("FLAC", "PCM_24", 48_000, 48_000)),
        ({"same_length": True}, ("WAV", "PCM_24", 48_000, 48_000)),
    ],
)
def test_a_stem_gets_the_form_that_is_asked_for(asked, form):
    (found,) = deliver_all([item()], {"kick.wav": KICK}, Deliver(**asked), "Song")
    assert (found.file.container, found.file.subtype, found.file.rate_hz, found.file.frames) == form
    assert found == item() or form != ("WAV", "PCM_24", 48_000, 48_000)


def test_what_was_not_read_keeps_its_form():
    for unread in (item(), replace(item(), deliver_as=None), replace(item(), input=None)):
        facts = {} if unread == item() else {"kick.wav": KICK}
        assert deliver_all([unread], facts, Deliver(bits=16), "Song") == [unread]


def test_a_copy_that_grows_is_written_and_a_lossy_one_becomes_a_wav():
    copy = item("pad.wav", frames=10, moves=())
    grown, _ = _one_length([copy, item(frames=20)])
    assert (grown.file.frames, grown.copied, grown.seed is not None) == (20, False, True)
    lossy = item("pad.mp3", frames=10, moves=(), container="MP3", subtype="MPEG_LAYER_III")
    wav, _ = _one_length([lossy, item(frames=20)])
    assert (wav.file.path, wav.file.container, wav.file.subtype) == ("pad.wav", "WAV", "PCM_24")


@pytest.mark.parametrize(
    ("made", "template", "path"),
    [
        (item(), "{song}_{stem}_{rate}_{bits}", "Night drive_kick_48k_24b.wav"),
        (item(rate_hz=44_100, subtype="PCM_16"), "{stem}-{role}-{rate}-{bits}", "kick-kick-44.1k-16b.wav"),
        (item(subtype="FLOAT"), "{stem}_{bits}", "kick_32f.wav"),
        (item(subtype="DOUBLE"), "{stem}_{bits}", "kick_64f.wav"),
        (item(subtype="MPEG_LAYER_III", container="MP3", stem="kick.mp3"), "{stem}_{bits}", "kick_mpeg_layer_iii.mp3"),
        (item("drums/kick in.wav"), "delivery", "drums/NightDrive_KickIn_48k_24b.wav"),
        (item("kick.wav", rate_hz=44_100), "delivery", "NightDrive_Kick_44k1_24b.wav"),
        (item("kick.wav", rate_hz=88_200), "delivery", "NightDrive_Kick_88k2_24b.wav"),
        (item("kick.wav", rate_hz=96_000), "delivery", "NightDrive_Kick_96k_24b.wav"),
        (item("kick.wav", path="kick.flac", container="FLAC"), "{stem}", "kick.flac"),
    ],
)
def test_names(made, template, path):
    assert _rename(made, template, "Night drive").file.path == path


@pytest.mark.parametrize(
    ("made", "name"),
    [
        (item(path="Song_Kick_48k_24b.wav"), "Song_Kick_48k_32f.wav"),
        (item(path="kick.wav"), "kick.wav"),
        (item("kick_24b.wav"), "kick_24b.wav"),  # its own name says so, and stays
        (item(path="a_16b.wav"), "a_16b.wav"),
        (item(path="kick.flac", container="FLAC"), "kick.wav"),
        (item(path="Song_Kick_24b.flac", container="FLAC"), "Song_Kick_32f.wav"),
        (item(path="kick.aif", container="AIFF"), "kick.aif"),
    ],
)
def test_the_name_of_a_file_that_has_to_be_float(made, name):
    assert float_name(made) == name


# 255 bytes are what every common file system holds; the ending counts.
@pytest.mark.parametrize(("letters", "fine"), [(251, True), (252, False)])
def test_a_name_has_255_bytes_at_most(letters, fine):
    named = [item("k" * letters + ".wav")]
    if fine:
        assert len(_named(named, "{stem}", "Song")[0].file.path) == 255
        return
    with pytest.raises(SongError, match="would get a name of 256 bytes; 255 are allowed"):
        _named(named, "{stem}", "Song")


def test_names_that_differ_in_capitals_or_in_how_accents_are_written_are_one():
    for pair in (("Kick.wav", "kick.flac"), ("caf\u00e9.wav", "cafe\u0301.flac")):
        first, second = pair[0], pair[1].replace(".flac", ".wav")
        with pytest.raises(SongError) as caught:
            _named([item(pair[0], path=first), item(pair[1], path=second)], "{stem}", "Song")
        assert f"{pair[0]!r} and {pair[1]!r} would all be {pair[0]!r}; put" in str(caught.value)
    assert len(_named([item("a.wav"), item("b.wav")], "{stem}", "Song")) == 2
