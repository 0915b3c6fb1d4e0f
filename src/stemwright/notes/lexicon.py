"""Lexicon: what people call stems, and how they ask, in tables. Common practice and everyday speech, no source.

Conventions
-----------
Phrases are written as `stemwright.stems.names.split_words` splits text, in the singular where there is one (`singular`).
"""

from __future__ import annotations

from typing import Final

from stemwright.recipes.grammar import Phrase


def singular(word: str) -> str:
    """Return a word without the ending of its plural; short words stay."""
    if len(word) > 3 and word.endswith(("ss", "us", "is")):
        return word
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("shes", "ches", "xes")):
        return word[:-2]
    return word[:-1] if len(word) > 2 and word[-1] in "sz" and word[-2].isalpha() else word


def phrase_of(text: str) -> Phrase:
    """Return a phrase as the tables have it."""
    return tuple(singular(word) for word in text.split())


def _table(rows: dict[str, str]) -> dict[Phrase, tuple[str, ...]]:
    return {
        phrase_of(name): tuple(role.strip() for role in roles.split(","))
        for names, roles in rows.items()
        for name in names.split("|")
    }


# One role, whatever it is called; the first role that the song has is meant ("a, b" is a before b).
ROLE_NAMES: Final = _table(
    {
        "kick|kik|kck|bd|bass drum|kick drum": "kick",
        "snare|snr|snare drum|sn|sd": "snare",
        "clap|clp|handclap": "clap",
        "hat|hi hat|hihat|hh|high hat|hhat": "hats",
        "cymbal|overhead|oh|crash|ride cymbal": "cymbals",
        "tom|tom tom": "toms",
        "shaker|shkr": "shaker",
        "rim|rimshot|sidestick": "rim",
        "snap|finger snap": "snap",
        "perc|percussion": "percussion",
        "drum loop|break|breakbeat|top loop|toploop": "drum loop",
        "drum bus|drum stem": "drum bus, drum loop",
        "808|eight oh eight": "808",
        "bass|bas|bs|bassline|bass line|bass guitar|low note": "bass, sub bass, 808",
        "sub|sub bass|subbass": "sub bass, 808",
        "piano|pno|pian|pianos": "piano",
        "key|keyboard|keyz|kyes|rhodes|ep": "keys",
        "organ|org|hammond": "organ",
        "guitar|gtr|gtar|gt|guit|guitar part": "guitar, acoustic guitar",
        "acoustic|acoustic guitar|ac gtr|acoustic gtr|aco": "acoustic guitar",
        "electric guitar|electric|elec gtr|eg": "guitar",
        "pad|drone": "pad",
        "pluck|plk": "pluck",
        "bell|chime": "bells",
        "mallet": "mallets",
        "synth|syn": "synth",
        "lead synth|synth lead": "synth lead",
        "string|strg": "strings",
        "brass|brs": "brass",
        "woodwind|wind": "woodwinds",
        "choir": "choir",
        "lead vocal|lead vox|lead voice|main vocal|main vox|vocal|vox|voice|voc|lv|ld vox|leadvox|singer|rapper|rap|"
        "vocal lead|lyric|singing|main voice|topline|top line|vocal line|verse vocal": "lead vocal",
        "backing vocal|backing|backing vox|background vocal|bv|bgv|bvox|bg|bgvox|bg vocal|ooh|aah|background|chorus vocal": (
            "backing vocals"
        ),
        "ad lib|adlib": "ad libs",
        "double|dbl|dub|vocal double": "doubles",
        "harmony|harm|vocal harmony|harmony vocal": "harmonies",
        "vocal sample|vocal chop|vox chop|chop|voxchop|sample chop|vox sample": "vocal sample, loop",
        "sample|loop": "loop, vocal sample",
        "lead": "lead vocal, synth lead",
        "fx|effect|sfx": "effects",
    }
)
# Said of one instrument; a stem of that name is meant, or the only one of its role.
NARROW: Final = _table(
    {
        "horn|trumpet|trombone|low brass|tuba": "brass",
        "sax|saxophone|flute|clarinet|oboe|harmonica": "woodwinds",
        "violin|vln|viola|cello|celli|fiddle": "strings",
        "glock|glockenspiel|tinkly thing": "bells",
        "kalimba|marimba|xylo|xylophone|vibe|vibraphone": "mallets",
        "tamb|tambourine|conga|bongo|timpani|timp|spoon|cowbell|tambo": "percussion",
        "uke|ukulele|banjo|mandolin": "acoustic guitar",
        "pedal steel|steel": "guitar",
        "shekere|maraca": "shaker",
        "harp": "pluck",
        "supersaw|arp|chord": "synth",
        "crowd|vinyl|scratch": "effects",
        "singers": "choir",
    }
)
# Several roles or families together. A leading "!" leaves out.
GROUPS: Final[dict[Phrase, tuple[str, ...]]] = {
    tuple(name.split()): tuple(members.split("; "))
    for names, members in (
        {
            "keys": "keys; piano; organ",
            "low end|bottom end|low frequency|low frequencies|deep stuff": "kick; bass; sub bass; 808",
            "synths": "synth; synth lead; pluck; pad",
            "horns": "brass; woodwinds",
            "percussion": "percussion; shaker; rim; snap; clap",
            "vocals|voices|voxes|all vocals|all the voices|all voices": "vocals",
            "drums|drum|drum kit|the kit|kit": "drums",
            "music": "music",
            "beat|instrumental|backing track": "drums; music",
        }
    ).items()
    for name in names.split("|")
}
ALL: Final = frozenset(
    phrase_of(each)
    for each in (
        "all|everything|everyting|all stems|all stem|whole thing|the whole thing|whole track|whole mix|the mix|whole song|mix|"
        "everything else|the rest|rest|all the others|all others|others|other|all else"
    ).split("|")
)
REST: Final = frozenset(
    phrase_of(each) for each in ("everything else", "the rest", "rest", "all the others", "all others", "others", "other",
                                 "all else")
)  # fmt: skip
# The voice that speaks.
ME: Final = frozenset(
    {("me",), ("my", "voice"), ("my", "vocal"), ("my", "vox"), ("my", "mic"), ("my", "voice", "mic"), ("myself",)}
)
CANON: Final = {
    "gtr": "guitar", "gt": "guitar", "gtar": "guitar", "vox": "vocal", "voc": "vocal", "voice": "vocal", "pno": "piano",
    "hh": "hat", "snr": "snare", "sn": "snare", "kik": "kick", "dbl": "double", "perc": "percussion", "strg": "string",
    "l": "left", "r": "right", "bot": "bottom", "acoustica": "acoustic", "bgv": "backing", "bv": "backing", "harm": "harmony",
    "brs": "brass", "samp": "sample", "smp": "sample", "timp": "timpani", "vln": "violin", "celli": "cello", "cellos": "cello",
    "xylo": "xylophone", "glock": "glockenspiel", "tamb": "tambourine", "keyz": "key", "ep": "key", "hihat": "hat", "syn": "synth",
}  # fmt: skip
# Part of a stem's name, and too common a word to mean it alone.
WEAK: Final = frozenset(
    "the a an in on of at to out up down top bottom hi lo low high left right old new again more less main lead one two it is "
    "loud quiet soft dark bright warm dry wet clean raw short long big small take mix final print bounce edit stem audio wav "
    "track my your his her all and with no not part double ref dust air cut ring body click crack at edge room "
    "mid front back close far wide mono stereo fast slow hard little everyone borrowed quieter louder sound".split()
)
FILLERS: Final = frozenset(
    "a an the on in of to for by is are am it its it's be been being make makes made making need needs needed want wants wanted please pls plz sounds sound sounding "
    "feels feel feeling felt could can should would use have has had get gets getting got give gives gimme i we you u us our your my mine his her hers their they them he she him "
    "him bring turn push pull take set there that this these those thats was were at as so just only really very quite kind sort kinda sorta of bro fam "
    "man dude mate yo hey hi hello ok okay yeah yes ya yup well now still again also too then than from with without into like im ive ill id dont do does did doing didnt "
    "doesnt isnt aint arent wasnt wont cant couldnt maybe perhaps probably possibly think thought guess feel believe hear heard hearing listen listening listened tell "
    "know see love loved lovely like liked great good nice awesome amazing cool dope fire perfect beautiful thanks thank thx sorry god bless "
    "work job team dear darling honestly actually basically literally generally overall thing things stuff bit bits way ways part parts side sides time times "
    "some any something anything somewhere someone somebody one ones here where when while because cause if or nor both each every all me mine myself himself herself "
    "what which who whose why how about around near over under up down out off through go goes going gone come comes coming came keep keeps kept let lets put puts "
    "try tried trying help find found look looks seem seems seemed tends tend sit sits sitting stand stands live lives little lot more less most least "
    "much many not no nah nope never ever always often sometimes even yet already soon else other another same different "
    "us today tonight yesterday tomorrow monday tuesday wednesday thursday friday saturday sunday morning night last week first second third next new "
    "ear ears earbuds headphones phone phones laptop car speaker speakers van monitors studio room system rig club window windows house home "
    "mix track song tune record version pass note notes verse chorus hook bridge fan client everyone everybody people folks guys gang sir maam abeg dey "
    "small tiny minor quick number point points item following per call said says say saying asked asks mean means meant wonder wonders possible "
    "strong stronger force trouble bad problem issue whatever job follow again polite earlier fully completely totally honest audience view lol haha hmm um uh ah oh wow x xx s t m re ve d ll ca wo y n o pretty rather somewhat right left hand fix fixed sort sorted clean cleaned done "
    "general everywhere throughout roughly approx approximately per cent percent range region area zone frequency frequencies freq freqs band note eq character tone tonal quality "
    "bus buss stem stems channel channels file instrument instruments mic mics microphone recording recorded recordings take takes though although however but and plus "
    "anyway otherwise mostly mainly especially particularly certain better best worse worst ask asking happy thrilled energy vibe vibes".split()
)
BOOST: Final = frozenset(
    "boost want wants need needs add up plus raise lift increase give more push gain higher louder bump".split()
)
CUT: Final = frozenset(
    "cut lose down minus reduce less dip lower take remove drop pull out duck scoop quieter notch off".split()
)
