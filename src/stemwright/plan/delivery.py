"""Delivery: what the session sheet asks of the files that go out, settled in the plan, so that recall repeats it.

The naming advice behind ``names: delivery`` is the Recording Academy Producers & Engineers Wing's (Delivery Recommendations
for Recorded Music Projects, 2018, page 13, as quoted by others; not read by us): parts joined by underscores, words
capitalised, no spaces, punctuation or accents, sample rate and word length last, "k" for kHz.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import replace
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.plan.items import DeliverAs
from stemwright.plan.resolve import seed_of
from stemwright.recipes.deliver import READY_NAMES
from stemwright.stems.info import output_spec
from stemwright.stems.names import base_name
from stemwright.stems.resample import length_at

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from stemwright.plan.items import PlanItem
    from stemwright.recipes.deliver import Deliver
    from stemwright.stems.info import OutputSpec
    from stemwright.stems.survey import StemFacts

READY_TEMPLATE = "{song}_{stem}_{rate}_{bits}"
LONGEST_BYTES = 255  # of a name, on every common file system
KEPT_WORDS = {"FLOAT": "32f", "DOUBLE": "64f"}


def deliver_all(items: Sequence[PlanItem], facts: Mapping[str, StemFacts], deliver: Deliver, title: str) -> list[PlanItem]:
    """Settle every file's form, length and name as the session sheet asks.

    Parameters
    ----------
    items : sequence of PlanItem
        The plan, in the stems' own form.
    facts : mapping of str to StemFacts
        The stems as received.
    deliver : Deliver
        The session sheet's word.
    title : str
        The song's title, for names.

    Returns
    -------
    list of PlanItem
        A stem without moves stays a byte-for-byte copy unless what is asked for is another form than its own.

    Raises
    ------
    SongError
        If two files would get one name, or a name is none; all of them are named.
    """
    if not deliver.changes_files:
        return list(items)
    shaped = [_shaped(item, facts, deliver) for item in items]
    if deliver.same_length:
        shaped = _one_length(shaped)
    if deliver.names is not None:
        shaped = _named(shaped, deliver.names, title)
    return shaped


def _shaped(item: PlanItem, facts: Mapping[str, StemFacts], deliver: Deliver) -> PlanItem:
    info = facts[item.stem].info if item.stem in facts else None
    if item.deliver_as is None or item.input is None or info is None:
        return item
    asked = deliver.bits is not None or deliver.container is not None or (deliver.rate_hz or info.rate_hz) != info.rate_hz
    if not asked:
        return item
    spec = output_spec(info, deliver.bits, container=deliver.container, rate_hz=deliver.rate_hz)
    frames = length_at(info.frames, info.rate_hz, spec.rate_hz)
    messages = item.messages
    if deliver.container is not None and spec.container != deliver.container:
        messages = (
            *messages,
            f"{deliver.container} cannot hold {spec.subtype}, {spec.channels} channels: it goes out as {spec.container}",
        )
    return replace(_as(item, spec, frames), messages=messages)


def _as(item: PlanItem, spec: OutputSpec, frames: int) -> PlanItem:
    name = PurePosixPath(item.stem)
    path = f"{item.stem.removesuffix(name.suffix)}{spec.extension(name.suffix)}"
    shaped = DeliverAs(path=path, container=spec.container, subtype=spec.subtype, rate_hz=spec.rate_hz, frames=frames)
    return _seeded(replace(item, deliver_as=shaped))


def _seeded(item: PlanItem) -> PlanItem:
    """Give an integer file its dither's seed, and a copy none."""
    if item.copied:
        return replace(item, seed=None, deliver_as=replace(item.file, path=item.stem))
    return replace(item, seed=seed_of(item) if item.file.is_integer else None)


def _one_length(items: Sequence[PlanItem]) -> list[PlanItem]:
    """Pad every file at its end to the length of the longest."""
    files = [item.deliver_as for item in items if item.deliver_as is not None]
    if not files:
        return list(items)
    longest = max(files, key=lambda one: one.frames / one.rate_hz)
    result = []
    for item in items:
        if item.deliver_as is None or item.input is None:
            result.append(item)
            continue
        frames = max(length_at(longest.frames, longest.rate_hz, item.deliver_as.rate_hz), item.deliver_as.frames)
        result.append(_padded(item, frames))
    return result


