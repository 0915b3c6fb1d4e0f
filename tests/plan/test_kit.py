"""A kit's stems are not turned against each other, or the plan says what their sum loses."""

from __future__ import annotations

import re

import numpy as np
import pytest
import soundfile

from stemwright.passes import prep
from stemwright.passes.look import look

RATE_HZ = 48_000
STEMS = ("Snare Top.wav", "Toms.wav", "Overheads.wav")


@pytest.fixture
def one_drum(make_song, executor, make_pass):
    """Return a maker of a kit in which every microphone has the same sound: (planned items by stem, gain of the sum in dB)."""

    def make(session=None, freq_hz=130.0):
        time = np.arange(2 * RATE_HZ) / RATE_HZ
        sound = 0.2 * np.sin(2 * np.pi * freq_hz * time)[:, np.newaxis]
        song = make_song(dict.fromkeys(STEMS, sound), session)
        seen = look(song, executor, hashed=True)
        items = {item.stem: item for item in prep.plan(seen, executor)}
        made = make_pass(song)
        written = [
            soundfile.read(song / "passes" / made.name / "stems" / stem)[0][RATE_HZ // 2 : -RATE_HZ // 2] for stem in STEMS
        ]
        peaks = sum(np.sqrt(2 * np.mean(each**2)) for each in written)
        return items, 20 * np.log10(np.sqrt(2 * np.mean(sum(written) ** 2)) / peaks)

    return make


def test_microphones_of_a_kit_add_up_whole_once_the_sheet_names_it(one_drum):
    items, sum_db = one_drum("kit: [snare, toms, cymbals]\n")
    assert sum_db > -0.15
    assert all(item.moves[0].settings["linear_phase"] for item in items.values())
    assert "linear phase, as the stems of a kit" in items["Toms.wav"].moves[0].why


# Second-order Butterworth high-pass: the phase is atan2(sqrt 2 r, r^2 - 1), r = f/f_c. The snare's has linear phase and turns
# nothing, the overheads' corner is 120 Hz; bells turn a few degrees more. Two equal sounds a degrees apart add up to cos(a/2) of
# both (arithmetic).
def test_without_it_the_plan_says_what_the_sum_loses_and_how_to_keep_it(one_drum):
    items, sum_db = one_drum()
    found = re.fullmatch(
        r"turned (\d+) degrees against Snare Top\.wav at ([\d.]+) Hz: ([\d.]+) dB less of it in their sum; "
        r"kit: in session\.yaml makes the stems of a kit share phase",
        items["Overheads.wav"].messages[-1],
    )
    degrees, freq_hz, loss_db = map(float, found.groups())
    r = freq_hz / 120
    assert degrees == pytest.approx(np.degrees(np.arctan2(2**0.5 * r, r * r - 1)), abs=6)
    assert loss_db > 1.0
    assert sum_db < -0.3
