"""Numbers with units: SI prefixes (kilo is 10^3, milli 10^-3: SI brochure, table 7) and the trade's spellings."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stemwright.recipes.units import UNITS, UnitError, parse, show

READ = [
    ("frequency", "30 kHz", 30000.0),
    ("frequency", "250Hz", 250.0),
    ("frequency", "2.3 khz", 2300.0),
    ("frequency", 250, 250.0),
    ("frequency", "250", 250.0),
    ("frequency", "1e3", 1000.0),
    ("gain", "+4 dB", 4.0),
    ("gain", "\u22121.5 dB", -1.5),
    ("gain", "-.5", -0.5),
    ("depth", "6 dB", 6.0),
    ("level", "-18 dBFS", -18.0),
    ("percent", "50 %", 50.0),
    ("percent", "50%", 50.0),
    ("time", "30 ms", 30.0),
    ("time", "1.5 s", 1500.0),
    ("ratio", "4:1", 4.0),
    ("ratio", "1.5 : 1", 1.5),
    ("ratio", 4, 4.0),
    ("slope", "12 dB/oct", 12.0),
    ("q", "0.7071", 0.7071),
    ("count", 2, 2.0),
]


@pytest.mark.parametrize(("quantity", "written", "value"), READ)
def test_a_value_is_read_in_its_base_unit(quantity, written, value):
    assert parse(quantity, written) == value


REFUSED = [
    ("frequency", "4 dB", "wrong unit (4 dB); write a frequency, as in 250 Hz or 30 kHz"),
    ("frequency", "30k", "wrong unit (30k); write a frequency, as in 250 Hz or 30 kHz"),
    ("gain", "4 kHz", "wrong unit (4 kHz); write a gain in dB, as in +4 dB or -1.5 dB"),
    ("gain", "loud", "not a number (loud); write a gain in dB, as in +4 dB or -1.5 dB"),
    ("gain", "3,5 dB", "a comma in a number (3,5 dB); write a decimal point, as in +4 dB or -1.5 dB"),
    ("time", True, "not a number (true); write a time, as in 30 ms or 1.5 s"),
    ("time", None, "not a number (nothing); write a time, as in 30 ms or 1.5 s"),
    ("percent", float("nan"), "not a finite number (nan); write a percentage, as in 50 %"),
    ("q", float("inf"), "not a finite number (inf); write a plain number, as in 0.7"),
    ("q", "9e999", "not a finite number (9e999); write a plain number, as in 0.7"),
    ("q", "1 Hz", "wrong unit (1 Hz); write a plain number, as in 0.7"),
    ("count", 2.5, "not a whole number (2.5); write a whole number, as in 2"),
    ("ratio", "4:2", "wrong unit (4:2); write a ratio, as in 4:1"),
]


@pytest.mark.parametrize(("quantity", "written", "message"), REFUSED)
def test_what_is_refused_is_said_with_an_example(quantity, written, message):
    with pytest.raises(UnitError) as caught:
        parse(quantity, written)
    assert str(caught.value) == message


def test_a_number_of_thousands_of_digits_is_refused():
    with pytest.raises(UnitError, match=r"^not a finite number \(0x[0-9a-f]{57}…\); write a plain number, as in 0\.7$"):
        parse("q", 10**5000)


SHOWN = [
    ("frequency", 30000.0, "30 kHz"),
    ("frequency", 250.0, "250 Hz"),
    ("frequency", 2200.0, "2.2 kHz"),
    ("gain", 4.0, "+4 dB"),
    ("gain", -1.5, "-1.5 dB"),
    ("gain", 0.0, "0 dB"),
    ("gain", -0.0, "0 dB"),
    ("depth", 6.0, "6 dB"),
    ("level", -18.0, "-18 dB"),
    ("percent", 50.0, "50 %"),
    ("time", 30.0, "30 ms"),
    ("time", 1500.0, "1.5 s"),
    ("ratio", 4.0, "4:1"),
    ("slope", 12.0, "12 dB/oct"),
    ("q", 0.7071, "0.7071"),
    ("count", 2.0, "2"),
]


@pytest.mark.parametrize(("quantity", "value", "text"), SHOWN)
def test_a_value_is_shown_as_the_trade_writes_it(quantity, value, text):
    assert show(quantity, value) == text


@given(st.sampled_from(sorted(UNITS)), st.floats(-1e9, 1e9))
def test_what_is_shown_is_read_back_to_the_bit(quantity, value):
    value = float(round(value)) if quantity == "count" else value
    value = abs(value) // 1 % len(UNITS[quantity].words) if UNITS[quantity].words else value
    assert parse(quantity, show(quantity, value)) == value


@given(st.sampled_from(sorted(UNITS)), st.text() | st.floats() | st.integers() | st.none() | st.booleans())
def test_anything_else_is_refused_and_never_a_crash(quantity, value):
    try:
        parse(quantity, value)
    except UnitError as error:
        assert "\n" not in str(error)  # noqa: PT017 - a value may be right, and then there is no error