def _padded(item: PlanItem, frames: int) -> PlanItem:
    deliver = item.file
    if deliver.frames == frames:
        return item
    if not deliver.writable:
        # A lossy source without moves is a copy until it has to grow; then it becomes what a lossy source becomes.
        path = f"{item.stem.removesuffix(PurePosixPath(item.stem).suffix)}.wav"
        deliver = replace(deliver, path=path, container="WAV", subtype="PCM_24")
    return _seeded(replace(item, deliver_as=replace(deliver, frames=frames)))


def _named(items: Sequence[PlanItem], template: str, title: str) -> list[PlanItem]:
    named = [item if item.deliver_as is None else _rename(item, template, title) for item in items]
    by_name: dict[str, list[PlanItem]] = {}
    for item in named:
        if item.deliver_as is not None:
            by_name.setdefault(unicodedata.normalize("NFC", item.deliver_as.path).casefold(), []).append(item)
    problems = [_problem(item) for item in named]
    problems += [_collision(same) for same in by_name.values() if len(same) > 1]
    found = [f"  {problem}" for problem in problems if problem]
    if found:
        lines = "\n".join(found)
        raise SongError(f"deliver.names in session.yaml ({template!r}) gives names that cannot be used:\n{lines}")
    return named


def _collision(same: Iterable[PlanItem]) -> str:
    stems = list(same)
    path = stems[0].deliver_as.path if stems[0].deliver_as else ""
    return (
        f"{' and '.join(repr(item.stem) for item in stems)} would all be {path!r}; put {{stem}} in it, or rename the stems"
    )


def _problem(item: PlanItem) -> str:
    if item.deliver_as is None:
        return ""
    name = PurePosixPath(item.deliver_as.path).name
    size = len(name.encode("utf-8", "surrogateescape"))
    if size > LONGEST_BYTES:
        return f"{item.stem!r} would get a name of {size} bytes; {LONGEST_BYTES} are allowed"
    if name.startswith("."):
        return f"{item.stem!r} would be {name!r}; a name that starts with a dot is hidden"
    return ""


def _rename(item: PlanItem, template: str, title: str) -> PlanItem:
    deliver = item.file
    stem = PurePosixPath(item.stem)
    bits = KEPT_WORDS.get(deliver.subtype) or (f"{deliver.bits}b" if deliver.bits else deliver.subtype.lower())
    facts = {"song": title, "stem": base_name(stem.name), "role": item.role or "", "bits": bits}
    facts["rate"] = f"{deliver.rate_hz / 1000:g}k"
    if template == READY_NAMES:
        template = READY_TEMPLATE
        facts |= {key: clean(facts[key]) for key in ("song", "stem", "role")}
        facts["rate"] = facts["rate"].replace(".", "k").rstrip("k") + ("" if "." in facts["rate"] else "k")
    name = re.sub(r"\{(\w+)\}", lambda found: facts[found[1]], template)
    name = name.replace("/", "-").replace("\\", "-").replace("\0", "").strip()
    folder = "" if str(stem.parent) == "." else f"{stem.parent}/"
    return replace(item, deliver_as=replace(deliver, path=f"{folder}{name}{PurePosixPath(deliver.path).suffix}"))


def float_name(item: PlanItem) -> str:
    """Return the name of a file that has to be float because it would go over: its own, with what it says made true."""
    deliver = item.file
    path = PurePosixPath(deliver.path)
    name = path.stem
    if path.name != PurePosixPath(item.stem).name and deliver.bits and name.endswith(f"{deliver.bits}b"):
        name = name.removesuffix(f"{deliver.bits}b") + KEPT_WORDS["FLOAT"]
    return str(path.with_name(name + (".wav" if deliver.container == "FLAC" else path.suffix)))


def clean(text: str) -> str:
    """Return a text as capitalised fragments without spaces, punctuation or accents: ``Léad vox 2`` is ``LeadVox2``."""
    plain = "".join(char for char in unicodedata.normalize("NFKD", text) if not unicodedata.combining(char))
    fragments = re.findall(r"[^\W_]+", plain)
    return "".join(fragment[:1].upper() + fragment[1:] for fragment in fragments)
