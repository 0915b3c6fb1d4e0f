"""Each: one verb for two shares or two frequencies, said again for each of them: cut 500 and 1k on the keys."""

from __future__ import annotations

import re
from typing import Final

_SHARE: Final = r"(?:half|(?:an?|one|two) (?:third|quarter)s?|three quarters|\d{1,2}\s?(?:%|percent\b|per cent\b))"
# Take back half on the vocal and a third on the keys.
SHARES: Final = re.compile(
    r"^((?:please |can you |can we |could you |just )*(?:(?:take|dial|pull|roll) back|undo|keep)) "
    rf"{_SHARE}(?: (?=(?:on|for|from|of) (?!it\b|that\b|this\b|what)).*| ?$)",
    re.IGNORECASE,
)
_EACH_SHARE: Final = re.compile(
    rf"(^.*?|,? and |, ?)({_SHARE}) (?:of (?=(?:on|for|from)\b))?(?=(?:on|for|from)\b)", re.IGNORECASE
)


def with_each_share(match: re.Match[str]) -> str:
    """Return shares of what was done as those of it, each with its verb."""
    done = r"(?:change|tweak|move|boost|cut|edit)s?\b"
    said = re.sub(
        rf" of (?:the|my|that|this) (?:last |latest )?{done}|(?<={match[1]} )({_SHARE}) ?$", r"\1 of it", match[0], count=1
    )
    said = re.sub(rf" of the (\w+) {done}", r" of it on the \1", said)
    verb = match[1]
    return _EACH_SHARE.sub(lambda each: f"{each[1] if each.start() == 0 else f'{each[1]}{verb} '}{each[2]} of it ", said)


# Cut 500 and 1k by 2 dB on the keys.
_HZ: Final = r"(?:\d{2,5}(?:\s?hz)?|\d+(?:\.\d+)?\s?k(?:hz)?)"
TWO_PLACES: Final = re.compile(
    rf"^(cut|boost|notch|dip|lift|scoop|notch out|take out|pull out|add)(?: at)? ({_HZ})(?:,| and| &) ({_HZ})"
    r"(?: by (\d+(?:\.\d+)?(?:\s?dbs?)?))? (?:on|in|from|of|out of) (\D{2,40})$",
    re.IGNORECASE,
)


def with_each_place(match: re.Match[str]) -> str:
    """Return one verb for two places as one for each, with the stem before them."""
    gain = f" {match[4]} at" if match[4] else ""
    return f"{match[5]}: {match[1]}{gain} {match[2]} and {match[1]}{gain} {match[3]}"


# Vocal up 1 dB, backing vocals up half that; not: vocal up 1 dB and keep the keys the same.
AS_MUCH: Final = re.compile(
    r"^(?!.*\b(?:keep|leave|stays?|leaving)\b)(\D*)(\d+(?:\.\d+)?)(\s?dbs?\b)"
    r"(\D*?\b(?:up|down|louder|quieter|softer|lower|raise|boost|cut)\b\D*?)\s(?:by )?"
    r"(half (?:of )?(?:that|as much)|(?:by )?the same(?: amount)?|as much)\s*(?:please|pls)?\s*$",
    re.IGNORECASE,
)


def with_its_figure(match: re.Match[str]) -> str:
    """Return dB said by those before them as figures: half that, the same amount."""
    amount = float(match[2]) * (0.5 if match[5].lower().startswith("half") else 1.0)
    return f"{match[1]}{match[2]}{match[3]}{match[4]} {amount:g} dB"
