"""Names against a list of one's own: ``python tests/bench/names.py LIST.json [--show]``. How many get their role.

A list has one entry a song, ``{"song": title, "files": [{"name": ..., "role": recipe or null, "also_ok": [recipe, ...]}]}``; null is
a name that says nothing. Right is the role, one that does no harm, or none where null is the truth. Keep one half of your lists unseen
until the end; ``--show`` prints what went wrong, and what was shown is no longer unseen.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path

from stemwright.recipes.library import house_dir, load_library
from stemwright.recipes.matching import Doubt, Match, match_all


def main() -> None:
    songs = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    library = load_library([house_dir()])
    counts: Counter[str] = Counter()
    for song in songs:
        found = match_all([file["name"] for file in song["files"]], library, [song["song"]])
        for file in song["files"]:
            match = found[file["name"]]
            role = match.recipe.name.replace(" ", "-") if isinstance(match, Match) else None
            right = role == file["role"] or role in file["also_ok"]
            kind = "right" if right else "wrong" if role else "two readings" if isinstance(match, Doubt) else "none"
            counts[kind] += 1
            if "--show" in sys.argv and not right:
                print(f"{kind}: {song['song']} | {file['name']} | {role}, not {file['role']}")
    total = sum(counts.values())
    print(", ".join(f"{kind} {count} ({count / total:.1%})" for kind, count in counts.most_common()), f"of {total}")


if __name__ == "__main__":
    main()
