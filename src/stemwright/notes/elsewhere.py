"""Elsewhere: what a note asks that no move of ours answers, named as what it is and whose work it is.

Conventions
-----------
Patterns are matched against a piece of a note in small letters. The order counts: the first that fits names the piece.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Kind:
    """One kind of work that is not ours: what it is called, and who does it."""

    name: str
    what: str
    whose: str


REVERB = Kind("reverb-delay", "reverb or delay", "the mix, where the sends are")
PAN = Kind("pan-width", "panning or width", "the mix: stems keep their place")
TIMING = Kind("timing-tuning", "timing or tuning", "the recording engineer's edit session")
EDIT = Kind("edit-mute", "an edit or a mute", "the session the stems were bounced from")
ARRANGEMENT = Kind("arrangement", "arrangement", "the producer's session")
DISTORTION = Kind("distortion", "distortion or saturation", "the producer or the mix")
DYNAMICS = Kind("dynamics", "dynamics or mastering", "a compress move in the recipe, or the mix")
AUTOMATION = Kind("automation", "a change over time, in one section or at one moment", "the mix's automation")
APPROVAL = Kind("approval", "an approval", "yours: stemwright keep SONG STEM signs it off")
KINDS: Final = (REVERB, PAN, TIMING, EDIT, ARRANGEMENT, DISTORTION, DYNAMICS, AUTOMATION, APPROVAL)

_SECTION = (
    r"(?:verses?|choru?s(?:es)?|hooks?|bridge|intro|outro|drop|breakdown|pre-?chorus|build|middle eight|solo|coda|refrain)"
)
_CLOCK = r"\b\d{1,2}:\d\d\b"
_TABLE: Final[tuple[tuple[Kind, str], ...]] = (
    (DYNAMICS, r"\bcompress|\blimit(?:er|ing)?\b|level+ing out|all over the place|jumps? out|side-?chain|pump(?:s|ing|y)?\b|"
               r"\bmaster(?:ing|ed)?\b(?=.*(?:loud|quiet|lufs|hot|level))|\bgate(?:d|s)?\b|transient|squash|dynamic|even (?:it |them )?out|evener|de-?ess|inconsistent|\blufs\b|glue"),
    (REVERB, r"\breverbs?\b|\bverb\b|\becho(?:es|ey)?\b|\bdelays?\b|\bwet(?:ter)?\b|\bdr(?:y|ier)\b|\bhall\b|\bplate reverb|church|cathedral|roomier|"
             r"ambien(?:ce|t)|spacious|more space|space around|slap-?back|\bthrow\b|cavern|reverberant|\btails?\b.*\b(?:long|short)"),
    (PAN, r"\bpan(?:s|ned|ning)?\b|\bwid(?:e|er|en|th|est|ening)\b|\bmono\b|\bstereo\b|\bnarrow(?:er)?\b(?!,? ?-?\d)|left to right|hard (?:left|right)|"
          r"left left|from (?:the )?left|wrong side|to the (?:left|right|side)|in (?:the )?cent(?:re|er)|off-?cent|left and right|left ear|right ear|swap (?:the )?sides"),
    (TIMING, r"\btuned?\b|\btuning\b|out of (?:tune|time|key)|off-?key|(?<!high )(?<!high-)\bpitch(?:y|es)?\b|\bin time\b|\btiming\b|\bearly\b|\blate\b|\brush(?:es|ed|ing)?\b|\bdrag(?:s|ging)?\b|"
             r"\bnudge|behind the beat|ahead of the beat|\bstiff\b|\bswing\b|\bgroove|same time|auto-?tune|quanti[sz]e|came in (?:flat|sharp)|\bflat\b|\bsloppy\b|in sync|line up|lines up|"
             r"\bis sharp\b(?= (?:on|in) (?:the )?(?:last|high|note))|off (?:beat|time|grid)|tempo|\bbpm\b"),
    (AUTOMATION, r"\bfad(?:e|es|ed|ing)\b|\bswells?\b|\brid(?:e|ing)\b (?:the|up|it|that)|\bduck\b|automat|slowly|gradual|between (?:the )?(?:vocal|lines|words)|filter sweep|\bsweep\b|\bcrescendo|build up to|bloom slower"),
    (ARRANGEMENT, r"\bswap\b|\breplace\b|\banother (?:snare|kick|sample|sound|take|one)\b|longer (?:intro|outro|solo)|double as long|\bshorter \d+ bars|\blose the (?:first|second|third|last|" + _SECTION + r")|"
                  r"verse shorter|\barrange|\bkey change|\btranspose|come in only|end cold|add an? (?:new )?(?:trumpet|guitar|string|string|violin|choir|piano|bass|drum|snare|clap|riser|part|harmony|layer|melody|beat)|"
                  r"\b(?:rewrite|re-?record|resing|replay)\b|\bdifferent (?:snare|kick|sample|sound|chord|melody|part|bassline)|sad trumpet|\bbars? (?:kick|drums?|intro)|extra bars?|longer\b(?=.*bars)|"
                  r"(?:should|could|can) (?:it |we )?(?:start|begin|end) (?:with|on|cold)|more (?:notes|fills)|solo should"),
    (EDIT, r"(?<!palm )\bmut(?:e|es|ing)\b|\bbreaths?\b(?=.*(?:loud|before|between|out|remove|cut))|\bumm?s\b|\bcough|\bdog\b (?:at|bark|in)|\blaugh\b|bad words?|\bcurse|\bswear|\bcensor|\bbleep|less long|\bchop off|\bremove bars|"
           r"remove (?:the |that |this )?(?:first|last|word|line|bar|note|fill|breath|talk|count|noise at|part)|get rid of (?:the )?[\w ]+ (?:in|at|from|after|before|on)\b|\btrim\b|\bcut the [a-z]+ (?:at|in|from|before|after)\b|"
           r"\bcrossfade|\bcomp(?:ing|ed)?\b|\bsplice|without (?:the )?(?:drums|vocals?|bass)\b.*\btry|try it without|re-?bounce|count-?in|\bpops? at|\bclick at|\btalking (?:at|before)|take (?:it|that) out of the|\bsilence\b"),
    (DISTORTION, r"distort|saturat|bit-?crush|overdriv|\bclipp(?:er|ing|ed|s)\b|\bclip\b|\bfuzz\b|\btape (?:sat|warm|sound)|\bgrit(?:ty|tier)?\b|\bdirt(?:y|ier)?\b|\bcrunch(?:y|ier)?\b|more gain\b|\bamp\b(?=.*fire)|\bdrive\b|crackl"),
    (AUTOMATION, _CLOCK + r"|\b(?:only |just )?(?:in|on|for|during|at|through|before|after|from|into) (?:the )?(?:first |second |third |last |2nd |1st |final |every )?" + _SECTION + r"\b(?! (?:vocal|vox|voice|sample|lead|guitar|synth))|\bverse (?:one|two|three|\d)\b|"
                 r"\b(?:from|at|in|until|till|to|on) bars? \d|\bbars? \d+\b|last (?:word|line|bar)|(?:first|last) \d+ bars"),
)  # fmt: skip
_PATTERNS: Final = tuple((kind, re.compile(pattern)) for kind, pattern in _TABLE)
_EVERYWHERE = re.compile(r"everywhere|throughout|whole song|all through|all the way")
_APPROVED = re.compile(
    r"that'?s (?:it|the one)\b|thats (?:it|the one)\b|\bapproved?\b|sign(?:ed|ing)? (?:it )?off|\bprint it\b|\bship it\b|send (?:it )?to master|\bupload it|\bpublish|no (?:more )?(?:notes|revisions?|changes)\b|"
    r"\bit'?s done\b|^done$|\bwe can close|\bis finished|\blocked\b|\bthis is the (?:record|one|mix)|go with this|dont change nothing|don'?t change (?:a thing|anything)|exactly as it is|leave it (?:as|like) (?:it|is)|\bcut it$|that'?ll do|"
    r"\bconfirmed\b|good to go|happy with (?:it|this|everything)|nothing (?:else|more) to (?:add|change)|👍|\bnailed it|all ok\b|call it done|^perfect$|we'?re (?:done|good)|i'?m (?:done|good)|\bfinal(?:ised|ized)?$|ready to (?:go|release|print)|don'?t touch (?:it|a thing|anything)\b|wouldn'?t change"
)  # fmt: skip


def elsewhere(text: str) -> Kind | None:
    """Return the kind of work that a piece of a note asks for, where it is none of ours."""
    text = text.lower()
    for kind, pattern in _PATTERNS:
        if pattern.search(text) and not (kind is AUTOMATION and _EVERYWHERE.search(text)):
            return kind
    return None


def approves(text: str) -> bool:
    """Whether a sentence signs the pass off."""
    return _APPROVED.search(text.lower().strip(" .!")) is not None
