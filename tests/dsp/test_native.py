"""The compiled kernels and their numpy and scipy twins: the same bits, whatever the channels, blocks and levels.

The twin is the reference here, and is itself held to published values by the other tests. Where an installation has no
kernels these tests skip; all others run on the twins then.
"""

from __future__ import annotations

import platform
import subprocess
import sys
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import butter

from stemwright import native
from stemwright.dsp.bands import BandMeter
from stemwright.dsp.cascade import Cascade
from stemwright.dsp.dither import COUNTED, STREAMED, Quantiser
from stemwright.dsp.loudness import LevelMeter
from stemwright.stems import samples
from stemwright.stems.intake import breaks, quiet

needs_kernels = pytest.mark.skipif(native.kernels is None, reason="NOT TESTED: this installation has no compiled kernels")
# scipy's own builds may fuse multiply and add elsewhere; ours never do, and are held to plain Python below on every machine.
needs_plain_scipy = pytest.mark.skipif(
    platform.machine().lower() not in ("x86_64", "amd64"), reason="scipy may be built with fused multiply-adds here"
)
SECTIONS = np.concatenate([butter(9, 300, "hp", fs=48_000, output="sos"), butter(4, 9000, fs=48_000, output="sos")])
SHAPES = st.tuples(st.integers(0, 1500), st.integers(1, 6))
# Full scale, far over it, a part of an LSB, and down where doubles lose their digits.
LEVELS = st.sampled_from([0.0, 1e-312, 1e-300, 1e-14, 1e-7, 0.1, 0.9, 3.0, 1e6])


