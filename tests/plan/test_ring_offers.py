"""Offers of rings: what the message says is what is read back from it, in the words of today and of the first version."""

from __future__ import annotations

import pytest

from stemwright.plan.ring_offers import offer_in

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
