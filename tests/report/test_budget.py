"""What a page of dense stems gives up, and that it is then as small as was promised."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
import soundfile

from stemwright.recipes.timeline import Timeline
from stemwright.report import beat as beats
from stemwright.report import budget
from stemwright.report.beat import BeatStem, hear_beat
from stemwright.report.budget import AMOUNTS, Amount, audio_bytes, first_amount, given_up, less, page_bytes
from stemwright.report.excerpt import Moments
from stemwright.report.listening import hear

RATE_HZ = 44_100


def test_the_promised_sizes():
    # The sizes asked for: 12 MB for 16 stems, 30 MB for 60.
    assert page_bytes(1) == page_bytes(16) == 12e6
    assert page_bytes(60) == pytest.approx(30e6)
    assert page_bytes(38) == pytest.approx(21e6)


def test_each_step_is_smaller_than_the_one_before():
    shares = [each.share for each in AMOUNTS]
    assert shares == sorted(set(shares), reverse=True)


def test_what_fits_is_left_as_it_is():
    assert less(first_amount(16), 5e6, 5e6) is None


def test_the_top_octave_goes_before_time_and_time_before_the_second_excerpt():
    # Arithmetic on the measured rates: V4 has 0.79 of V2's bytes; 6 of 8 s at V4 have 0.59, 5 of 8 s 0.49.
    usual = first_amount(16)
    assert less(usual, 1.0, 0.80) == Amount(2, 8.0, "V4")
    assert less(usual, 1.0, 0.60) == Amount(2, 6.0, "V4")
    assert less(usual, 1.0, 0.50) == Amount(2, 5.0, "V4")
    assert less(usual, 1.0, 0.40) == Amount(1, 8.0, "V4")


def test_a_song_of_one_excerpt_never_gets_two():
    assert less(Amount(1, 8.0, "V2"), 1.0, 0.5).most == 1


def test_at_the_last_step_there_is_nothing_less():
    assert less(AMOUNTS[-1], 2.0, 1.0) is None


def test_the_reader_is_told_what_is_less():
    assert given_up(first_amount(16), Amount(2, 6.0, "V4"), 12.0) == (
        "These stems are dense: so that the page stays below 12 MB, excerpts have 6 s instead of 8 s, and little above 16 kHz"
    )


def test_noise_that_would_be_too_heavy_fits_and_stays_matched(tmp_path, monkeypatch):
    # Two stretches in every stem, three sides of noise each: at the usual length over twice what there is room for. Four stems with a
    # quarter of the room that sixteen have.
    room = audio_bytes(16) / 4
    monkeypatch.setattr(budget, "FEW_BYTES", budget.FEW_BYTES + room - audio_bytes(4))
    assert audio_bytes(4) == pytest.approx(room)
    stems = []
    for number in range(4):
        files = {}
        for place, side in enumerate(("received", "that", "this")):
            files[side] = tmp_path / f"{side} {number}.wav"
            noise = np.random.default_rng((number, place)).standard_normal((24 * RATE_HZ, 2)) * 0.05 * (1.0 - 0.2 * place)
            soundfile.write(files[side], noise, RATE_HZ, "PCM_16")
        when = 1.0 if number % 2 else 17.0
        stems.append(
            BeatStem(
                id=f"s{number}",
                stem=f"{number}.wav",
                files=files,
                of={},
                moments=Moments((when,), (1.0,), 0.4),
                changed=True,
                seconds=24.0,
                rate_hz=RATE_HZ,
            )
        )
    tried = Counter()
    monkeypatch.setattr(beats, "hear", lambda job: tried.update([(job.quality, len(job.excerpts))]) or hear(job))
    with ThreadPoolExecutor(2) as executor:
        beat = hear_beat(stems, "mp3", "that", Timeline(), executor)
    assert tried["V2", 2] == 1  # one of four says that it will be far too much
    size = sum(len(clip.data) for each in beat.stems.values() for clip in each.clips)
    assert 0.5 * room < size <= room
    assert beat.spared.startswith(
        f"These stems are dense: so that the page stays below {page_bytes(4) / 1e6:.0f} MB, excerpts have "
    )
    # Arithmetic: 20 % of full scale less is 1.94 and 4.44 dB less, and the gains take that back from the louder ones.
    for gains in (each.gains_db for each in beat.matched):
        assert gains["received"] - gains["this"] == pytest.approx(20.0 * np.log10(0.6), abs=0.1)
        assert gains["that"] - gains["this"] == pytest.approx(20.0 * np.log10(0.6 / 0.8), abs=0.1)
