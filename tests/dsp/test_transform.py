"""The transform: scipy's own answer to the bit, with and without the short way to it."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from scipy.fft import rfft

from stemwright.dsp import transform as module
from stemwright.dsp.transform import transform

FRAMES = np.random.default_rng(3).standard_normal((3, 5, 960)).astype(np.float32)


@pytest.fixture(params=["as installed", "moved", "changed"])
def how(request, monkeypatch):
    """Take scipy as it is, as one that has its module elsewhere, and as one whose module is another."""
    if request.param == "moved":
        monkeypatch.setattr(module, "_FOLDER", "fft/elsewhere")
    elif request.param == "changed":
        monkeypatch.setattr(module, "_FOLDER", "ndimage")
        monkeypatch.setattr(module, "_MODULE", "_nd_image")
    transform.cache_clear()
    yield request.param
    transform.cache_clear()


@pytest.mark.usefixtures("how")
def test_it_is_scipys_transform_to_the_bit():
    found = transform()(FRAMES)
    assert found.dtype == np.complex64
    assert found.tobytes() == rfft(FRAMES).tobytes()


def test_the_short_way_loads_nothing_else_of_scipy():
    code = (
        "import sys, stemwright.dsp.rings; from stemwright.dsp.transform import transform; transform(); print(*sys.modules)"
    )
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert "stemwright.dsp.rings" in loaded
    assert not [name for name in loaded if name.split(".")[0] == "scipy"]
