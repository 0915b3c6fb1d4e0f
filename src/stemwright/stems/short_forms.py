"""Short forms: what a song's other files say about two or three letters that mean more than one thing.

Conventions
-----------
Words are as `stemwright.stems.vocabulary` has them. Which form means what is common practice, no source.
"""

from __future__ import annotations

from stemwright.stems.languages import (
    ARABIC,
    BRAZILIAN,
    CHINESE,
    JAPANESE,
    KIT_OF_ROMANCE,
    MANDE,
    SOUTH_SLAVIC,
    TURKISH,
    WELSH,
)

# A short form that means one thing beside some words and another, or nothing, without: (words of the song's other files, meaning),
# the first that is met decides. It is read only where the name has no other word that says what the stem is.
_ORCHESTRA = frozenset({"violin", "viola", "string", "oboe", "bassoon", "clarinet", "flute", "horn", "timpani"})
_KIT = frozenset({"kick", "snare", "hat", "tom", "drum", "clap", "808"})
_JAZZ = frozenset({"trumpet", "trombone", "flugelhorn", "brass", "saxophone", "vibraphone", "clarinet"})
_SUNG = frozenset({"soprano", "tenor", "alto", "choir"})
_ANY: frozenset[str] = frozenset()
_BOWED = frozenset({"violin", "viola", "string", "oboe"})
MICROPHONES = frozenset({"rack", "floor", "bottom", "bot", "room"})  # words of a kit whose OH hangs over it

BESIDE: dict[str, tuple[tuple[frozenset[str], str], ...]] = {
    "vl": ((_ORCHESTRA, "violin"),),
    "vcl": ((frozenset({"harsh", "growl", "scream"}), "vocal"), (frozenset({"violin", "viola"}), "cello"), (_ANY, "vocal")),
    "db": ((_ORCHESTRA, "string"), (_KIT | {"piano"}, "double bass")),
    "cb": ((_ORCHESTRA, "string"),),
    "cl": ((_ORCHESTRA, "clarinet"),),
    "gc": ((frozenset({"cc", "caisse", "claire"}), "kick"), (_ORCHESTRA, "timpani")),
    "cc": ((frozenset({"gc", "caisse", "claire"}), "snare"),),
    "bd": ((_ORCHESTRA, "bass drum"),),
    "mar": ((_ORCHESTRA, "marimba"),),
    "cel": ((_ORCHESTRA, "celesta"),),
    "ob": ((_ORCHESTRA, "oboe"),),
    "bn": ((_BOWED, "bassoon"), (frozenset({"saxophone", "flugelhorn"}), "trombone"), (_ORCHESTRA, "bassoon")),
    "tp": ((_ORCHESTRA | _JAZZ, "trumpet"),),
    "klar": ((_ORCHESTRA, "clarinet"),),
    "pos": ((_ORCHESTRA, "trombone"),),
    "tb": ((_BOWED, "trombone"), (frozenset({"trumpet", "trombone", "brass", "horn"}), ""), (_KIT, "talkback")),
    "alt": ((_SUNG, "alto"),),
    "ten": ((_SUNG, "tenor"),),
    "bar": ((frozenset({"tenor", "soprano"}), "baritone"),),
    "oh": (
        (MICROPHONES, "overhead"),  # CH is a chorus there
        (frozenset({"ch", "closed", "zu", "geschlossen", "offbeat"}), "hat"),
        (frozenset({"tom"}), "overhead"),
        (frozenset({"808", "clap", "snap"}), "hat"),
        (frozenset({"guitar", "electric"}), "overhead"),
    ),
    "ch": ((_KIT, "hat"),),
    "ft": ((_KIT, "tom"),),
    "overs": ((_KIT, "overhead"),),
    "sx": ((frozenset({"dx"}), "left"), (_ANY, "saxophone")),
    "t": ((frozenset({"tom", "ft", "overhead", "oh", "ohs"}), "tom"),),
    "cp": ((_KIT, "clap"),),
    "rs": ((_KIT, "rim"),),
    "cr": ((_KIT, "crash"),),
    "ts": ((_JAZZ, "tenor saxophone"),),
    "as": ((_JAZZ, "alto saxophone"),),
    "ss": ((_JAZZ, "soprano saxophone"),),
    "rk": ((_KIT, "tom"),),
    "rt": ((_KIT, "tom"),),
    "kd": ((_KIT | {"bass"}, "kick"),),
    "mc": ((_ANY, "lead vocal"),),
    "ep": ((_KIT, "electric piano"),),
    "grand": ((_ANY, "piano"),),
    "campana": ((frozenset({"conga", "bongo", "timbale", "guira", "guiro"}), "cowbell"),),
    "tm": ((_KIT, "tom"),),
    "ba": ((frozenset({"drum", "kick", "guitar", "vocal"}), "bass"),),
    "sala": ((KIT_OF_ROMANCE, "room"),),
    "huone": ((_KIT, "room"),),
    "segunda": ((frozenset({"vocal", "lead"}), "harmony"),),
    "hpe": ((_ORCHESTRA, "harp"),),
    "charlie": ((frozenset({"rullante", "rull", "cordiera", "cassa", "timpano", "piatti"}), "hat"),),
    "def": ((TURKISH, "frame drum"),),
    "tef": ((TURKISH, "frame drum"),),
    "zil": ((TURKISH, "cymbal"),),
    "ped": ((TURKISH, "pad"),),
    "ritim": ((TURKISH, "percussion"),),
    "kane": ((JAPANESE, "cowbell"),),
    "suzu": ((JAPANESE, "bell"),),
    "se": ((JAPANESE, "effect"),),
    "gita": ((JAPANESE | _KIT, "guitar"),),
    "bo": ((CHINESE, "cymbal"),),
    "gu": ((CHINESE, "drum"),),
    "bala": ((MANDE, "balafon"),),
    "nay": ((ARABIC, "ney"),),
    "glas": ((SOUTH_SLAVIC, "vocal"),),
    "cor": ((WELSH, "choir"),),
    "pres": ((WELSH, "brass"),),
    "cic": ((WELSH, "kick"),),
    "lata": ((BRAZILIAN, "percussion"),),
    "rhythm": ((frozenset({"tabla", "dholak", "dholki"}), "percussion"),),
}

