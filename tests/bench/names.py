"""Names against a list of one's own: ``python tests/bench/names.py LIST.json [--show]``. How many get their role.

A list has one entry a song, ``{"song": title, "files": [{"name": ..., "role": recipe or null, "also_ok": [recipe, ...]}]}``; null is
a name that says nothing. Right is the role, one that does no harm, or none where null is the truth. Wrong does harm where the role
taken and the true one are of different sorts below (a vocal as drums, a bass as anything that is rolled off), or where there is no
true one; a reference has no moves and harms nothing. Keep one half of your lists unseen until the end; ``--show`` prints what went
wrong, and what was shown is no longer unseen.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path

from stemwright.recipes.deciding import Doubt, Match
from stemwright.recipes.folders import house_dir
from stemwright.recipes.library import load_library
from stemwright.recipes.matching import match_all

SORTS = {
    "low end": "808 bass sub-bass kick",
    "drums": "snare clap snap rim toms percussion drum-bus drum-loop hats cymbals shaker",
    "vocals": "lead-vocal backing-vocals harmonies doubles ad-libs choir vocal-sample",
    "instruments": "guitar acoustic-guitar piano keys organ synth synth-lead pad pluck bells mallets strings brass woodwinds loop",
    "effects": "effects",
    "reference": "reference",
}
SORT_OF = {role: sort for sort, roles in SORTS.items() for role in roles.split()}


def harms(role: str, true: str | None) -> bool:
    """Return whether a wrong role's recipe does harm to what the stem is."""
    return SORT_OF[role] != "reference" and (true is None or SORT_OF[role] != SORT_OF[true])


def kind_of(match: Match | Doubt | None, file: dict[str, object]) -> str:
    """Return what became of one file: right, wrong, wrong and harmful, two readings, none."""
    role = match.recipe.name.replace(" ", "-") if isinstance(match, Match) else None
    if role == file["role"] or role in file["also_ok"]:
        return "right"
    if role is None:
        return "two readings" if isinstance(match, Doubt) else "none"
    return "wrong and harmful" if harms(role, file["role"]) else "wrong"


def main() -> None:
    songs = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    library = load_library([house_dir()])
    counts: Counter[str] = Counter({"right": 0, "wrong": 0, "wrong and harmful": 0, "two readings": 0, "none": 0})
    for song in songs:
        found = match_all([file["name"] for file in song["files"]], library, [song["song"]])
        for file in song["files"]:
            match = found[file["name"]]
            kind = kind_of(match, file)
            counts[kind] += 1
            if "--show" in sys.argv and kind != "right":
                said = (
                    match.recipe.name
                    if isinstance(match, Match)
                    else match and [each.recipe.name for each in match.readings]
                )
                print(f"{kind}: {song['song']} | {file['name']} | {said}, not {file['role']}")
    total = sum(counts.values())
    print(", ".join(f"{kind} {count} ({count / total:.1%})" for kind, count in counts.items()), f"of {total}")


if __name__ == "__main__":
    main()
