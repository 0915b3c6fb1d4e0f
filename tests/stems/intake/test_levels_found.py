"""Levels at intake: clipping, overs, offset, silence, samples that are no numbers; each planted, each found alone."""

from __future__ import annotations

import numpy as np
import pytest

RATE_HZ = 48_000


def test_a_clean_stem_has_no_findings(intake, pink):
    assert intake({"piano.wav": pink()}) == {}


def test_clipped_runs_are_counted_with_their_places(intake, pink):
    audio = pink()
    audio[48_000:48_007, 0] = 1.0
    audio[96_000:96_003, 1] = -1.0
    audio[120_000:120_002, 1] = 1.0  # two samples are what normalising leaves
    found = intake({"a.wav": audio})["a.wav", "clipped"]
    assert found.severity == "warn"
    assert (
        found.measured
        == "clipped 2 times: 3 samples or more at full scale, first at 1.000 s, the longest 7 samples at 1.000 s"
    )


def test_a_run_across_blocks_is_one_run(intake, pink):
    audio = pink()
    audio[65_534:65_540, 0] = 1.0  # blocks are 65536 frames
    found = intake({"a.wav": audio})["a.wav", "clipped"]
    assert "clipped once" in found.measured
    assert "the longest 6 samples at 1.365 s" in found.measured  # arithmetic: 65534 / 48000


def test_a_normalised_low_sine_is_not_clipped(intake):
    # Arithmetic: near its top a 40 Hz sine stays within 3e-5 of full scale for 3 samples, yet none equals the next.
    sine = np.sin(2 * np.pi * 40 * np.arange(RATE_HZ * 3) / RATE_HZ)
    assert not {key for key in intake({"a.wav": np.stack([sine, sine * 0.5], axis=1)}) if key[1] == "clipped"}


def test_an_over_between_the_samples_is_measured_as_the_standards_case_has_it(intake):
    # EBU Tech 3341 V4 case 19: fs/4 at 45 degrees, amplitude 1.41: samples under full scale, true peak +3.0 (+0.2/-0.4) dBTP.
    tone = 1.41 * np.sin(np.pi / 2 * np.arange(RATE_HZ * 2) + np.pi / 4)
    found = intake({"a.wav": np.stack([tone, tone * 0.3], axis=1)})["a.wav", "inter-sample-overs"]
    assert 2.6 <= float(found.measured.split()[2]) <= 3.2


@pytest.mark.parametrize("frames", [65_530, 65_536, 131_060])
def test_an_over_at_the_seam_of_two_blocks_is_seen(intake, frames):
    # The sum of two neighbours of a band-limited pulse lies above both (arithmetic: sinc(1/2) + sinc(-1/2) = 1.27).
    audio = np.zeros((frames + 60_000, 2))
    audio[:, 0] = 0.95 * (np.sinc(np.arange(len(audio)) - frames) + np.sinc(np.arange(len(audio)) - frames - 1))
    found = intake({"a.wav": audio})["a.wav", "inter-sample-overs"]
    assert float(found.measured.split()[2]) == pytest.approx(20 * np.log10(0.95 * 4 / np.pi), abs=0.2)


def test_floating_point_over_full_scale_is_said_and_is_no_fault(intake, pink):
    found = intake({"a.wav": pink() * 8.0}, subtype="FLOAT")["a.wav", "over-full-scale"]
    assert (found.severity, found.measured) == ("info", "floating-point samples up to +6.0 dB over full scale")


@pytest.mark.parametrize(("offset", "severity"), [(0.002, "info"), (-0.03, "warn")])
def test_an_offset_is_measured(intake, pink, offset, severity):
    found = intake({"a.wav": pink() + np.array([offset, 0.0])})["a.wav", "dc-offset"]
    assert found.severity == severity
    assert float(found.measured.split()[2]) == pytest.approx(offset * 100, abs=0.02)


def test_a_low_note_is_no_offset(intake):
    bass = 0.5 * np.sin(2 * np.pi * 33.3 * np.arange(RATE_HZ * 4) / RATE_HZ)
    assert not {key for key in intake({"a.wav": np.stack([bass, bass], axis=1)}) if key[1] == "dc-offset"}


def test_silence_and_dither_are_silence(intake):
    dither = np.random.default_rng(0).uniform(-1, 1, (RATE_HZ, 2)) * 2.0**-16
    found = intake({"a.wav": np.zeros((RATE_HZ, 2)), "b.wav": dither})
    assert found["a.wav", "silent"].measured == "silent: digital silence in 1.0 s"
    assert found["b.wav", "silent"].measured.startswith("silent: nothing above -9")


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
def test_samples_that_are_no_numbers_stop_the_stem(intake, pink, value):
    audio = pink()
    audio[24_000:24_002, 1] = value
    found = intake({"a.wav": audio, "b.wav": pink(seed=2)}, subtype="FLOAT")
    assert set(found) == {("a.wav", "no-numbers")}
    finding = found["a.wav", "no-numbers"]
    assert finding.severity == "stop"
    assert (
        finding.measured
        == "holds samples that are no numbers (NaN, infinite, or 180 dB over full scale): 2 of them, the first at 0.500 s"
    )
