"""One plan item to one file: what is written and measured, what goes over, what no sound is, and what stops it."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import numpy as np
import pytest
import soundfile

from stemwright.dsp.loudness import Levels
from stemwright.passes.delivered import STOP_FILE, StoppedError, as_delivered, blocks_of, check_peak
from stemwright.passes.render import Rendered, RenderJob, foretell, render
from stemwright.plan.items import DeliverAs, InputFacts, PlanItem, PlannedMove
from stemwright.plan.resolve import sections_of
from stemwright.stems.audio import probe
from stemwright.stems.info import OutputSpec
from stemwright.stems.survey import file_sha256, stamp_of

RATE_HZ, FRAMES = 8_000, 4_000
STEP = 2.0**-23  # of a 24-bit word
TONE = 0.25 * np.sin(2 * np.pi * 400.0 * np.arange(FRAMES) / RATE_HZ)[:, np.newaxis]


def gain(gain_db):
    sections = sections_of("gain", {"gain_db": gain_db}, RATE_HZ)
    return PlannedMove(kind="gain", name="level", why="", settings={"gain_db": gain_db}, sections=sections)


@pytest.fixture
def job(tmp_path):
    """Return a maker of jobs: the sound as received, its word, the moves and the form it goes out in."""

    def make(*moves, audio=TONE, subtype="PCM_24", name="a.wav", **form):
        source = tmp_path / name
        soundfile.write(source, audio, RATE_HZ, subtype)
        folder = tmp_path / "building" / "stems"
        folder.mkdir(parents=True, exist_ok=True)
        info = probe(source)
        received = InputFacts(
            path=name, sha256=file_sha256(source), frames=info.frames, channels=info.channels, rate_hz=RATE_HZ,
            container=info.container, subtype=subtype,
        )  # fmt: skip
        asked = {"path": name, "container": info.container, "subtype": subtype, "rate_hz": RATE_HZ, "frames": info.frames}
        item = PlanItem(
            stem=name, input=received, role=None, recipe=None, matched_by="", status="prepped", why="", moves=moves,
            seed=5, deliver_as=DeliverAs(**(asked | form)),
        )  # fmt: skip
        return RenderJob(item=item, source=source, folder=folder, stamp=stamp_of(source), float_path="over.wav")

    return make


def written(asked, path=None):
    return soundfile.read(asked.folder / (path or asked.item.deliver_as.path), always_2d=True)


# A gain of -6.02 dB is half; dither of one step and half a step of rounding.
def test_what_is_written_is_the_sound_after_its_moves_and_both_are_measured(job):
    asked = job(gain(-6.0206))
    done = render(asked)
    audio, rate_hz = written(asked)
    assert np.abs(audio - TONE / 2).max() <= 1.5 * STEP
    assert (rate_hz, done.stem, done.problem, done.went_over, done.messages) == (RATE_HZ, "a.wav", None, False, ())
    # A sine of 0.25 has an RMS of 20 lg(0.25 / sqrt 2) = -15.05 dBFS; a peak of -12.04.
    assert done.before.rms_dbfs == pytest.approx(-15.05, abs=0.01)
    assert done.after.rms_dbfs == pytest.approx(-21.07, abs=0.01)
    assert done.after.sample_peak_dbfs == pytest.approx(-18.06, abs=0.01)
    assert done.output.sha256 == file_sha256(asked.folder / "a.wav")
    samples = soundfile.read(asked.folder / "a.wav", dtype="int32")[0]
    assert done.output.samples_sha256 == hashlib.sha256((samples >> 8).astype("<i4").tobytes()).hexdigest()
    assert (done.overview.highs.max(), done.overview.lows.min()) == pytest.approx((0.125, -0.125), abs=1e-3)
    assert [path.name for path in asked.folder.parent.iterdir()] == ["stems"]


def test_a_stem_without_moves_in_its_own_form_is_the_same_bytes_and_no_samples_are_hashed(job):
    asked = job()
    done = render(asked)
    assert (asked.folder / "a.wav").read_bytes() == asked.source.read_bytes()
    assert (done.output.sha256, done.output.samples_sha256) == (asked.item.input.sha256, None)
    assert (done.before, done.overview) == (done.after, None)
    assert done.before.rms_dbfs == pytest.approx(-15.05, abs=0.01)


def test_a_stem_that_is_not_written_is_nothing(job):
    asked = job(gain(-3.0))
    for item in (replace(asked.item, deliver_as=None), replace(asked.item, input=None)):
        assert render(replace(asked, item=item)) == Rendered(stem="a.wav", output=None, before=None, after=None)
        assert foretell(replace(asked, item=item)) is None
    assert not any(asked.folder.iterdir())


def test_the_same_item_gives_the_same_bytes_and_another_seed_other_dither(job):
    first, again = render(job(gain(-3.0))), render(job(gain(-3.0)))
    assert first == again
    other = job(gain(-3.0))
    assert render(replace(other, item=replace(other.item, seed=6))).output.samples_sha256 != first.output.samples_sha256


def test_what_goes_over_full_scale_is_written_as_float_under_its_own_name_and_said(job):
    asked = job(gain(18.0618))  # eightfold: 2.0, which a sine of 400 Hz meets at 8 kHz
    done = render(asked)
    audio, _ = written(asked, "over.wav")
    assert np.abs(audio - 8 * TONE).max() <= 1e-4
    assert soundfile.info(asked.folder / "over.wav").subtype == "FLOAT"
    assert (done.output.path, done.output.subtype, done.went_over) == ("over.wav", "FLOAT", True)
    assert done.messages == ("goes 6.0 dB over full scale, so it is written as 32-bit float",)
    assert done.after.sample_peak_dbfs == pytest.approx(6.02, abs=0.01)
    assert [path.name for path in asked.folder.iterdir()] == ["over.wav"]
    assert np.abs(done.overview.highs.max() - 2.0) <= 0.01


@pytest.mark.parametrize("subtype", ["FLOAT", "DOUBLE"])
def test_floats_go_over_as_they_are(job, subtype):
    asked = job(gain(18.0618), subtype=subtype)
    done = render(asked)
    assert (done.output.path, done.output.subtype, done.went_over, done.messages) == ("a.wav", subtype, False, ())
    assert np.abs(written(asked)[0]).max() == pytest.approx(2.0, abs=0.01)
    kind = {"FLOAT": "<f4", "DOUBLE": "<f8"}[subtype]
    stored = soundfile.read(asked.folder / "a.wav", dtype={"FLOAT": "float32", "DOUBLE": "float64"}[subtype])[0]
    assert done.output.samples_sha256 == hashlib.sha256(stored.astype(kind).tobytes()).hexdigest()


def test_a_flac_stays_one_and_becomes_a_float_wav_where_it_would_go_over(job):
    asked = job(gain(-6.0206), name="a.flac")
    done = render(asked)
    assert (done.output.container, done.output.subtype) == ("FLAC", "PCM_24")
    assert np.abs(written(asked)[0] - TONE / 2).max() <= 1.5 * STEP
    over = render(job(gain(18.0618), name="a.flac"))
    assert (over.output.container, over.output.subtype, over.output.path) == ("WAV", "FLOAT", "over.wav")


# 60 dB over full scale is a factor of 1000.
@pytest.mark.parametrize(
    ("peak", "message"),
    [
        (1000.0, None),
        (-1000.0, None),
        (1001.0, "take it 60 dB over full scale"),
        (-2000.0, "take it 66 dB over full scale"),
        (np.inf, "take it without bound over full scale"),
        (np.nan, "take it without bound over full scale"),
    ],
)
def test_what_is_written_is_60_db_over_full_scale_at_most(peak, message):
    block = np.array([[0.5, -0.5], [peak, 0.0]])
    if message is None:
        check_peak(block)
        return
    with pytest.raises(Exception, match=message) as caught:
        check_peak(block)
    assert str(caught.value).endswith(
        " over full scale; at most 60 dB are written; lower the stem, or tell session.yaml to leave it with a reason"
    )


def test_a_stem_at_fault_is_a_problem_and_leaves_nothing(job):
    broken = TONE.copy()
    broken[100] = np.nan
    asked = job(gain(-3.0), audio=broken, subtype="FLOAT")
    done = render(asked)
    assert done.output is None
    assert done.problem.startswith(
        "holds samples that are no numbers (NaN, infinite, or 180 dB over full scale), which would "
    )
    failed = done.entry(asked.item)
    assert (failed.item.status, failed.item.why, failed.output) == ("failed", done.problem, None)
    assert foretell(asked) is None
    assert not any(asked.folder.iterdir())
    assert [path.name for path in asked.folder.parent.iterdir()] == ["stems"]


def test_a_file_that_changed_since_it_was_hashed_is_not_rendered(job):
    asked = job(gain(-3.0))
    asked.source.touch()
    done = render(replace(asked, stamp=replace(asked.stamp, mtime_ns=1)))
    assert done.problem == "the file changed while the pass was being made; run it again"
    assert not any(asked.folder.iterdir())


@pytest.mark.parametrize("more", [1, 1_000])
def test_more_frames_than_the_sound_has_are_silence(job, more):
    asked = job(gain(-6.0206), frames=FRAMES + more, subtype="FLOAT")
    assert render(asked).problem is None
    audio, _ = written(asked)
    assert len(audio) == FRAMES + more
    assert not audio[FRAMES:].any()
    assert np.abs(audio[:FRAMES] - TONE / 2).max() <= 1e-6


def test_another_rate_keeps_the_sound_and_has_the_frames_asked_for(job):
    asked = job(gain(0.0), rate_hz=16_000, frames=2 * FRAMES, subtype="FLOAT")
    done = render(asked)
    audio, rate_hz = written(asked)
    assert (rate_hz, len(audio)) == (16_000, 2 * FRAMES)
    middle = slice(2_000, 6_000)
    tone = 0.25 * np.sin(2 * np.pi * 400.0 * np.arange(2 * FRAMES) / 16_000)[:, np.newaxis]
    assert np.abs(audio - tone)[middle].max() <= 1e-3
    assert done.after.rms_dbfs == pytest.approx(-15.05, abs=0.05)


# A pass is made of moves in order; what is foretold of them is what their file has, but for its dither.
def test_what_is_foretold_is_what_is_written(job):
    asked = job(gain(-3.0), gain(-3.0206))
    before, after = foretell(asked)
    assert (before.rms_dbfs, after.rms_dbfs) == (pytest.approx(-15.05, abs=0.01), pytest.approx(-21.07, abs=0.01))
    assert foretell(job()) is None  # nothing is done to it
    assert not any(asked.folder.iterdir())


def test_a_run_that_is_asked_to_stop_stops_and_so_does_one_whose_pass_is_gone(job, tmp_path):
    asked = job(gain(-3.0))
    info = probe(asked.source)
    building = asked.folder.parent
    assert sum(map(len, blocks_of(asked.source, info, building))) == FRAMES
    (building / STOP_FILE).touch()
    with pytest.raises(StoppedError):
        next(blocks_of(asked.source, info, building))
    with pytest.raises(StoppedError):
        render(asked)
    with pytest.raises(StoppedError):
        next(blocks_of(asked.source, info, tmp_path / "gone"))
    assert sum(map(len, blocks_of(asked.source, info, None))) == FRAMES


def test_silence_at_the_end_comes_in_blocks_of_the_channels(job):
    info = replace(probe(job().source), channels=3)
    spec = OutputSpec(container="WAV", subtype="PCM_24", rate_hz=RATE_HZ, channels=3)
    blocks = list(as_delivered(info, spec, 70_000, [np.ones((10, 3)), np.ones((0, 3))]))
    assert {each.shape[1] for each in blocks} == {3}
    assert all(len(each) for each in blocks)
    whole = np.concatenate(blocks)
    assert (len(whole), float(whole.sum())) == (70_000, 30.0)
    assert list(as_delivered(info, spec, 10, [np.ones((10, 3))]))[-1].all()


def test_what_a_file_says_beside_its_sound_and_cannot_be_kept_is_said(job, monkeypatch):
    monkeypatch.setattr("stemwright.passes.render.read_kept", lambda *_: ([], ["iXML", "cart"]))
    assert render(job(gain(-3.0))).messages == (
        "what its file says beside the audio (iXML, cart) did not fit into this WAV",
    )


def test_an_entry_has_levels_to_a_hundredth_and_the_gain_that_makes_both_as_loud(job):
    asked = job(gain(-6.0206))
    done = Rendered(
        stem="a.wav",
        output=None,
        before=Levels(lufs=-20.126, rms_dbfs=-15.0),
        after=Levels(lufs=-26.147),
        messages=("said",),
    )
    made = done.entry(asked.item)
    assert (made.levels.before.lufs, made.levels.after.lufs, made.match_gain_db) == (-20.13, -26.15, 6.02)
    assert (made.item, made.messages, made.went_over, made.taken_from) == (asked.item, ("said",), False, None)
