"""Notes against a list of one's own: ``python tests/bench/notes.py LIST.json [--show]``. How many are read as they were meant.

A list has one entry a song, ``{"song": title, "stems": [{"name": ..., "role": recipe or null}], "notes": [note, ...]}``, a note
``{"text": ..., "kind": ..., "wants": [{"stems": [...], "what": [...]}], "also": [other wants, ...]}``. ``kind`` is ``asks``,
``figures`` (with numbers in it), ``back``, ``elsewhere`` (nothing of it is for EQ, level or rings), ``approval`` or ``unclear``
(nobody could tell). ``what`` are the readings that would do, of `stemwright.notes.gist.effects.WAYS`; a note to go back has stems
and no readings. ``also`` are other wants as good.

Right: the stems that are meant and no others, each changed in a way that was meant; beside somebody else's work, as the rest that
is offered; of approval, where signing off is offered. Offered: one over another, as two ways to choose from. As meant offered:
refused, with a command that does what was meant. Nothing is rendered, and no sound is looked at. Keep one half of your lists
unseen until the end; ``--show`` prints what went wrong, and what was shown is no longer unseen.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from stemwright.notes.gist.effects import WAYS, Effects
from stemwright.notes.language import read
from stemwright.notes.targets import targets_of
from stemwright.recipes.folders import house_dir
from stemwright.recipes.library import load_library
from stemwright.recipes.words_library import load_vocabulary, words_dirs

VERDICTS = (
    "right", "offered", "incomplete", "other meaning", "wrong stems", "refused, as meant offered", "refused, rest offered", "refused",
)  # fmt: skip
VOCABULARY = load_vocabulary(words_dirs(None, []))
EFFECTS = Effects(VOCABULARY)


@dataclass(frozen=True)
class Stem:
    """A stem as a plan has it."""

    stem: str
    role: str | None
    family: str | None
    status: str = "prepped"
    deliver_as: object = "a file"


def _judged(wants, done: list[tuple[str, frozenset[str]]]) -> str:
    meant = {stem for want in wants for stem in want["stems"]}
    touched = {stem for stem, _ in done}
    if touched - meant:
        return "wrong stems"
    fits = [(stem, want) for want in wants for stem in want["stems"]]
    if any(not any(stem == where and did & set(want["what"]) for where, want in fits) for stem, did in done):
        return "other meaning"
    answered = all(any(stem == where and did & set(want["what"]) for stem, did in done) for where, want in fits)
    return "right" if answered else "incomplete"


def verdict(note, stems: dict[str, Stem]) -> tuple[str, str]:
    """Return what became of one note, and what was understood of it."""
    reading = read(note["text"], targets_of(stems.values()), VOCABULARY)
    said = "; ".join(
        [
            *(f"{'+' if (ask.gain_db or ask.amount) > 0 else '-'}{ask.word} {list(ask.stems)}" for ask in reading.asks),
            *(f"back by {back.way} {list(back.stems)}" for back in reading.backs),
            *(f"keep off {stem}" for stem in reading.kept_off),
            *(f"{list(each.over)} over {list(each.front)}" for each in reading.relations),
            *(f"not ours ({each.kind.name}): {each.text}" for each in reading.not_ours),
            *(f"?? {piece}: {why}" for piece, why in reading.problems),
            *(["approved"] if reading.approved else []),
        ]
    )
    found = _verdict(note, reading, stems)
    if found.startswith("refused"):
        offers = [read(each, targets_of(stems.values()), VOCABULARY) for each in reading.perhaps[1]]
        if any(_verdict(note, offer, stems) == "right" for offer in offers):
            return "refused, as meant offered", said
    return found, said


def _verdict(note, reading, stems: dict[str, Stem]) -> str:
    done = [(name, EFFECTS.of_ask(ask, stems[name].role, stems[name].family)) for ask in reading.asks for name in ask.stems]
    backs = {name for back in reading.backs for name in back.stems or stems}
    if note["kind"] in ("elsewhere", "approval", "unclear"):
        return _of_no_ask(note["kind"], reading, acts=bool(done or backs))
    if reading.problems:
        return "refused, rest offered" if done or backs else "refused"
    every = [note["wants"], *note.get("also", [])]
    if note["kind"] == "back":
        return _gone_back(every, reading, backs, {stem for stem, _ in done})
    if reading.relations:
        meant = {stem for wants in every for want in wants for stem in want["stems"]}
        offered = {stem for each in reading.relations for stem in (*each.front, *each.over)}
        return "offered" if offered & meant else "refused"
    if not done:
        return "wrong stems" if backs else "refused"
    return min((_judged(wants, done) for wants in every), key=VERDICTS.index)


def _of_no_ask(kind: str, reading, *, acts: bool) -> str:
    if acts and not (reading.problems or reading.relations):
        return "other meaning" if reading.not_ours else "wrong stems"
    named = {"elsewhere": bool(reading.not_ours), "approval": reading.approved or reading.keeps_only, "unclear": True}[kind]
    return "right" if named and not acts else "refused"


def _gone_back(every, reading, backs: set[str], touched: set[str]) -> str:
    meant = [{stem for want in wants for stem in want["stems"]} for wants in every]
    if not (backs or reading.kept_off):
        return "other meaning" if touched else "refused"
    touched |= backs
    if touched in meant or touched | set(reading.kept_off) in meant:
        return "right"
    return "incomplete" if any(touched | set(reading.kept_off) <= each for each in meant) else "wrong stems"


def main() -> None:
    songs = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    families = {name.replace(" ", "-"): recipe.family for name, recipe in load_library([house_dir()]).recipes.items()}
    counts: dict[str, Counter[str]] = {}
    for song in songs:
        stems = {
            each["name"]: Stem(each["name"], (each["role"] or "").replace("-", " ") or None, families.get(each["role"]))
            for each in song["stems"]
        }
        for number, note in enumerate(song["notes"]):
            assert not {what for want in note["wants"] for what in want["what"]} - set(WAYS), note
            found, said = verdict(note, stems)
            counts.setdefault(note["kind"], Counter())[found] += 1
            if "--show" in sys.argv and found != "right":
                wanted = "; ".join(f"{want['what']} {want['stems']}" for want in note["wants"])
                print(f"{found.upper()} [{song['song']} {number}] {note['text']}\n    meant: {wanted}\n    read:  {said}")
    for kind, found in counts.items():
        total = sum(found.values())
        told = ", ".join(f"{each} {found[each]} ({found[each] / total:.0%})" for each in VERDICTS if found[each])
        print(f"{kind:9s} of {total}: {told}")


if __name__ == "__main__":
    main()
