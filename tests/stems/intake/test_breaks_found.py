"""Flat tops under full scale, clicks and dropouts: found where they were made, and not in sounds that are like that."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

RATE_HZ = 48_000
BREAKS = {"clipped-earlier", "clicks", "dropouts"}


def ids(found):
    return {key[1] for key in found} & BREAKS


def guitar(seconds=6.0, seed=3):
    """Return plucked notes with a band-limited attack, peaks at 0.5."""
    random = np.random.default_rng(seed)
    time = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    audio = np.zeros_like(time)
    for start in np.arange(0.1, seconds, 0.37):
        note = random.choice([110.0, 146.8, 196.0, 246.9])
        since = np.maximum(time - start, 0.0)
        envelope = np.where(time >= start, np.exp(-4.0 * since) * (1.0 - np.exp(-400.0 * since)), 0.0)
        audio += envelope * sum(np.sin(2 * np.pi * note * n * since) / n**1.3 for n in range(1, 9))
    return audio[:, None] * 0.5 / np.abs(audio).max()


@pytest.mark.parametrize("subtype", ["PCM_16", "PCM_24", "FLOAT"])
@pytest.mark.parametrize("gain", [0.9, 0.3])
def test_what_was_clipped_and_turned_down_is_found(intake, subtype, gain):
    clipped = np.clip(guitar() * 4.0, -1.0, 1.0) * gain
    found = intake({"gtr.wav": clipped}, subtype=subtype)
    assert ids(found) == {"clipped-earlier"}
    # Arithmetic: the top is the gain, in dBFS.
    assert f"its own peak of {20 * np.log10(gain):.1f} dBFS" in found["gtr.wav", "clipped-earlier"].measured


@pytest.mark.parametrize(
    "sound",
    [
        lambda time: np.sign(np.sin(2 * np.pi * 110 * time)) * 0.4,
        lambda time: np.round(np.sin(2 * np.pi * 110 * time) * np.exp(-time) * 40) / 100,
        lambda time: 0.5 * np.sin(2 * np.pi * 40 * time),
        lambda time: (time * 55.0 % 1.0) - 0.5,
        lambda time: 0.4 * np.sin(2 * np.pi * 220 * time) * (time * 8.0 % 1.0 < 0.5),
    ],
    ids=["square", "coarse word", "slow sine", "saw", "hard gate"],
)
def test_sounds_that_are_made_of_edges_and_flats_have_no_fault(intake, sound):
    time = np.arange(6 * RATE_HZ) / RATE_HZ
    assert ids(intake({"synth.wav": sound(time)[:, None]}, subtype="PCM_16")) == set()


@pytest.mark.parametrize("width", [1, 2, 3])
def test_a_click_is_found_where_it_is(intake, width):
    audio = guitar()
    place = 3 * RATE_HZ + 17
    audio[place : place + width] += 0.2
    found = intake({"gtr.wav": audio})
    assert ids(found) == {"clicks"}
    assert found["gtr.wav", "clicks"].measured == "1 click, at 3.000 s"


@pytest.mark.parametrize("seconds", [0.003, 0.010, 0.050])
@pytest.mark.parametrize("at_frame", [100_000, 131_072 - 200])  # inside a block, and across the border of two
def test_a_dropout_is_found_where_it_is(intake, seconds, at_frame):
    audio = guitar()
    audio[at_frame : at_frame + round(seconds * RATE_HZ)] = 0.0
    found = intake({"gtr.wav": audio})
    assert "dropouts" in ids(found)
    assert found["gtr.wav", "dropouts"].measured == f"1 dropout, at {at_frame / RATE_HZ:.3f} s"


def drums(seconds=8.0):
    """Return a close microphone and its overheads: decaying noise, band-limited, the same hits."""
    random = np.random.default_rng(2)
    hits = np.zeros(round(seconds * RATE_HZ))
    for start in np.arange(0.5, seconds - 0.5, 0.5):
        frames = np.arange(RATE_HZ // 5)
        hits[round(start * RATE_HZ) :][: len(frames)] += random.standard_normal(len(frames)) * np.exp(-frames / 2400)
    return sosfilt(butter(2, [80, 3000], "band", fs=RATE_HZ, output="sos"), hits) * 0.3


@pytest.mark.parametrize(("sign", "kind"), [(1, "kit-delay"), (-1, "kit-polarity")])
def test_delay_and_polarity_of_a_kit_are_told(intake, sign, kind):
    close = drums()
    late = np.concatenate([np.zeros(144), close])[: len(close)] * sign * 0.5  # arithmetic: 144 frames at 48 kHz are 3 ms
    late += np.random.default_rng(9).standard_normal(len(late)) * 0.01
    stems = {"Snare.wav": close[:, None], "Overheads.wav": late[:, None]}
    found = intake(stems, roles={"Snare.wav": "snare", "Overheads.wav": "cymbals"})
    (finding,) = [each for key, each in found.items() if key[1].startswith("kit-")]
    assert finding.id == kind
    assert finding.measured.startswith("hears the hits 3.00 ms after Snare.wav")


def test_drums_that_do_not_hear_each_other_are_no_kit(intake):
    other = np.random.default_rng(4).standard_normal(8 * RATE_HZ) * 0.1
    stems = {"Snare.wav": drums()[:, None], "OH.wav": other[:, None]}
    found = intake(stems, roles={"Snare.wav": "snare", "OH.wav": "cymbals"})
    assert not [key for key in found if key[1].startswith("kit-")]
