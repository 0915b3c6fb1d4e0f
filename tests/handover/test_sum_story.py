"""The story of a sum: loudness, spectrum and families of the whole beat, told after a pass and against a reference mix."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
import soundfile

from stemwright.cli import main
from stemwright.dsp.loudness import Levels
from stemwright.errors import SongError
from stemwright.handover.sum import sum_song
from stemwright.handover.sum_parts import Band, Family, family_moves
from stemwright.handover.sum_story import SumChange, tell_sum
from stemwright.passes.kit_phase import KitPhase
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.song import open_song
from stemwright.passes.stretches import Stretch, SumLevels, stretches_of

RATE_HZ = 48_000
DOWN = (
    "recipe: ours\nabout: for this test\nfamily: music\nstems: {names: [zq]}\n"
    "moves:\n  - gain: {gain: -6 dB}\n    why: quieter\n"
)


@pytest.fixture
def song(make_song):
    """Return a maker of songs in which zq is turned down by 6 dB and nothing else is touched."""

    def make(stems, *, reference=None, gain_db=-6):
        left = "".join(f"  {name}: {{leave: as it is}}\n" for name in stems if name not in ("zq.wav", "mix.wav"))
        sheet = (f"stems:\n{left}" if left else "") + (f"reference: {reference}\n" if reference else "")
        folder = make_song(stems, sheet, subtype="FLOAT")
        (folder / "recipes").mkdir()
        (folder / "recipes" / "ours.yaml").write_text(DOWN.replace("-6", f"{gain_db:+g}"), encoding="utf-8")
        return folder

    return make


@pytest.fixture
def told(make_pass, executor):
    def tell(folder):
        make_pass(folder)
        return tell_sum(open_song(folder), read_manifest(folder / "passes" / "pass-01"), executor)

    return tell


def tones(*levels, seconds=4.0):
    """Return sines in the middle of the bands 250 to 500 Hz and 2 to 4 kHz."""
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    audio = sum(gain * np.sin(2 * np.pi * freq_hz * time_s) for gain, freq_hz in zip(levels, (350, 2800), strict=True))
    audio *= np.minimum(1.0, 4.0 * np.minimum(time_s, time_s[::-1]))  # an edge would sound in every band
    return np.stack([audio, audio], axis=1)


def test_a_gain_of_6_db_is_6_db_of_loudness_and_peak_and_no_change_of_spectrum(song, told, noise):
    found = told(song({"zq.wav": noise(3.0)}))
    assert found.received.after.lufs - found.received.before.lufs == pytest.approx(-6.0, abs=0.01)
    assert found.received.after.true_peak_dbtp - found.received.before.true_peak_dbtp == pytest.approx(-6.0, abs=0.01)
    assert all(abs(each.change_db) <= 0.01 for each in found.received.bands)
    assert found.lines[0].endswith("equally loud, no band changed by 0.1 dB (all of the song, 1 stem at unity)")
    assert len(found.lines) == 1


def test_a_silent_sum_is_said_to_be_silent(song, told):
    found = told(song({"zq.wav": np.zeros((RATE_HZ, 2))}))
    assert found.lines == ("the sum is silent, as received and as prepped (all of the song, 1 stem at unity)",)


# 80 s in eight parts of 10 s, 3 s in the middle of each: (10 - 3) / 2 = 3.5 s after its start.
def test_stretches_are_the_middles_of_eight_equal_parts():
    assert stretches_of(80.0) == tuple(Stretch(10.0 * number + 3.5, 3.0) for number in range(8))
    assert stretches_of(24.0) == (Stretch(0.0, 24.0),)


def test_stretches_of_a_long_song_say_what_its_whole_sum_says(song, told, noise, executor):
    folder = song({"zq.wav": noise(40.0), "kick.wav": noise(40.0, seed=1) * 0.5, "room.wav": noise(40.0, 1, 2) * 0.2})
    found = told(folder)
    whole = sum_song(open_song(folder), "pass-01", None, executor)
    assert len(found.measured.stretches) == 8
    # Noise of 24 s in stretches and of 40 s: the same within the scatter of either.
    assert found.received.before.lufs == pytest.approx(whole.received.levels.lufs, abs=0.05)
    assert found.received.after.lufs == pytest.approx(whole.prepped.levels.lufs, abs=0.05)
    assert "(8 stretches of 3 s, 3 stems at unity" in found.lines[0]


def test_only_what_is_in_the_stretches_counts(song, told):
    audio = np.zeros((80 * RATE_HZ, 1))
    audio[: round(3.4 * RATE_HZ)] = 0.9  # before the first stretch
    audio[14 * RATE_HZ : 15 * RATE_HZ, 0] = 0.25 * np.sin(2 * np.pi * 1000 * np.arange(RATE_HZ) / RATE_HZ)
    assert told(song({"zq.wav": audio})).received.before.sample_peak_dbfs == pytest.approx(20 * np.log10(0.25), abs=0.01)


def test_phase_is_in_it(song, told, noise):
    audio = noise(2.0)
    found = told(song({"zq.wav": audio, "kick.wav": -audio}))
    assert found.received.before.lufs is None  # they cancel
    # Half of one is left of the two once the other is 6 dB down: 1 - 10^(-6/20) = 0.499.
    peak_dbfs = 20 * np.log10(np.abs(audio).max() * (1 - 10 ** (-6 / 20)))
    assert found.received.after.sample_peak_dbfs == pytest.approx(peak_dbfs, abs=0.01)
    assert found.received.bands == ()


def test_the_largest_change_of_spectrum_is_named(song, told):
    # zq holds the low tone, kick the high one: 6 dB between them, however loud both together are played.
    found = told(song({"zq.wav": tones(0.2, 0.0), "kick.wav": tones(0.0, 0.2)}))
    change = {each.low_hz: each.change_db for each in found.received.bands}
    assert change[250.0] - change[2000.0] == pytest.approx(-6.0, abs=0.05)
    assert set(change) == {250.0, 2000.0}  # bands 50 dB under the sum are not told
    assert f"most changed: 250 Hz to 500 Hz {change[250.0]:+.1f} dB" in found.lines[0]


_LOUD = Levels(lufs=-20.0, true_peak_dbtp=-3.0)


def test_two_bands_are_named_those_that_changed_most_either_way():
    bands = tuple(Band(low_hz=low, high_hz=2 * low, change_db=db) for low, db in ((60.0, 0.5), (250.0, -2.0), (1000.0, 1.0)))
    found = SumChange(was="pass-01", now="pass-02", before=_LOUD, after=_LOUD, bands=bands, moves=())
    assert found.sentence == (
        "the sum, pass-01 -> pass-02: -20.0 -> -20.0 LUFS; true peak -3.0 -> -3.0 dBTP; "
        "equally loud, most changed: 250 Hz to 500 Hz -2.0 dB, 1 kHz to 2 kHz +1.0 dB"
    )


def test_families_are_told_against_all_others(song, told, noise):
    found = told(song({"zq.wav": noise(2.0), "kick.wav": noise(2.0, seed=1)}))
    moves = {each.family: each.move_db for each in found.received.moves}
    assert moves == {"music": pytest.approx(-6.0, abs=0.02), "other": pytest.approx(6.0, abs=0.02)}
    assert "against all others: " in found.lines[0]
    assert found.lines[0].endswith("; families: their stems' loudness, added as powers)")


# b and c at -20 and -23: 10 lg(10^-2 + 10^-2.3) = -18.24; with c at -20: -16.99, so others rose by 1.25 while a stood.
def test_a_familys_move_is_its_own_less_that_of_the_rest_as_powers():
    found = [
        Family(family=name, before_lufs=was, after_lufs=now)
        for name, was, now in (("a", -14.0, -14.0), ("b", -20.0, -20.0), ("c", -23.0, -20.0))
    ]
    assert family_moves(found)[0].move_db == pytest.approx(-1.25, abs=0.01)
    assert family_moves(found[:1]) == ()


@pytest.mark.parametrize(("gain_db", "told_of"), [(-0.25, []), (-0.35, ["music", "other"])])
def test_families_that_moved_by_less_than_0_3_db_are_not_told(song, told, noise, gain_db, told_of):
    found = told(song({"zq.wav": noise(2.0), "kick.wav": noise(2.0, seed=1)}, gain_db=gain_db))
    assert sorted(each.family for each in found.received.moves) == told_of


def test_a_reference_is_held_against_it_at_one_loudness(song, told):
    # The mix has the low tone 12 dB down: as prepped (6 dB down) still 6 dB too much of it, as received 12.
    mix = 0.3 * tones(0.2 * 10 ** (-12 / 20), 0.2)
    found = told(song({"zq.wav": tones(0.2, 0.0), "kick.wav": tones(0.0, 0.2), "mix.wav": mix}, reference="mix.wav"))
    assert found.measured.stems == 2
    before, after = ({each.low_hz: each.change_db for each in bands} for bands in (found.against_before, found.against))
    assert before[250.0] - before[2000.0] == pytest.approx(12.0, abs=0.05)
    assert after[250.0] - after[2000.0] == pytest.approx(6.0, abs=0.05)
    assert found.lines[1] == (
        f"against mix.wav, equally loud, farthest off: 250 Hz to 500 Hz {after[250.0]:+.1f} dB (as received {before[250.0]:+.1f})"
    )


@pytest.mark.parametrize("spoil", ["missing", "silent", "unreadable"])
def test_a_reference_that_says_nothing_is_said_to(song, told, noise, spoil):
    folder = song({"zq.wav": noise()}, reference="mix.wav")
    if spoil == "silent":
        soundfile.write(folder / "mix.wav", np.zeros((RATE_HZ, 2)), RATE_HZ)
    elif spoil == "unreadable":
        (folder / "mix.wav").write_bytes(b"RIFF no audio")
    found = told(folder)
    assert found.lines[1] == "against mix.wav: nothing to hold it against, the mix is missing, silent or unreadable"


# Sines of 0.2 and 0.3 (RMS over 4 s, faded over a quarter second at both ends) add as powers.
def test_a_stem_of_another_rate_sounds_for_as_long_as_it_is(song, told):
    folder = song({"zq.wav": tones(0.0, 0.2)})
    low = tones(0.3, 0.0)
    soundfile.write(folder / "bass.wav", low[::2], RATE_HZ // 2, "FLOAT")
    (folder / "session.yaml").write_text("stems: {bass: {leave: x}}\n", encoding="utf-8")
    both = np.mean(low**2) + np.mean(tones(0.0, 0.2) ** 2)
    assert told(folder).received.before.rms_dbfs == pytest.approx(10 * np.log10(both), abs=0.02)


def test_a_stem_that_ends_early_is_silent_from_there(song, told, noise):
    long, short = noise(2.0), noise(1.0, seed=1)
    both = long.copy()
    both[: len(short)] += short
    found = told(song({"zq.wav": long, "what.wav": short}))
    assert found.received.before.rms_dbfs == pytest.approx(10 * np.log10(np.mean(both**2)), abs=0.01)


def test_left_and_right_in_files_of_their_own_go_to_their_sides(song, told, noise):
    audio = noise(1.0, 1)
    found = told(song({"gtr_L.wav": audio, "gtr_R.wav": -audio}))
    assert found.received.before.rms_dbfs == pytest.approx(
        10 * np.log10(np.mean(audio**2)), abs=0.01
    )  # on one side they cancel


def test_the_edges_of_stretches_make_no_peak(song, told):
    time_s = np.arange(41 * RATE_HZ) / RATE_HZ
    found = told(song({"zq.wav": 0.5 * np.sin(2 * np.pi * 5003.7 * time_s)}))
    assert found.received.before.true_peak_dbtp == pytest.approx(20 * np.log10(0.5), abs=0.05)


def test_a_stem_that_became_the_reference_is_not_added(song, noise, make_pass, executor):
    folder = song({"zq.wav": noise(), "mix.wav": noise(seed=1)})
    made = make_pass(folder)
    assert len(made.manifest.written) == 2
    (folder / "session.yaml").write_text("reference: mix.wav\n", encoding="utf-8")
    found = tell_sum(open_song(folder), replace(made.manifest, in_sum=None), executor)
    assert found.measured.stems == 1
    assert found.received.moves == ()  # a family alone stands against nothing


def test_samples_that_are_no_numbers_are_an_error(song, make_pass, executor, noise):
    folder = song({"zq.wav": noise()})
    made = make_pass(folder)
    soundfile.write(folder / "zq.wav", np.full((RATE_HZ, 2), np.nan), RATE_HZ, "FLOAT")
    with pytest.raises(SongError, match=r"zq\.wav holds samples that are no numbers"):
        tell_sum(open_song(folder), replace(made.manifest, in_sum=None), executor)


def test_a_file_that_is_gone_is_an_error_with_its_reason(song, make_pass, executor, noise):
    folder = song({"zq.wav": noise()})
    made = make_pass(folder)
    (folder / "passes" / "pass-01" / "stems" / "zq.wav").unlink()
    with pytest.raises(SongError, match="the stems could not be added up"):
        tell_sum(open_song(folder), replace(made.manifest, in_sum=None), executor)


def test_what_the_manifest_holds_needs_no_file(song, make_pass, executor, noise):
    folder = song({"zq.wav": noise(), "kick.wav": noise(seed=1)})
    made = make_pass(folder)
    again = tell_sum(open_song(folder), replace(made.manifest, in_sum=None), executor)  # as of an earlier version's pass
    (folder / "passes" / "pass-01" / "stems" / "zq.wav").unlink()
    kept = tell_sum(open_song(folder), read_manifest(folder / "passes" / "pass-01"), executor)
    assert kept == again


# Two equal sines, one 6 dB down in the pass and back up by 3 dB in the note: 1 + 10^(-6/20) = 1.501, 1 + 10^(-3/20) = 1.708;
# 20 lg(1.708 / 1.501) = +1.12 dB, and -1.37 dB against as received (20 lg(1.708 / 2)).
def test_a_note_is_told_against_the_last_pass_and_against_as_received(song, make_pass, make_note, executor):
    folder = song({"zq.wav": tones(0.2, 0.0), "kick.wav": tones(0.2, 0.0)})
    first = make_pass(folder).manifest
    manifest = make_note(folder, "zq: +3 dB")[1].manifest
    found = tell_sum(open_song(folder), manifest, executor, first)
    assert found.since.after.lufs - found.since.before.lufs == pytest.approx(1.12, abs=0.02)
    assert found.received.after.lufs - found.received.before.lufs == pytest.approx(-1.37, abs=0.02)
    assert found.since.bands[0].change_db == pytest.approx(0.0, abs=0.02)  # one band, and both equally loud
    assert {each.family: each.move_db for each in found.since.moves} == {
        "music": pytest.approx(3.0, abs=0.02),
        "other": pytest.approx(-3.0, abs=0.02),
    }
    assert found.lines[0].startswith("the sum, pass-01 -> pass-02: ")
    assert found.lines[1].startswith("the sum, as received -> as prepped: ")
    assert tell_sum(open_song(folder), manifest, executor, replace(first, in_sum=None)) == found


def test_what_families_are_told_by_is_said_where_only_the_note_moved_one(song, make_pass, make_note, executor, noise):
    folder = song({"zq.wav": noise(2.0), "kick.wav": noise(2.0, seed=1)})
    first = make_pass(folder).manifest
    found = tell_sum(open_song(folder), make_note(folder, "zq: +6 dB")[1].manifest, executor, first)
    assert (len(found.since.moves), found.received.moves) == (2, ())
    assert found.basis.endswith("; families: their stems' loudness, added as powers")


def test_a_pass_over_another_part_of_the_song_is_not_compared(song, make_pass, executor, noise):
    folder = song({"zq.wav": noise(2.0)})
    first = make_pass(folder).manifest
    soundfile.write(folder / "zq.wav", noise(3.0), RATE_HZ, "FLOAT")
    found = tell_sum(open_song(folder), make_pass(folder).manifest, executor, first)
    assert found.since is None


def test_a_stem_that_is_new_since_is_in_no_familys_move(song, make_pass, executor, noise):
    folder = song({"zq.wav": noise(), "kick.wav": noise(seed=1)})
    first = make_pass(folder).manifest
    soundfile.write(folder / "what.wav", noise(seed=2), RATE_HZ, "FLOAT")
    assert tell_sum(open_song(folder), make_pass(folder).manifest, executor, first).since.moves == ()


TURNED = "the kit (2 stems) against its levels alone: -1.9 dB at 126 Hz, by what the moves do to phase"


@pytest.mark.parametrize(
    ("declared", "change_db", "line"),
    [
        (
            False,
            -1.94,
            f"{TURNED}; kit: in session.yaml makes its stems share phase",
        ),
        (True, -1.94, TURNED),
        (True, 0.49, "the kit (2 stems) adds up as its levels alone would: no third octave is 0.5 dB off"),
    ],
)
def test_what_became_of_the_kit_is_a_line(song, make_pass, executor, noise, declared, change_db, line):
    folder = song({"zq.wav": noise()})
    manifest = make_pass(folder).manifest
    kit = KitPhase(stems=("snare.wav", "room.wav"), declared=declared, freq_hz=125.89, change_db=change_db)
    found = tell_sum(open_song(folder), replace(manifest, in_sum=replace(manifest.in_sum, kit=kit)), executor)
    assert found.lines[-1] == line


def test_an_edited_manifest_says_no_nonsense(song, make_pass, executor, noise):
    folder = song({"zq.wav": noise(), "kick.wav": noise(seed=1)})
    manifest = make_pass(folder).manifest
    loud = Levels(lufs=10_000.0, true_peak_dbtp=10_000.0, sample_peak_dbfs=10_000.0, rms_dbfs=10_000.0)
    stems = tuple(replace(each, levels=replace(each.levels, before=loud)) for each in manifest.stems)
    side = SumLevels(levels=loud, bands_dbfs=(10_000.0,) * 9)
    edited = replace(manifest, stems=stems, in_sum=replace(manifest.in_sum, received=side))
    assert "the sum, as received -> as prepped: 10000.0 -> " in tell_sum(open_song(folder), edited, executor).lines[0]


def test_prep_and_note_and_the_page_tell_it(song, noise, capsys):
    folder = song({"zq.wav": noise(), "kick.wav": noise(seed=1)})
    main(["prep", str(folder)])
    lines = [
        line for line in capsys.readouterr().out.splitlines() if line.startswith("the sum, as received -> as prepped: ")
    ]
    assert len(lines) == 1
    page = (folder / "passes" / "pass-01" / "report.html").read_text(encoding="utf-8")
    assert "The sum, as received → as prepped: " in page
    main(["note", str(folder), "zq: louder", "--json", "--no-page"])
    told = json.loads(capsys.readouterr().out)["sum"]
    assert told["prepped"]["lufs"] < told["received"]["lufs"]
    assert told["based_on"].startswith("all of the song, 2 stems at unity")
    main(["prep", str(folder), "--json", "--no-page"])
    assert json.loads(capsys.readouterr().out)["sum"] is None  # nothing differs, so there is no pass to tell of
