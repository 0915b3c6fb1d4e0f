"""Words written: a person's words as a YAML file that reads back as the same words."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from stemwright.recipes.moves import describe

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.recipes.words import Meaning, Word

HEADER = "# Written by: stemwright words learn. It may be edited; comments of your own keep it from being written again."


def write_words(by: str, words: Iterable[Word]) -> str:
    """Return a person's words as the text of a words file.

    Parameters
    ----------
    by : str
        Whose they are.
    words : iterable of Word
        Each with its why.
    """
    lines = [HEADER, f"by: {_quoted(by)}", "words:"]
    for word in words:
        lines += [f"  {_quoted(word.name)}:", f"    why: {_quoted(word.why)}"]
        lines += [f"    opposite: {_quoted(word.opposite)}"] if word.opposite else []
        for key, forms in (("also", word.also), ("more", word.more)):
            lines += [f"    {key}: [{', '.join(map(_quoted, forms))}]"] if forms else []
        lines += ["    fault: true"] if word.fault else []
        if word.means:
            lines.append("    means:")
            lines += [f"      {line}" for meaning in word.means for line in _meaning(meaning)]
    return "\n".join(lines) + "\n"


def _meaning(meaning: Meaning) -> list[str]:
    to = [f"to: [{', '.join(map(_quoted, meaning.to))}]"] if meaning.to else []
    if meaning.rings_percent is not None:
        body = [f"rings: {meaning.rings_percent:g} %"]
    else:
        body = ["moves:"]
        for move in meaning.moves:
            settings = ", ".join(f"{key}: {value}" for key, value in describe(move).items())
            body.append(f"  - {move.kind}: {{{settings}}}")
            body += [f"    why: {_quoted(move.why)}"] if move.why else []
    inner = [*to, *body]
    return [f"- {inner[0]}", *(f"  {line}" for line in inner[1:])]


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
