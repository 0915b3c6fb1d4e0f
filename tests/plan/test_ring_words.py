"""A ring in words and as bars, each sentence written out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stemwright.dsp.rings import PlannedNotch, Ring, RingEvidence
from stemwright.plan.ring_moves import _places, rounded
from stemwright.plan.ring_words import picture, pictures, why

EVIDENCE = RingEvidence(
    peak_to_neighbours_db=9.0, peak_to_harmonics_db=3.0, floor_excess_db=9.0, average_excess_db=8.0, between_partials_db=8.0,
    persistence=0.8, decay_s=0.0415, pitch_independence=0.6, around_db=(0.0,) * 12 + (12.0,) + (0.0,) * 12,
)  # fmt: skip
RING = Ring(2400.0, 9.26, 30.0, 80.0, 0.504, 0.9, EVIDENCE)
STANDS = (
    "stands 9.3 dB out of its surroundings for 50 % of the time, whatever plays; so narrow a resonator falls 60 dB in 42 ms"
)
LOUDER = "something an octave or a fifth away is louder, as with a partial"
HARDLY = "most of the time it is not there"
OFFERED = "only offered: by its recipe, since its width cannot be told, or since a notch would harm what is beside"


def changed(ring=RING, **evidence):
    return replace(ring, evidence=replace(EVIDENCE, **evidence))


@pytest.mark.parametrize(
    ("ring", "against"),
    [
        (RING, []),
        (changed(peak_to_harmonics_db=0.0), []),
        (changed(peak_to_harmonics_db=-0.1), [LOUDER]),
        (replace(RING, share=0.5), []),
        (replace(RING, share=0.499), [HARDLY]),
        (replace(RING, verdict="offered", confidence=0.25), [OFFERED]),
        (replace(RING, verdict="offered", confidence=0.24), []),
        (replace(changed(peak_to_harmonics_db=-1.0), share=0.3, verdict="offered"), [LOUDER, HARDLY, OFFERED]),
    ],
)
def test_what_speaks_for_a_ring_and_what_against_it(ring, against):
    expected = STANDS.replace("50 %", f"{100 * ring.share:.0f} %")
    assert why(ring) == expected + (f"; but {', and '.join(against)}" if against else "")


@pytest.mark.parametrize(
    ("independence", "said"), [(0.6, "whatever plays"), (0.59, "more with some notes than with others")]
)
def test_whether_it_is_there_whatever_plays(independence, said):
    assert f"% of the time, {said}; so narrow" in why(changed(pitch_independence=independence))


# Eight bars, from 0 dB to the highest level; what is below 0 dB is the lowest, and nothing is drawn higher than it was received.
def test_levels_are_bars_from_the_surroundings_to_the_top():
    assert picture([0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]) == "▁▂▃▄▅▆▇█"
    assert picture([-3.0, 14.0, 7.1]) == "▁█▅"
    assert picture([0.0, 0.5, 0.2]) == "▁▅▂"  # under a decibel the picture is not blown up
    assert picture([0.0, 7.0], [0.0, -3.0]) == "▁▅"
    assert picture([0.0, 7.0], [9.0, 3.0]) == "██"


def test_a_ring_is_shown_as_received_and_with_its_notch():
    notch = PlannedNotch(2400.0, -12.0, 30.0, -12.0, "", RING)
    alone, with_it = pictures(RING, None), pictures(RING, notch)
    # A quarter of an octave to each side: 2400 / 2^(1/4) and 2400 * 2^(1/4), to the nearest 10 Hz.
    assert alone == [f"2.02 kHz {'▁' * 12}█{'▁' * 12} 2.85 kHz  as received, 12 dB high"]
    assert with_it[0] == alone[0]
    assert with_it[1] == f"2.02 kHz {'▁' * 25} 2.85 kHz  with the notch"
    low = pictures(replace(RING, freq_hz=240.0), None)[0]
    assert (low.startswith("202 Hz "), " 285 Hz " in low) == (True, True)
    # From 1 kHz on to 10 Hz: 1261 and 1784 Hz.
    middle = pictures(replace(RING, freq_hz=1500.0), None)[0]
    assert (middle.startswith("1.26 kHz "), " 1.78 kHz " in middle) == (True, True)


def test_a_manifest_keeps_what_no_ear_tells_apart():
    # A tenth of a hertz, hundredths of a decibel and of a Q, and of the evidence four places, however deep.
    found = rounded(replace(RING, freq_hz=2400.04999, excess_db=9.26499, q=30.00499))
    assert (found.freq_hz, found.excess_db, found.q) == (2400.0, 9.26, 30.0)
    found = rounded(replace(RING, freq_hz=2400.06, excess_db=9.266, q=30.006))
    assert (found.freq_hz, found.excess_db, found.q) == (2400.1, 9.27, 30.01)
    data = {"a": 0.123456, "b": {"c": 1.00005001, "d": "text"}, "e": 3}
    assert _places(data) == {"a": 0.1235, "b": {"c": 1.0001, "d": "text"}, "e": 3}
