"""Deliver: how a session sheet wants files written, and how its ``deliver`` is read."""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from stemwright.recipes.fields import Field
from stemwright.recipes.problems import shown
from stemwright.recipes.strict_yaml import Scalar

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stemwright.recipes.reading import Reading
    from stemwright.recipes.strict_yaml import Node

DELIVER_KEYS = ("rate", "bits", "format", "same_length", "overs", "names", "loudness")
LOUDNESS = ("free", "hold")
OVERS = ("float", "trim", "stop")
BITS: Mapping[str, int | Literal["float"] | None] = MappingProxyType(
    {"keep": None, "16": 16, "24": 24, "32": 32, "float": "float"}
)

CONTAINERS: Mapping[str, str | None] = MappingProxyType(
    {"keep": None, "wav": "WAV", "flac": "FLAC", "aiff": "AIFF", "caf": "CAF"}
)
RATE = Field(key="rate", setting="rate_hz", quantity="frequency", lowest=8_000.0, highest=384_000.0, about="sample rate")
NAME_FIELDS = ("song", "stem", "role", "rate", "bits")
READY_NAMES = "delivery"


@dataclass(frozen=True, kw_only=True)
class Deliver:
    """How files are written.

    ``overs``: what happens to a stem that would go over full scale: ``float``, ``trim`` or ``stop``. ``bits``: 16, 24, 32,
    ``"float"``, or None for the word length as received. ``rate_hz`` and ``container``: None keeps the stem's own.
    ``same_length``: whether every file is padded at its end to the longest. ``names``: a template with ``{stem}`` and others
    in it, or ``delivery`` for the ready one; None keeps the names received.
    ``hold``: whether each stem goes out as loud as it was received.
    """

    overs: str = "float"
    bits: int | Literal["float"] | None = None
    rate_hz: int | None = None
    container: str | None = None
    same_length: bool = False
    names: str | None = None
    hold: bool = False

    @property
    def changes_files(self) -> bool:
        """Whether anything but the overs and the loudness is asked for."""
        return self != Deliver(overs=self.overs, hold=self.hold)


def read_deliver(reading: Reading, node: Node) -> Deliver:
    """Read ``deliver``; what is wrong goes to the reading's problems, and its default into what is returned."""
    # A new key is a field of Deliver and a line here and in the schema.
    table = reading.table(node, "deliver", DELIVER_KEYS, "a mapping, such as {overs: float, bits: 24}")
    values = table.values if table is not None else {}
    overs = reading.choice(values["overs"], "deliver.overs", OVERS) if "overs" in values else None
    bits = reading.choice(values["bits"], "deliver.bits", BITS) if "bits" in values else None
    container = reading.choice(values["format"], "deliver.format", CONTAINERS) if "format" in values else None
    same_length = reading.flag(values["same_length"], "deliver.same_length") if "same_length" in values else None
    loudness = reading.choice(values["loudness"], "deliver.loudness", LOUDNESS) if "loudness" in values else None
    return Deliver(
        overs=overs or "float",
        hold=loudness == "hold",
        bits=BITS[bits or "keep"],
        rate_hz=_rate(reading, values["rate"]) if "rate" in values else None,
        container=CONTAINERS[container or "keep"],
        same_length=bool(same_length),
        names=_names(reading, values["names"]) if "names" in values else None,
    )


def _rate(reading: Reading, node: Node) -> int | None:
    if isinstance(node, Scalar) and node.value == "keep":
        return None
    rate_hz = reading.number(node, "deliver.rate", RATE)
    if rate_hz is not None and rate_hz != round(rate_hz):
        reading.problem(node, "deliver.rate", "a part of a hertz; write a whole sample rate, such as 48 kHz, or keep")
        return None
    return None if rate_hz is None else round(rate_hz)


def _names(reading: Reading, node: Node) -> str | None:
    """Read a template; an unknown word in braces is a problem here, not a file named after it."""
    example = f'a template such as "{{song}}_{{stem}}_{{rate}}_{{bits}}", or {READY_NAMES}, or keep'
    text = reading.text(node, "deliver.names", example)
    if text is None or text in ("keep", READY_NAMES):
        return None if text == "keep" else text
    unknown = [name for name in re.findall(r"\{(.*?)\}", text) if name not in NAME_FIELDS]
    rest = re.sub(r"\{.*?\}", "", text)
    if unknown:
        words = ", ".join(f"{{{name}}}" for name in NAME_FIELDS)
        reading.problem(node, "deliver.names", f"no such word in braces ({shown('{' + unknown[0] + '}')}); allowed: {words}")
    elif "{" in rest or "}" in rest:
        reading.problem(node, "deliver.names", f"a brace without its partner ({shown(text)}); write {example}")
    elif "/" in rest or "\\" in rest:
        reading.problem(node, "deliver.names", f"a name, not a path ({shown(text)}); take the slash out")
    elif "{stem}" not in text:
        reading.problem(node, "deliver.names", f"all stems would get one name ({shown(text)}); put {{stem}} in it")
    else:
        return text
    return None
