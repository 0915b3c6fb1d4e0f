"""Offers of rings: what the message says is what is read back from it, in the words of today and of the first version."""

from __future__ import annotations

import pytest

from stemwright.dsp.rings import PlannedNotch, Ring, RingEvidence
from stemwright.plan.ring_offers import offer_in, offer_words

LINE = "notch 870 Hz -3.5 dB q 31"


@pytest.mark.parametrize(
    "message",
    [
        f"rings: 870 Hz may ring (+7.5 dB, 41 % certain): offered, and not taken; a note takes it: {LINE}",
        f"rings: offered, not taken: 870 Hz may ring (+7.5 dB, 41 % certain); a note takes it: {LINE}",
    ],
)
def test_an_offer_is_read_back_whole(message):
    offer = offer_in(message)
    assert (offer.freq_hz, offer.excess_db, offer.certain, offer.q, offer.line) == (870.0, 7.5, 0.41, 31.0, LINE)


def test_kilohertz_are_read_as_such():
    assert (
        offer_in("x: 1.87 kHz may ring (+18 dB, 16 % certain): offered, and not taken; a note takes it: notch").freq_hz
        == 1870.0
    )


@pytest.mark.parametrize("message", ["rings: nothing was found", "roll-off is not made: no rumble", "870 Hz may ring"])
def test_other_messages_offer_nothing(message):
    assert offer_in(message) is None


def test_what_is_said_is_what_is_read():
    evidence = RingEvidence(9.0, 3.0, 9.0, 8.0, 8.0, 0.8, 0.04, 0.6)
    ring = Ring(870.04, 7.46, 31.4, 27.7, 0.5, 0.412, evidence)
    said = offer_words("rings", PlannedNotch(870.04, -3.73, 31.4, -3.73, "", ring))
    assert said == (
        "rings: 870 Hz may ring (+7.5 dB, 41 % certain): offered, and not taken; a note takes it: notch 870 Hz -3.7 dB q 31"
    )
    offer = offer_in(said)
    assert (offer.freq_hz, offer.excess_db, offer.certain, offer.q) == (870.0, 7.5, 0.41, 31.0)


def test_an_offer_without_a_width_is_a_third_of_an_octave_wide_or_so():
    offer = offer_in("x: 1.87 kHz may ring (+18 dB, 16 % certain): offered, and not taken; a note takes it: notch")
    assert offer.q == 10.0