# Read whatever else the name says: those that need no other words, overheads, beside which stand a kit's microphones,
# and the snare of a French kit.
ALWAYS = frozenset(word for word, readings in BESIDE.items() if any(not others for others, _ in readings)) | {"oh", "cc"}

# May be somebody's initials: read only where the name has no other word at all.
INITIALS = frozenset({"kd", "mc", "pd", "ep", "bd"})

# A whole name that says the stem is no part of the song but all of it.
ALONE = {
    "print": "mix", "main": "mix", "everything": "mix", "together": "mix", "full": "mix", "total": "mix", "temp": "mix",
    "grave": "bass", "graves": "bass", "mixdown": "mix", "stereo": "mix",
}  # fmt: skip

# With a number behind it, what a workstation calls any track: "Inst 3".
COUNTED = frozenset({"inst", "instr", "aud", "pista", "cue", "take", "pass"})

# What it calls a track or a file that nobody has named, in a few languages.
UNNAMED = frozenset(
    {
        "audio",
        "track",
        "trk",
        "pista",
        "piste",
        "spur",
        "traccia",
        "faixa",
        "spoor",
        "spår",
        "untitled",
        "unnamed",
        "consolidated",
        "merged",
        "glued",
        "insert",
        "region",
        "clip",
        "rendered",
        "recording",
        "recorded",
        "aufnahme",
        "unbenannt",
        "inst",
        "instr",
        "aud",
        "bip",
        "bounce",
        "bnc",
        "render",
        "channel",
        "canal",
        "kanal",
        "canale",
        "nombre",
        "sin",
        "sans",
        "titre",
        "ohne",
        "namen",
        "senza",
        "nome",
        "sem",
    }
)

# Parts of a song, in which somebody sings.
PLACES = frozenset({"verse", "hook", "chorus", "bridge"})

# Words behind which stands what is not on the stem, and what else is: "mix no vox", "mix w dialog".
WITHOUT = frozenset({"no", "without", "minus", "ohne", "sin", "sans", "senza", "sem", "zonder", "utan", "uden", "bez"})
WITH = frozenset({"with", "w", "mit", "con", "avec", "com", "met", "med", "incl", "including"})

# How an instrument sounds and no sound effect, a tape's unsteadiness, where it came from, word lengths and octaves.
IDLE_PAIRS = frozenset(
    {
        (pedal, effect)
        for pedal in ("chorus", "flanger", "phaser", "pedal", "amp", "wah", "trem", "tremolo")
        for effect in ("fx", "effect", "efx")
    }
) | {
    ("hard", "pan"),
    ("pan", "hard"),
    ("key", "input"),
    ("key", "in"),
    ("16", "bit"),
    ("24", "bit"),
    ("32", "bit"),
    ("8", "va"),
    ("8", "vb"),
    ("tape", "wobble"),
    ("tape", "flutter"),
    ("tape", "sat"),
    ("tape", "saturation"),
    ("tape", "emu"),
    ("low", "pass"),
    ("high", "pass"),
}

# A guitar's or a bass's lowest string: "drop D".
TUNINGS = frozenset({"a", "b", "c", "d", "e", "f", "g", "bb", "ab", "db", "eb", "gb"})

