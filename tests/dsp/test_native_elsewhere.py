"""The kernels built by another compiler, and for another processor: the same bits as the ones this machine uses.

ARM runs under qemu's user mode, which is a processor of its own to the compiler and to the arithmetic.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import butter

from stemwright import native

SOURCE = Path(native.__file__).with_name("kernels.c")
FLAGS = ["-std=c99", "-O3", "-ffp-contract=off", "-fvisibility=hidden"]
pytestmark = pytest.mark.skipif(native.kernels is None, reason="NOT TESTED: this installation has no compiled kernels")

# Reads a cascade, its state and rows; writes the rows filtered, the state after, and what 24-bit dither makes of the rows.
MAIN = """
#include "kernels.c"
#include <stdio.h>
#include <stdlib.h>
static void *take(size_t count, size_t size) {
    void *p = malloc(count * size);
    if (fread(p, size, count, stdin) != count) exit(2);
    return p;
}
int main(void) {
    int64_t *n = take(3, 8);
    double *sos = take(6 * n[0], 8), *state = take(2 * n[0] * n[1], 8), *rows = take(n[1] * n[2], 8);
    double *out = calloc(n[1] * n[2], 8);
    int32_t *words = calloc(n[1] * n[2], 4);
    stemwright_cascade(sos, n[0], state, rows, out, n[1], n[2], 0);
    int64_t overs = stemwright_quantise_counted(rows, n[1], n[2], 8388608.0, 1e-3, 12345, words);
    fwrite(out, 8, n[1] * n[2], stdout);
    fwrite(state, 8, 2 * n[0] * n[1], stdout);
    fwrite(words, 4, n[1] * n[2], stdout);
    fwrite(&overs, 8, 1, stdout);
    return 0;
}
"""


def needs(*tools):
    missing = [tool for tool in tools if shutil.which(tool) is None]
    return pytest.mark.skipif(bool(missing), reason=f"NOT TESTED: no {', '.join(missing)} here")


def sounds():
    """Return noise that stops half way for good, and a tone near the ends of a double's range, two and three channels."""
    noise = np.random.default_rng(7).standard_normal((2, 60_000)) * 0.1
    noise[:, 20_000:] = 0.0
    tiny = np.sin(np.arange(30_000) * np.array([[0.01], [0.1], [0.7]])) * np.array([[1e-300], [1e-30], [0.9]])
    return [noise, tiny]


def sections():
    return np.ascontiguousarray(np.concatenate([butter(4, 0.002, "high", output="sos"), butter(2, 0.9, output="sos")]))


@needs("clang")
def test_clang_makes_the_same_samples(tmp_path):
    built = tmp_path / "kernels.so"
    subprocess.run(["clang", *FLAGS, "-shared", "-fPIC", str(SOURCE), "-o", str(built)], check=True, capture_output=True)
    both = [native.kernels, native.Kernels(built)]
    for rows in sounds():
        states = [np.zeros((3, len(rows), 2)) for _ in both]
        out = [one.cascade(sections(), state, rows, 0) for one, state in zip(both, states, strict=True)]
        assert out[0].tobytes() == out[1].tobytes()
        assert states[0].tobytes() == states[1].tobytes()
        words = [one.quantise_counted(rows, 2.0**23, 1e-3, 99) for one in both]
        assert words[0][0].tobytes() == words[1][0].tobytes()
        assert words[0][1] == words[1][1]


@needs("aarch64-linux-gnu-gcc", "qemu-aarch64")
def test_an_arm_processor_makes_the_same_samples(tmp_path):
    (tmp_path / "main.c").write_text(MAIN, encoding="utf-8")
    built = tmp_path / "kernels-arm"
    command = ["aarch64-linux-gnu-gcc", *FLAGS, "-static", f"-I{SOURCE.parent}", str(tmp_path / "main.c"), "-o", str(built)]
    subprocess.run([*command, "-lm"], check=True, capture_output=True)
    for rows in sounds():
        state = np.zeros((3, len(rows), 2))
        given = np.array([3, *rows.shape], np.int64).tobytes() + sections().tobytes() + state.tobytes() + rows.tobytes()
        got = subprocess.run(["qemu-aarch64", str(built)], input=given, check=True, capture_output=True).stdout
        out = native.kernels.cascade(sections(), state, rows, 0)
        words, overs = native.kernels.quantise_counted(rows, 2.0**23, 1e-3, 12345)
        assert got == out.tobytes() + state.tobytes() + words.tobytes() + np.int64(overs).tobytes()
