"""Two SHA-256 at once: the published values, and what hashlib says of the same bytes, however they are cut."""

from __future__ import annotations

import hashlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stemwright import native
from stemwright.stems.hashing import HashPair

# NIST, Cryptographic Standards and Guidelines, Examples with Intermediate Values: SHA-256, one and two blocks; and of nothing.
PUBLISHED = {
    b"": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    b"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": (
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
    ),
}


@pytest.fixture(params=["pairs", "apart"])
def how(request, monkeypatch):
    """Let the processor's own instructions do it, and hashlib."""
    if request.param == "apart":
        monkeypatch.setattr(native, "kernels", None)
    elif native.kernels is None or not native.kernels.hashes_pairs:
        pytest.skip("NOT TESTED: no kernels here, or no such instructions")
    return request.param


@pytest.mark.usefixtures("how")
@pytest.mark.parametrize("one", PUBLISHED)
@pytest.mark.parametrize("other", PUBLISHED)
def test_both_hashes_are_the_published_ones(one, other):
    pair = HashPair()
    pair.update(one, other)
    assert pair.hexdigests() == (PUBLISHED[one], PUBLISHED[other])


# Round the ends of a step of 64 bytes, and of the last one, which has room for 55 besides its own end.
PARTS = st.one_of(st.sampled_from([0, 1, 54, 55, 56, 63, 64, 65, 119, 120, 128]), st.integers(0, 700))


@given(st.lists(st.tuples(PARTS, PARTS), max_size=6), st.integers(0, 255))
def test_any_cut_of_two_streams_gives_what_hashlib_gives(cuts, seed):
    pair, apart = HashPair(), (hashlib.sha256(), hashlib.sha256())
    bytes_of = np.random.default_rng(seed).bytes
    for sizes in cuts:
        parts = [bytes_of(size) for size in sizes]
        pair.update(*parts)
        for digest, part in zip(apart, parts, strict=True):
            digest.update(part)
        assert pair.hexdigests() == tuple(digest.hexdigest() for digest in apart)  # to be asked for at any time


@pytest.mark.usefixtures("how")
def test_samples_are_hashed_as_they_lie_in_memory():
    words = np.arange(-300, 300, dtype=np.int32).reshape(-1, 2)
    pair = HashPair()
    pair.update(bytearray(b"beside"), words.data)
    pair.update(memoryview(b""), words[:0].data)
    assert pair.hexdigests() == (hashlib.sha256(b"beside").hexdigest(), hashlib.sha256(words.tobytes()).hexdigest())
