"""Sums: what is added, how loud it is, and how a missing or doubled stem shows against a reference mix."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.errors import SongError
from stemwright.handover.alignment import align
from stemwright.handover.sum import sum_song
from stemwright.passes.song import open_song

RATE_HZ = 48_000


@pytest.fixture
def summed(executor):
    def make(folder, name=None, to=None):
        return sum_song(open_song(folder), name, to, executor)

    return make


def beat(noise, seconds=8.0, seed=0, channels=2):
    """Noise in irregular bursts, so that it lies in one place only."""
    random = np.random.default_rng(seed)
    audio = noise(seconds, channels, seed)
    return audio * np.repeat(random.uniform(0, 1, round(seconds * 4)) ** 3, RATE_HZ // 4)[:, None]


def test_the_sum_is_the_plain_sum_and_is_never_clipped(make_song, summed, noise):
    stems = {
        "kick.wav": noise() * 4,
        "gtr_L.wav": noise(channels=1, seed=1),
        "gtr_R.wav": noise(channels=1, seed=2),
        "bass.wav": noise(0.5, 1, 3),
    }
    song = make_song(stems, subtype="FLOAT")
    result = summed(song)
    got, rate_hz = soundfile.read(result.received.path)
    wanted = stems["kick.wav"].copy()
    wanted[:, 0] += stems["gtr_L.wav"][:, 0]
    wanted[:, 1] += stems["gtr_R.wav"][:, 0]
    wanted[:24_000] += stems["bass.wav"]
    assert (rate_hz, soundfile.info(result.received.path).subtype) == (48_000, "FLOAT")
    assert np.abs(got).max() > 1.0
    assert np.abs(got - wanted).max() < 1e-6
    assert result.prepped is None


def test_both_sums_of_a_pass_and_the_gain_between_them(make_song, make_pass, summed, noise):
    song = make_song({"kick.wav": beat(noise), "what.wav": beat(noise, seed=5)})
    make_pass(song)
    before = sorted(path.name for path in (song / "passes/pass-01").rglob("*"))
    result = summed(song, "pass-01")
    wanted = sum(soundfile.read(song / "passes/pass-01/stems" / name)[0] for name in ("kick.wav", "what.wav"))
    got, _ = soundfile.read(result.prepped.path)
    assert np.abs(got - wanted).max() < 1e-6
    assert result.match_gain_db == pytest.approx(result.received.levels.lufs - result.prepped.levels.lufs, abs=0.01)
    assert sorted(path.name for path in (song / "passes/pass-01").rglob("*")) == before
    assert result.received.path.parent == song / "passes/sums"
    assert open_song(song).passes() == ["pass-01"]


def test_more_stems_than_files_may_be_open_at_once(make_song, summed, noise):
    stems = {f"stem {number}.wav": noise(0.2, seed=number) for number in range(110)}
    result = summed(make_song(stems, subtype="FLOAT"))
    assert result.received.stems == 110
    got, _ = soundfile.read(result.received.path)
    assert np.abs(got - sum(stems.values())).max() < 1e-5


def test_skipped_stems_and_the_reference_itself_are_not_added(make_song, summed, noise):
    song = make_song(
        {"kick.wav": noise(), "click.wav": noise(seed=1), "rough mix.wav": noise()},
        "stems: {click: {skip: not music}}\nreference: rough mix.wav\n",
    )
    result = summed(song)
    assert result.received.stems == 1
    assert (result.aligned.offset_frames, round(result.aligned.gain_db, 3)) == (0, 0.0)
    assert result.aligned.residual_db < -120


@pytest.mark.parametrize("shift", [0, 1, -1, 777, -4321, 100_000])
def test_an_offset_is_found_to_the_sample(noise, shift):
    audio = beat(noise)
    ahead, behind = np.zeros((max(shift, 0), 2)), max(-shift, 0)
    reference = np.concatenate([ahead, 0.5 * audio[behind:]])
    found = align(lambda: iter([audio[:50_000], audio[50_000:]]), lambda: iter([reference]))
    assert found.offset_frames == shift
    assert found.gain_db == pytest.approx(-6.02, abs=0.01 if shift >= 0 else 0.5)  # arithmetic: 20 lg 0.5
    if shift >= 0:
        assert found.residual_db < -100


def test_a_missing_stem_shows_as_its_own_level(make_song, summed, noise):
    stems = {name: beat(noise, seed=number) for number, name in enumerate(("kick.wav", "bass.wav", "keys.wav"))}
    song = make_song(
        {"kick.wav": stems["kick.wav"], "bass.wav": stems["bass.wav"]}, "reference: mix/rough.wav\n", subtype="FLOAT"
    )
    (song / "recipes").mkdir()
    (song / "mix").mkdir()
    soundfile.write(song / "mix/rough.wav", sum(stems.values()), RATE_HZ, "FLOAT")
    (song / "session.yaml").write_text("reference: mix/rough.wav\n")
    result = summed(song)
    power = {name: np.sum(audio**2) for name, audio in stems.items()}
    # Arithmetic: independent stems; what is left is the missing one's share of the mix's power.
    wanted = 10 * np.log10(power["keys.wav"] / np.sum(sum(stems.values()) ** 2))
    assert result.aligned.residual_db == pytest.approx(wanted, abs=0.3)


def test_a_reference_at_another_rate_is_brought_over(make_song, summed, noise):
    import soxr

    audio = np.concatenate([beat(noise), np.zeros((4800, 2))])
    freq = np.fft.rfftfreq(len(audio), 1 / RATE_HZ)
    audio = np.fft.irfft(np.fft.rfft(audio, axis=0) * (freq < 15_000)[:, None], len(audio), axis=0)
    song = make_song({"kick.wav": audio}, "reference: rough.wav\n", subtype="FLOAT")
    soundfile.write(song / "rough.wav", soxr.resample(audio, 48_000, 44_100, "VHQ"), 44_100, "FLOAT")
    result = summed(song)
    assert result.aligned.offset_frames == 0
    assert result.aligned.residual_db < -80


def test_a_silent_reference_is_no_crash(make_song, summed, noise):
    song = make_song({"kick.wav": noise(), "rough.wav": np.zeros((4800, 2))}, "reference: rough.wav\n")
    assert summed(song).aligned is None


def test_a_reference_that_is_not_there_is_a_clear_error(make_song, summed):
    song = make_song({"kick.wav": None}, "reference: rough mix.wav\n")
    with pytest.raises(
        SongError,
        match=r"^reference in session.yaml: there is no file 'rough mix.wav' in song; mend its name or take it out$",
    ):
        summed(song)


def test_a_stem_that_changed_since_the_pass_is_refused(make_song, make_pass, summed, noise):
    song = make_song({"kick.wav": None})
    make_pass(song)
    soundfile.write(song / "kick.wav", noise(seed=9), RATE_HZ, "PCM_24")
    with pytest.raises(
        SongError, match=r"kick.wav is missing or not what pass-01 says; see: stemwright verify SONG pass-01"
    ):
        summed(song, "pass-01")


@pytest.mark.parametrize("bad", [np.nan, -np.inf, 2e9])
def test_a_sum_never_holds_what_is_no_sample(make_song, summed, noise, bad):
    audio = noise()
    audio[1000, 1] = bad
    song = make_song({"kick.wav": None, "piano.wav": audio}, subtype="FLOAT")
    with pytest.raises(SongError, match=r"piano\.wav holds samples that are no numbers; see: stemwright look SONG"):
        summed(song)
    assert sorted(song.rglob("*.wav")) == [song / "kick.wav", song / "piano.wav"]
