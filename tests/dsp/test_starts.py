"""Where a fit begins: the prototype's roots carried to the unit circle, and so near the end that few steps are left."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stemwright.dsp import fit as fits
from stemwright.dsp import sections
from stemwright.dsp.prototypes import analog_sections
from stemwright.dsp.starts import starts

OMEGA = 0.3
BELL = {"freq_hz": 1000.0, "gain_db": 9.0, "q": 2.0}
BROAD = {"freq_hz": 1000.0, "gain_db": 12.0, "q": 0.2}
SHELF = {"freq_hz": 1000.0, "gain_db": 6.0, "q": 0.7071}


def first_of(kind, settings, omega=OMEGA):
    prototype = analog_sections(kind, settings)
    return prototype, next(starts(kind, prototype, omega))


def roots_of(pairs):
    """Return the roots of factors given as ``s = 1 + c1 + c2`` and ``d = 1 - c2``."""
    return np.concatenate([np.roots([1.0, s - 2.0 + d, 1.0 - d]) for s, d in pairs])


@pytest.mark.parametrize(
    ("kind", "settings"), [("bell", BELL), ("bell", BROAD), ("low_shelf", SHELF), ("high_shelf", SHELF)]
)
@pytest.mark.parametrize("omega", [0.001, 0.3, 1.5])
def test_roots_of_the_prototype_go_to_exp_of_themselves(kind, settings, omega):
    # Impulse invariance for poles, the matched z-transform for zeros (any DSP handbook): z = exp(s T).
    prototype, start = first_of(kind, settings, omega)
    for pairs, side in ((start.factors.pairs[:1], prototype[0, :3]), (start.factors.pairs[1:], prototype[0, 3:])):
        expected = np.exp(np.roots(side) * omega)
        assert np.sort_complex(roots_of(pairs)) == pytest.approx(np.sort_complex(expected), rel=1e-6)


def test_a_root_beyond_half_the_rate_is_set_down_broad_near_it():
    # Our own rule: 0.97 of half the rate, and a radius of exp(-0.35) or less.
    _, start = first_of("bell", {**BELL, "q": 60.0}, 4.0)
    for pair in start.factors.pairs:
        roots = roots_of([pair])
        assert np.abs(np.angle(roots)) == pytest.approx([0.97 * math.pi] * 2)
        assert np.abs(roots) == pytest.approx([math.exp(-0.35)] * 2)
    _, broad = first_of("bell", {**BELL, "q": 1.0}, 4.0)
    poles = np.roots(analog_sections("bell", {**BELL, "q": 1.0})[0, 3:])
    assert np.abs(roots_of(broad.factors.pairs[1:])) == pytest.approx(np.exp(poles.real * 4.0))


@pytest.mark.parametrize(
    ("kind", "slope", "shape"),
    # By the conventions: a high-pass of order n has n zeros at 0 Hz; an odd order one real pole, and another pole and a zero to
    # follow it; a low-pass up to two numerators in the rows that its poles need anyway.
    [
        ("high_pass", 12, (2, 0, 1, 0, 0)),
        ("high_pass", 18, (3, 0, 1, 1, 2)),
        ("high_pass", 6, (1, 0, 0, 1, 2)),
        ("high_pass", 48, (8, 0, 4, 0, 0)),
        ("low_pass", 12, (0, 1, 1, 0, 0)),
        ("low_pass", 24, (0, 2, 2, 0, 0)),
        ("low_pass", 48, (0, 2, 4, 0, 0)),
        ("low_pass", 6, (0, 1, 0, 0, 2)),
        ("low_pass", 18, (0, 2, 1, 0, 2)),
    ],
)
def test_a_pass_begins_with_the_factors_of_its_order(kind, slope, shape):
    prototype, start = first_of(kind, {"freq_hz": 1000.0, "slope_db_oct": slope})
    assert start.shape == fits.Shape(*shape)
    assert len(start.factors.pairs) == shape[1] + shape[2]
    assert len(start.factors.singles) == shape[3] + shape[4]
    if slope % 12:
        # The real pole of an odd order is at s = -1 (Butterworth), so at exp(-omega).
        assert start.factors.singles[shape[3]] == pytest.approx(1.0 - math.exp(-OMEGA))
        assert len(prototype) == slope // 12 + 1


@pytest.mark.parametrize(("kind", "first_patience"), [("bell", 1.0), ("low_pass", 1.0)])
def test_tries_get_larger_and_all_of_them_are_stable(kind, first_patience):
    settings = BELL if kind == "bell" else {"freq_hz": 1000.0, "slope_db_oct": 12}
    tries = list(starts(kind, analog_sections(kind, settings), OMEGA))
    rows = [each.shape.bottom_pairs for each in tries]
    assert rows == [1] + [2] * 4 + [3] * 4 + [4] * 4
    assert tries[0].patience == first_patience
    assert max(each.patience for each in tries) == 4.0
    for each in tries:
        roots = roots_of(each.factors.pairs)
        assert np.abs(roots).max() < 1.0
        # What has no counterpart in the prototype lies on the negative axis.
        real = roots[np.abs(roots.imag) < 1e-9].real
        assert (real <= 1e-9).all()


def further(tries, number):
    """Return the further real poles, as roots, of the tries with so many pairs of them."""
    return [roots_of(each.factors.pairs[-number:]).real for each in tries if each.shape.bottom_pairs == 1 + number]


# By the comments: with each number of further pairs four tries, which draw them toward 0 or away from it, the last most patient.
@pytest.mark.parametrize(
    ("kind", "slope", "scales"), [("bell", None, (1.0, 0.7, 1.07, 0.4)), ("low_pass", 12, (0.4, 1.0, 0.7, 1.07))]
)
def test_tries_draw_what_is_further_toward_0_or_away(kind, slope, scales):
    settings = BELL if slope is None else {"freq_hz": 1000.0, "slope_db_oct": slope}
    tries = list(starts(kind, analog_sections(kind, settings), OMEGA))
    assert [each.patience for each in tries] == [1.0] + [1.0, 1.0, 2.0, 4.0] * 3
    for number in (1, 2, 3):
        found = further(tries, number)
        for scale, roots in zip(scales, found, strict=True):
            assert np.sort(roots) == pytest.approx(np.sort(found[scales.index(1.0)] * scale))


@pytest.mark.parametrize("number", [1, 2, 3])
def test_further_poles_and_zeros_alternate_along_the_negative_axis(number):
    # As those of any rational function do that imitates a branch cut from z = -1.
    tries = [each for each in starts("bell", analog_sections("bell", BELL), OMEGA) if each.shape.bottom_pairs == 1 + number]
    pairs = tries[0].factors.pairs
    zeros, poles = roots_of(pairs[1 : 1 + number]).real, roots_of(pairs[-number:]).real
    order = sorted([(root, "zero") for root in zeros] + [(root, "pole") for root in poles])
    assert [what for _, what in order] == ["zero", "pole"] * (2 * number)


@pytest.mark.parametrize(("slope", "spare"), [(12, 1), (24, 2), (48, 2)])
def test_a_low_pass_has_numerators_to_spare_in_every_try(slope, spare):
    tries = list(starts("low_pass", analog_sections("low_pass", {"freq_hz": 1000.0, "slope_db_oct": slope}), OMEGA))
    assert [each.shape.top_pairs - spare for each in tries] == [0] + [1] * 4 + [2] * 4 + [3] * 4


# The work that a design takes, in evaluations of the curve, and the sections it gets: a good start is what keeps both small. Counted
# on one machine; another's last bits may cost a step, a tenth and one more are allowed.
@pytest.mark.parametrize(
    ("kind", "values", "rate_hz", "evaluations", "count"),
    [
        ("bell", (300.0, -3.0, 1.0), 44100, 2, 1),
        ("bell", (12e3, 9.0, 2.0), 44100, 9, 2),
        ("bell", (17321.5, 7.75, 0.9), 44100, 15, 2),
        ("bell", (40e3, 12.0, 0.5), 44100, 18, 2),
        ("bell", (22050.0, 24.0, 60.0), 44100, 399, 3),
        ("notch", (9e3, -30.0, 30.0), 48000, 26, 2),
        ("high_shelf", (27e3, 4.0, 0.7071), 44100, 17, 2),
        ("high_shelf", (8e3, 6.0, 0.7071), 48000, 31, 1),
        ("low_shelf", (120.0, 6.0, 0.7071), 48000, 2, 1),
        ("low_shelf", (15e3, -6.0, 1.0), 48000, 27, 1),
        ("high_pass", (80.0, 24.0), 48000, 2, 2),
        ("high_pass", (12e3, 48.0), 44100, 2, 4),
        ("high_pass", (250.0, 18.0), 44100, 4, 2),
        ("high_pass", (30.0, 6.0), 44100, 4, 1),
        ("low_pass", (18e3, 12.0), 44100, 90, 2),
        ("low_pass", (9e3, 36.0), 48000, 142, 4),
        ("low_pass", (30e3, 24.0), 44100, 14, 2),
        ("low_pass", (30e3, 6.0), 44100, 38, 1),
        ("low_pass", (3e3, 6.0), 96000, 32, 1),
    ],
)
def test_a_design_takes_few_steps_and_few_sections(monkeypatch, kind, values, rate_hz, evaluations, count):
    names = ("freq_hz", "slope_db_oct") if kind.endswith("_pass") else ("freq_hz", "gain_db", "q")
    made = []
    levels = fits._Model._levels

    def counted(self, theta):
        made.append(1)
        return levels(self, theta)

    monkeypatch.setattr(fits._Model, "_levels", counted)
    monkeypatch.setattr(sections, "_fitted", sections._fitted.__wrapped__)  # what was made before is remembered
    rows = sections.design(kind, dict(zip(names, values, strict=True)), rate_hz)
    assert 0 < len(made) <= 1.1 * evaluations + 1
    assert len(rows) == count
