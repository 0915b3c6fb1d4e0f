"""What an audio file is: container, word length, rate, channels, frames; as received and as it is to be written."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stemwright.stems.wave import WaveLayout

EXTENSIONS = frozenset(
    {".wav", ".wave", ".bwf", ".rf64", ".bw64", ".w64", ".aif", ".aiff", ".aifc", ".flac", ".caf", ".au", ".snd"}
    | {".mp3", ".ogg", ".oga", ".opus"}
)
LOSSY_SUBTYPES = ("MPEG", "VORBIS", "OPUS", "ULAW", "ALAW", "ADPCM", "GSM", "G72", "VOX", "NMS")
FLAC_CHANNELS, FLAC_RATE_HZ = 8, 655_350  # RFC 9639
LOSSLESS_CONTAINERS = ("WAV", "AIFF", "FLAC", "CAF", "W64", "AU")


@dataclass(frozen=True, kw_only=True)
class AudioInfo:
    """What the header of an audio file says.

    ``bits`` is the integer word length, None for float. ``promised_frames`` is what the header announces; where the file
    is cut short it is more than ``frames``.
    """

    container: str
    subtype: str
    rate_hz: int
    channels: int
    frames: int
    promised_frames: int
    bits: int | None
    lossy: bool
    wave: WaveLayout | None = None

    @property
    def seconds(self) -> float:
        """Length in seconds."""
        return self.frames / self.rate_hz

    @property
    def speakers(self) -> int:
        """One bit a channel where the header says which speaker it is for (WAVE_FORMAT_EXTENSIBLE), else 0."""
        fmt = b"" if self.wave is None else self.wave.fmt
        return int.from_bytes(fmt[20:24], "little") if len(fmt) >= 40 and fmt[:2] == b"\xfe\xff" else 0

    @property
    def cut_short(self) -> bool:
        """Whether the header promises more audio than the file holds."""
        return self.promised_frames > self.frames


def bits_of(subtype: str) -> int | None:
    """Return the integer word length of a subtype (``PCM_24``, ``ALAC_16``), None for float and lossy ones."""
    if subtype in ("PCM_U8", "PCM_S8"):
        return 8
    return int(subtype[-2:]) if subtype.startswith(("PCM_", "ALAC_")) else None


@dataclass(frozen=True, kw_only=True)
class OutputSpec:
    """How a stem is to be written.

    ``container`` is WAV, RF64, BW64, AIFF, FLAC, CAF, W64 or AU. ``like`` is the format chunk of a WAV as received.
    """

    container: str
    subtype: str
    rate_hz: int
    channels: int
    like: bytes = b""

    @property
    def bits(self) -> int | None:
        """Integer word length, None for float."""
        return bits_of(self.subtype)

    def as_float(self) -> OutputSpec:
        """Return the same file as 32-bit float, in a WAV where its own container has no float."""
        container = "WAV" if self.container == "FLAC" else self.container
        return replace(self, container=container, subtype="FLOAT")

    def extension(self, received: str) -> str:
        """Return the file's ending: as received where the container still is, else the container's own."""
        known = container_of_ending(received)
        if known == self.container or (known is None and self.container in WAV_FAMILY and received):
            return received
        return ENDINGS[self.container]


WAV_FAMILY = ("WAV", "RF64", "BW64")
ENDINGS = {"WAV": ".wav", "RF64": ".wav", "BW64": ".wav", "FLAC": ".flac", "AIFF": ".aif", "CAF": ".caf", "W64": ".w64"}
ENDINGS |= {"AU": ".au"}


def container_of_ending(ending: str) -> str | None:
    """Return the container an ending stands for; None for the WAV family, where WAV, RF64 and BW64 share endings."""
    table = {".flac": "FLAC", ".caf": "CAF", ".w64": "W64", ".au": "AU", ".snd": "AU", ".mp3": "MP3", ".ogg": "OGG"}
    table |= {".oga": "OGG", ".opus": "OGG", ".aif": "AIFF", ".aiff": "AIFF", ".aifc": "AIFF"}
    return table.get(ending.lower())


def output_spec(
    info: AudioInfo, bits: int | str | None = None, *, container: str | None = None, rate_hz: int | None = None
) -> OutputSpec:
    """Return how a stem goes out: as it came, unless the container or `bits` asks for another form.

    Parameters
    ----------
    info : AudioInfo
        The stem as received.
    bits : {None, 16, 24, 32, "float"}
        Word length asked for; None keeps the stem's own (24 for a lossy source).
    container : {None, "WAV", "FLAC", "AIFF", "CAF"}
        Container asked for; None keeps the stem's own.
    rate_hz : int, optional
        Sample rate asked for; None keeps the stem's own.

    Returns
    -------
    OutputSpec
        A lossy source becomes a 24-bit WAV; what FLAC cannot hold (word length, channels, rate) becomes a WAV.
    """
    rate_hz = info.rate_hz if rate_hz is None else rate_hz
    if container is None or (container == "WAV" and info.container in WAV_FAMILY):
        container = "WAV" if info.lossy or info.container not in (*LOSSLESS_CONTAINERS, *WAV_FAMILY) else info.container
    subtype = "PCM_24" if info.lossy else info.subtype
    if bits is not None:
        subtype = "FLOAT" if bits == "float" else f"PCM_{bits}"
    if subtype.startswith("ALAC_"):
        # libsndfile's ALAC encoder loses frames of loud stereo material, so the same word length goes out uncompressed.
        subtype = "PCM_32" if subtype.endswith("32") else "PCM_24" if subtype.endswith(("20", "24")) else "PCM_16"
    if container == "AIFF" and subtype == "PCM_S8":
        subtype = "PCM_16"  # libsndfile reads an odd 8-bit AIFF back one frame too long
    if subtype == "PCM_U8" and container not in WAV_FAMILY and container != info.container:
        subtype = "PCM_16"
    if subtype == "PCM_S8" and container in WAV_FAMILY:
        subtype = "PCM_U8"
    fits_flac = subtype in ("PCM_S8", "PCM_16", "PCM_24") and info.channels <= FLAC_CHANNELS and rate_hz <= FLAC_RATE_HZ
    if container == "FLAC" and not fits_flac:
        container = "WAV"
    like = info.wave.fmt if info.wave is not None else b""
    return OutputSpec(container=container, subtype=subtype, rate_hz=rate_hz, channels=info.channels, like=like)
