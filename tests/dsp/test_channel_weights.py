"""Channel weights: ITU-R BS.1770-5, Table 4 of section 2.1; the order of a 7.1 file is mask 63F (L R C LFE, backs, sides)."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.dsp.loudness import LevelMeter, channel_gains
from stemwright.stems.audio import probe

RATE_HZ = 48_000


# A 997 Hz sine of -20 dBFS peak in one channel reads -23.01 LUFS (Tech 3341's alignment); 1.41 is 1.49 dB more.
@pytest.mark.parametrize(
    ("channel", "lufs"),
    [(0, -23.01), (1, -23.01), (2, -23.01), (3, None), (4, -23.01), (5, -23.01), (6, -21.52), (7, -21.52)],
)
def test_seven_one_leaves_out_the_lfe_and_weighs_its_sides(channel: int, lufs: float | None) -> None:
    block = np.zeros((RATE_HZ, 8))
    block[:, channel] = 0.1 * np.sin(2.0 * np.pi * 997.0 / RATE_HZ * np.arange(RATE_HZ))
    meter = LevelMeter(RATE_HZ, 8)
    meter.feed(block)
    assert meter.levels().lufs == (None if lufs is None else pytest.approx(lufs, abs=0.01))


# Annex 3, Table 4: 60 to 120 degrees to the side weighs 1.41, all else 1, the LFE nothing. In 5.1 the backs of the mask are its
# surrounds at 110 degrees (BS.775); where there are sides, they stand at 135.
@pytest.mark.parametrize(
    ("speakers", "gains"),
    [
        (0x3F, [1, 1, 1, 0, 1.41, 1.41]),
        (0x60F, [1, 1, 1, 0, 1.41, 1.41]),
        (0x37, [1, 1, 1, 1.41, 1.41]),
        (0x63F, [1, 1, 1, 0, 1, 1, 1.41, 1.41]),
        (0xFF, [1, 1, 1, 0, 1.41, 1.41, 1, 1]),
        (0x33, [1, 1, 1.41, 1.41]),
        (0x3, [1, 1]),
    ],
)
def test_a_channel_mask_says_which_channel_is_what(speakers: int, gains: list[float]) -> None:
    assert channel_gains(len(gains), speakers).tolist() == gains


def test_a_mask_that_does_not_fit_the_channels_is_passed_over() -> None:
    assert channel_gains(6, 0x3).tolist() == channel_gains(6).tolist() == [1, 1, 1, 0, 1.41, 1.41]


def test_the_mask_of_a_file_is_read(tmp_path) -> None:
    path = tmp_path / "six.wav"
    soundfile.write(path, np.zeros((100, 6)), RATE_HZ, "PCM_24", format="WAVEX")
    raw = bytearray(path.read_bytes())
    mask_at = raw.index(b"fmt ") + 8 + 20
    raw[mask_at : mask_at + 4] = (0x60F).to_bytes(4, "little")
    path.write_bytes(raw)
    assert probe(path).speakers == 0x60F