# How many strings one has.
OF_STRINGS = frozenset({"4", "5", "6", "7", "8", "9", "10", "four", "five", "six", "seven", "eight"})
ON_STRINGS = frozenset({"bass", "guitar", "electric", "acoustic", "banjo", "mandolin", "ukulele"})

# How an instrument of an orchestra or a singer of a choir is heard: beside them a short form is still read.
PLAYED = frozenset(
    {
        "pizz",
        "pizzicato",
        "staccato",
        "spiccato",
        "tremolo",
        "legato",
        "solo",
        "soli",
        "ens",
        "ensemble",
        "section",
        "mute",
        "mutes",
        "swell",
        "swells",
        "ostinato",
        "runs",
        "shorts",
        "longs",
        "harm",
        "unison",
        "unis",
        "bowed",
        "plucked",
        "tutti",
        "ish",
        "sord",
        "sordini",
    }
)

# What was done to a drum, and what a drummer played on it: beside them a short form is still read.
STRUCK = frozenset(
    {"hit", "hits", "fill", "fills", "roll", "rolls", "dly", "delay", "verb", "hall", "rev", "fx", "late", "early"}
)

# What a machine's sounds are called after: the OH behind one is an open hat, and that behind an eight is a figure.
MACHINES = frozenset({"606", "707", "808", "909"})
EIGHTS = frozenset({"eight", "8"})
# Letters of horns: read where three of them are names by themselves.
HORNS = {
    "tp": "trumpet", "tb": "trombone", "as": "alto saxophone", "ts": "tenor saxophone", "bs": "bari saxophone", "fh": "horn",
    "flg": "flugelhorn",
}  # fmt: skip

# Two letters mean a drum of a machine in one song and an instrument of the orchestra in the next: the song's others decide.
CODES: dict[str, dict[str, str]] = {
    "drum machine": {
        "k": "kick", "s": "snare", "h": "hat", "c": "clap", "8": "808", "bd": "kick", "sd": "snare", "ch": "hat",
        "ho": "hat", "oh": "hat", "cp": "clap", "rs": "rim", "cb": "cowbell", "lt": "tom", "mt": "tom", "ht": "tom", "ma": "shaker",
        "cy": "cymbal", "cr": "cymbal", "rd": "cymbal", "cl": "clave", "lc": "conga", "mc": "conga", "hc": "conga", "p": "percussion",
    },
    "orchestra": {
        "vln": "violin", "vla": "viola", "vc": "cello", "cb": "string", "db": "string", "fl": "flute", "ob": "oboe",
        "cl": "clarinet", "bsn": "bassoon", "fg": "bassoon", "hn": "horn", "tpt": "trumpet", "tbn": "trombone", "tba": "tuba",
        "timp": "timpani", "hp": "harp", "pno": "piano", "xyl": "xylophone", "picc": "flute", "va": "viola", "ct": "trumpet",
        "vcl": "cello", "vl": "violin", "vn": "violin", "mar": "marimba", "vib": "vibraphone", "cel": "celesta", "gc": "timpani",
        "bcl": "clarinet", "cor": "horn", "eh": "oboe", "ca": "oboe", "tb": "trombone", "tu": "tuba", "fag": "bassoon",
        "kb": "string", "pk": "timpani", "tr": "trumpet", "hpe": "harp", "vle": "viola", "vni": "violin",
        "cym": "cymbal", "perc": "percussion", "hrp": "harp", "glock": "glockenspiel", "tp": "trumpet", "trb": "trombone",
        "br": "brass", "klar": "clarinet", "kl": "clarinet", "bkl": "clarinet", "pos": "trombone", "bn": "bassoon", "hf": "harp",
        "trp": "trumpet", "pkn": "timpani", "kfg": "bassoon",
    },
    "band": {
        "k": "kick", "s": "snare", "h": "hat", "b": "bass", "g": "guitar", "v": "vocal", "d": "drum", "bv": "backing vocal", "t": "tom",
        "oh": "overhead", "ag": "acoustic guitar", "eg": "electric guitar", "lv": "lead vocal", "r": "room",
        "o": "organ", "or": "organ", "rh": "electric piano", "br": "brass", "wd": "woodwind", "dv": "double", "sh": "shaker",
        "ga": "acoustic guitar", "ge": "electric guitar", "sb": "snare", "rm": "room", "rd": "ride",
    },
    "beat": {
        "k": "kick", "s": "snare", "c": "clap", "h": "hat", "o": "open hat", "t": "tom", "rd": "ride", "sh": "shaker",
        "p": "percussion", "b": "bass", "sb": "sub bass", "bx": "bass", "lv": "lead vocal", "lvd": "double", "dv": "double",
        "bv": "backing vocal", "hm": "harmony", "al": "adlib", "ep": "electric piano", "pd": "pad", "pk": "pluck", "ld": "lead",
        "fx": "effect", "sy": "synth",
    },
}  # fmt: skip
