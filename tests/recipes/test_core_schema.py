"""What a plain value is: the example of YAML 1.2.2, section 10.3.2 (https://yaml.org/spec/1.2.2/#1032-tag-resolution)."""

from __future__ import annotations

import math

import pytest

from stemwright.recipes.core_schema import core, surprise


# "Example 10.9 Core Tag Resolution" of the specification.
@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("null", None),
        ("", None),
        ("~", None),
        ("true", True),
        ("True", True),
        ("false", False),
        ("FALSE", False),
        ("0", 0),
        ("0o7", 7),
        ("0x3A", 58),
        ("-19", -19),
        ("0.", 0.0),
        ("-0.0", -0.0),
        (".5", 0.5),
        ("+12e03", 12000.0),
        ("-2E+05", -200000.0),
        (".inf", math.inf),
        ("-.Inf", -math.inf),
        ("+.INF", math.inf),
    ],
)
def test_a_plain_value_is_what_the_specification_says(written, value):
    assert (type(core(written)), core(written)) == (type(value), value)


def test_nan_is_a_float():
    assert math.isnan(core(".NAN"))


# Same section: "a match of no expression is a string"; the tag resolution is case sensitive.
@pytest.mark.parametrize("written", ["nULL", "tRUE", "1e", "0o8", "0xG", ".", "-", "30 kHz", "+4 dB", "4:1", "2026-01-01"])
def test_what_no_expression_matches_is_text(written):
    assert core(written) == written


# The other meaning, by YAML 1.1: https://yaml.org/type/bool.html, int.html, float.html.
@pytest.mark.parametrize(
    "written", ["yes", "No", "ON", "off", "010", "-07", "12:30", "190:20:30", "1_000", "0b1010", "685_230.15", "20:30.15"]
)
def test_what_yaml_1_1_reads_otherwise_is_refused(written):
    assert surprise(written) is not None


@pytest.mark.parametrize("written", ["4:1", "100:1", "true", "10", "1e3", "0.5", "y", "hat", "a_b", "30 kHz", "0"])
def test_what_does_no_harm_is_taken(written):
    assert surprise(written) is None


def test_a_number_of_thousands_of_digits_is_a_float_and_no_crash():
    assert core("9" * 5000) == math.inf