def audio_of(shape, level, seed):
    """Return noise whose second half is silent in every third seed, so that filters ring down to nothing."""
    audio = np.random.default_rng(seed).uniform(-1.0, 1.0, shape) * level
    if seed % 3 == 0:
        audio[len(audio) // 2 :] = 0.0
    return audio


def blocks_of(audio, sizes):
    edges = np.minimum(np.cumsum([0, *sizes, len(audio)]), len(audio))
    return [audio[start:end] for start, end in pairwise(edges)]


def same_bits(one, other):
    return one.shape == other.shape and one.dtype == other.dtype and one.tobytes() == other.tobytes()


class Twice:
    """Runs a function with the kernels and without."""

    def __init__(self, function):
        kept = native.kernels
        self.native = function()
        native.kernels = None
        try:
            self.twin = function()
        finally:
            native.kernels = kept


@needs_kernels
@given(
    st.sampled_from([8_000, 44_100, 96_000]),
    st.integers(1, 6),
    LEVELS,
    st.integers(0, 99),
    st.lists(st.integers(0, 9_000), max_size=4),
)
def test_what_bands_hold_is_the_same_to_the_bit(rate_hz, channels, level, seed, sizes):
    audio = audio_of((rate_hz // 3, channels), level, seed)

    def run():
        heard = []
        meter = BandMeter(rate_hz, channels)
        whole = meter._in_bands
        meter._in_bands = lambda spectra: heard.append(whole(spectra)) or heard[-1]
        for block in blocks_of(audio, sizes):
            meter.feed(block)
        return meter.finish(), np.concatenate([np.zeros((0, 39)), *heard])

    with np.errstate(over="ignore"):
        result = Twice(run)
    assert same_bits(result.native[0], result.twin[0])
    assert same_bits(result.native[1], result.twin[1])


@needs_kernels
@needs_plain_scipy
@given(SHAPES, LEVELS, st.integers(0, 99), st.integers(0, len(SECTIONS)), st.lists(st.integers(0, 700), max_size=4))
def test_sections_equal_scipys_bit_for_bit_in_any_blocks(shape, level, seed, count, sizes):
    audio = audio_of(shape, level, seed)

    def run():
        cascade = Cascade(SECTIONS[:count], shape[1])
        return np.concatenate([cascade.process(block) for block in blocks_of(audio, sizes)])

    result = Twice(run)
    assert same_bits(result.native, result.twin)


def test_sections_equal_the_recursion_written_out_in_python_bit_for_bit():
    # Transposed direct form II (Oppenheim and Schafer, "Discrete-Time Signal Processing"), one rounding an operation: what
    # Python's floats do on every machine.
    audio = audio_of((600, 3), 0.5, 3)
    expected = np.empty_like(audio)
    for channel in range(3):
        state = [[0.0, 0.0] for _ in SECTIONS]
        for frame, sample in enumerate(audio[:, channel].tolist()):
            x = sample
            for z, (b0, b1, b2, _, a1, a2) in zip(state, SECTIONS.tolist(), strict=True):
                y = b0 * x + z[0]
                z[0] = b1 * x - a1 * y + z[1]
                z[1] = b2 * x - a2 * y
                x = y
            expected[frame, channel] = x
    if native.kernels is None:
        np.testing.assert_allclose(Cascade(SECTIONS, 3).process(audio), expected, rtol=1e-9, atol=1e-15)
    else:
        assert np.array_equal(Cascade(SECTIONS, 3).process(audio), expected)


def test_the_block_handed_in_is_left_as_it_was():
    audio = audio_of((500, 2), 0.5, 1)
    kept = audio.copy()
    Cascade(SECTIONS, 2).process(audio)
    Quantiser(24, 1).process(audio)
    LevelMeter(48_000, 2).feed(audio)
    assert np.array_equal(audio, kept)


@needs_kernels
@pytest.mark.parametrize("kind", [COUNTED, STREAMED])
@given(SHAPES, LEVELS, st.integers(0, 99), st.sampled_from([8, 16, 24, 32]), st.lists(st.integers(0, 700), max_size=4))
def test_dithered_integers_and_overs_are_the_same_to_the_bit(kind, shape, level, seed, bits, sizes):
    audio = audio_of(shape, level, seed)

    def run():
        quantiser = Quantiser(bits, seed, kind)
        parts = [quantiser.process(block) for block in blocks_of(audio, sizes)]
        return np.concatenate([part.samples for part in parts]), sum(part.overs for part in parts)

    result = Twice(run)
    assert same_bits(result.native[0], result.twin[0])
    assert result.native[1] == result.twin[1]


@needs_kernels
@pytest.mark.parametrize("bits", [16, 24])
def test_values_on_and_beside_a_half_round_as_numpy_rounds_them(bits):
    halves = (np.arange(-2000, 2000) + 0.5) * 2.0 ** (1 - bits)
    audio = np.concatenate([halves, np.nextafter(halves, 1), np.nextafter(halves, -1), [-1.0, 1.0, 0.0, -0.0]])[:, None]
    result = Twice(lambda: Quantiser(bits, 5).process(audio))
    assert same_bits(result.native.samples, result.twin.samples)
    assert result.native.overs == result.twin.overs


@needs_kernels
@given(
    SHAPES,
    st.sampled_from([0.0, 1e-140, 1e-14, 1e-3, 0.9, 3.0]),
    st.integers(0, 99),
    st.sampled_from([8_000, 44_100, 48_000]),
    st.lists(st.integers(0, 9000), max_size=4),
)
def test_levels_agree_to_a_billionth_of_a_decibel(shape, level, seed, rate_hz, sizes):
    audio = np.concatenate([audio_of((4801, shape[1]), level, seed), audio_of(shape, level, seed + 1)])

    def run():
        meter = LevelMeter(rate_hz, shape[1])
        for block in blocks_of(audio, sizes):
            meter.feed(block)
        return meter.levels()

    result = Twice(run)
    assert result.native.sample_peak_dbfs == result.twin.sample_peak_dbfs
    for name in ("lufs", "true_peak_dbtp", "rms_dbfs"):
        one, other = getattr(result.native, name), getattr(result.twin, name)
        assert (one is None) == (other is None), name
        assert one is None or one == pytest.approx(other, abs=1e-9, rel=0), name


@needs_kernels
@pytest.mark.parametrize("freq_hz", [5, 38, 1000, 20_000])
def test_weighted_energies_agree_to_1e_12_of_the_energy_put_in(freq_hz):
    # Of the energy put in, since that is what rounding scales with: at 5 Hz the weighting takes 35 dB away.
    wave = np.sin(2 * np.pi * freq_hz * np.arange(48_000 * 5) / 48_000)
    rows = np.ascontiguousarray(np.stack([wave, wave[::-1], 0.3 * wave]))
    edges = np.arange(0, rows.shape[1], 4800)
    result = Twice(lambda: LevelMeter(48_000, 3)._energies(rows, edges))
    assert result.native[0] == pytest.approx(result.twin[0], rel=1e-12)
    put_in = np.add.reduceat((rows**2).sum(axis=0), edges)
    assert (np.abs(result.native[1] - result.twin[1]) <= 1e-12 * put_in).all()


@needs_kernels
@given(st.integers(0, 700), st.integers(1, 6), st.sampled_from(["PCM_16", "PCM_24"]), st.integers(0, 9))
def test_bytes_become_samples_and_back_the_same_to_the_bit(frames, channels, subtype, seed):
    width = samples.WIDTHS[subtype]
    raw = bytearray(np.random.default_rng(seed).bytes(frames * channels * width))
    decoded = Twice(lambda: samples.decode(raw, subtype, channels))
    assert same_bits(np.ascontiguousarray(decoded.native), np.ascontiguousarray(decoded.twin))
    integers = np.rint(decoded.native * 2.0 ** (8 * width - 1)).astype(np.int32)
    assert bytes(samples.encode(integers, subtype)) == bytes(raw)


@needs_kernels
def test_the_ends_of_a_24_bit_word_are_packed_as_written_down():
    # Two's complement, least significant byte first (the WAVE format's data chunk).
    words = np.array([[0x7FFFFF], [-0x800000], [-1], [0x010203]], np.int32)
    packed = bytes.fromhex("ffff7f 000080 ffffff 030201")
    assert bytes(samples.encode(words, "PCM_24")) == packed
    assert np.array_equal(samples.decode(bytearray(packed), "PCM_24", 1) * 2.0**23, words)


@needs_kernels
@given(
    frames=st.integers(0, 3000), channels=st.integers(1, 3), width=st.sampled_from([1, 2, 8, 16]), seed=st.integers(0, 99)
)
def test_what_intake_listens_to_agrees_to_1e_12(frames, channels, width, seed):
    rows = np.random.default_rng(seed).standard_normal((channels, frames))
    made = [breaks.bends(rows), quiet.folded(rows, width)]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(native, "kernels", None)
        twins = [breaks.bends(rows), quiet.folded(rows, width)]
    assert np.array_equal(made[0][0], twins[0][0])
    assert made[0][1] == pytest.approx(twins[0][1], rel=1e-12)
    assert made[1] == pytest.approx(twins[1], abs=1e-12)


@needs_kernels
@needs_plain_scipy  # numpy's products may be fused elsewhere, as scipy's are
@given(frames=st.integers(quiet.LENGTH, 4000), level=st.sampled_from([0.0, 1e-9, 1.0]), seed=st.integers(0, 99))
def test_quiet_windows_are_lowered_and_measured_the_same_to_the_bit(frames, level, seed):
    sound = 0.1 + level * np.random.default_rng(seed).standard_normal(frames)
    taps = np.hanning(quiet.TAPS)
    for function, given_ in ((quiet.lowered, (sound, taps)), (quiet.variances, (sound,))):
        result = Twice(lambda function=function, given_=given_: function(*given_))
        assert same_bits(result.native, result.twin)


def test_variances_are_those_of_windows_a_hop_apart():
    # The definition: a window of an equal number of ones and minus ones has the variance 1.
    sound = np.zeros(quiet.LENGTH + 2 * quiet.HOP)
    sound[2 * quiet.HOP :] = np.tile([1.0, -1.0], quiet.LENGTH // 2)
    assert quiet.variances(sound) == pytest.approx([0.5, 0.75, 1.0])
    assert quiet.lowered(np.arange(24.0), np.full(quiet.TAPS, 1 / quiet.TAPS)).tolist() == [7.5, 11.5, 15.5]


def test_bends_and_means_are_those_of_the_definition():
    rows = np.zeros((2, 2 * 256 + 40))
    # Second differences 1, -2, 1 at 298, 299, 300; 300 is one of every fourth, so 64 of them have the mean 1/64.
    rows[0, 300] = 1.0
    rows[1, 8] = -3.0  # at 6, 7, 8
    highest, usual = breaks.bends(rows)
    assert highest.tolist() == [[0.0, 2.0], [6.0, 0.0]]
    assert usual.tolist() == [[0.0, 1.0 / 64.0], [3.0 / 64.0, 0.0]]
    assert quiet.folded(np.array([[1.0, 3.0, 5.0, 7.0, 9.0], [0.0, 0.0, 0.0, 0.0, 9.0]]), 2).tolist() == [1.0, 3.0]


def name_in_a_new_process():
    asked = [sys.executable, "-c", "from stemwright import native; print(native.NAME)"]
    return subprocess.run(asked, capture_output=True, text=True, check=True).stdout.strip()


def test_the_environment_can_choose_numpy(monkeypatch):
    monkeypatch.setenv("STEMWRIGHT_PURE", "1")
    assert name_in_a_new_process() == "numpy"


@needs_kernels
@pytest.mark.parametrize("pure", ["", "0"])
def test_kernels_are_used_where_they_are_there(pure, monkeypatch):
    monkeypatch.setenv("STEMWRIGHT_PURE", pure)
    assert name_in_a_new_process() == "native"


def test_a_shared_object_that_is_not_ours_is_passed_over(tmp_path, monkeypatch):
    monkeypatch.setattr(native, "__file__", str(tmp_path / "__init__.py"))
    monkeypatch.setenv("STEMWRIGHT_PURE", "0")
    assert native._load() is None
    (tmp_path / f"kernels{native.EXTENSION_SUFFIXES[0]}").write_bytes(b"not a library")
    assert native._load() is None
