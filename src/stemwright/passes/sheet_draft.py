"""A session sheet to begin with: all that a look knows, what is not known as comments, valid as it stands."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.plan.kit import moved_roles, seeming
from stemwright.recipes.session import FILE
from stemwright.stems.intake.tempo import likeliest, whole_loops
from stemwright.stems.whole import write_new

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stemwright.passes.look import Look
    from stemwright.plan.assignment import Assignment


def draft(seen: Look, recipes: Sequence[str] = ()) -> str:
    """Return the text of a sheet.

    Parameters
    ----------
    seen : Look
        The song, looked at without a sheet of its own.
    recipes : sequence of str
        Folders of recipes to be searched, from the song's own.
    """
    lines = ["# What look knows of this song. Change what is wrong, take the # away from what is right; a line left out goes by name.",
             f"song: {_quoted(seen.sheet.song or seen.song.folder.name)}",
             "# approver: who answers for the artist; their own words count first in a note"]  # fmt: skip
    if recipes:
        lines.append(f"recipes: [{', '.join(map(_quoted, recipes))}]")
    open_ones = [stem for stem, each in seen.assignments.items() if each.recipe is None and not (each.leave or each.skip)]
    known = [stem for stem in seen.assignments if stem not in open_ones and _can_be_written(stem)]
    lines += ["stems:"] if known else []
    lines += [f"  {_quoted(stem)}: {_choice(seen.assignments[stem])}" for stem in known]
    if open_ones:
        lines.append("  # to settle; the likeliest is first" if known else "# stems:   to settle; the likeliest is first")
    for stem in open_ones:
        roles = [*reversed(seen.assignments[stem].readings)] or ["..."]
        what = " or ".join(f"{{role: {role}}}" for role in roles)
        lines.append(f"  # {_quoted(stem)}: {what}, {{leave: the reason}} or {{skip: the reason}}")
    kit = seeming(moved_roles(seen.assignments))
    if kit:
        lines.append(f"# kit: [{', '.join(map(_quoted, kit))}]   # one instrument: its high-passes get linear phase")
    lines += _of_time(seen)
    lines += ["# reference: rough mix.wav   # sum says how far the stems are from it",
              "# deliver: {loudness: hold, overs: float, bits: 24}"]  # fmt: skip
    return "\n".join(lines) + "\n"


def _of_time(seen: Look) -> list[str]:
    """Return what may be said of time: the tempo that files or names say, and how sections are written."""
    tempo = likeliest(seen.arrived, [name for name in (seen.sheet.song, seen.song.folder.name) if name])
    if tempo is None:
        return ["# sections: {hook: 0:45-1:10}   # places of this song, for notes and for a move's only"]
    start = "where a loop begins that is as long as its beats" if whole_loops(seen.arrived) else "where bar 1 begins"
    return [f"# tempo: {tempo:g}   # quarters a minute, say files or names",
            f"# bar_one: 0 s   # {start}",
            "# sections: {verse 1: bars 5-20, hook: bars 21-28}   # places of this song, for notes and for a move's only"]  # fmt: skip


def write_draft(seen: Look, recipes: Sequence[str] = ()) -> Path:
    """Write the sheet into the song's folder and return where; one that is there is never touched.

    Raises
    ------
    SongError
        If there is one, or it cannot be written.
    """
    path = seen.song.folder / FILE
    try:
        write_new(path, [draft(seen, recipes).encode("utf-8")])
    except FileExistsError as error:
        raise SongError(
            f"{path.parent.name}/{FILE}: there already, and not touched; move it away to have a new one"
        ) from error
    except OSError as error:
        raise SongError(f"{path.parent.name}/{FILE}: cannot be written ({error.strerror})") from error
    return path


def _choice(assignment: Assignment) -> str:
    if assignment.skip or assignment.leave:
        return f"{{{'skip' if assignment.skip else 'leave'}: {_quoted(assignment.why)}}}"
    name = assignment.recipe.name if assignment.recipe else ""
    return f"{{role: {_quoted(name)}, why: {_quoted(assignment.matched_by)}}}"


def _can_be_written(name: str) -> bool:
    """Whether a name is text: one that is not can only go by what it is."""
    return all(not 0xD800 <= ord(char) <= 0xDFFF for char in name)


def _quoted(text: str) -> str:
    """Return a text as YAML and JSON both quote it."""
    return json.dumps(text, ensure_ascii=not text.isprintable())
