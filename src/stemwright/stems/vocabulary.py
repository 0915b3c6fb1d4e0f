"""Vocabulary: what people write in file names for one thing, so that recipes need only say it once.

Conventions
-----------
A line is one meaning: the word that recipes use, then its spellings: short forms, other languages (Spanish, German, French,
Portuguese, Italian), and mistakes too short to be found by their letters. Which spelling means what is common practice, no
source. Plurals and one-letter mistakes are found by rule (`stemwright.recipes.spelling`), and are not listed.
"""

from __future__ import annotations

_SAME = """
vocal: vox voc vx vo vokal vocls vcls topline vocalist singer singing sung sing gesang stimme voz voce voix voces
lead: ld principal
lead vocal: ldv lvx ldvx ldvox lv leadvox
backing vocal: bgv bv bvx bgvx bvox bgvox coro coros coeurs choeurs cori backings backups bvocs cho chs
backing: bg bk bkg background backup
harmony: harm hrm hmy harms harmz harmonie armonia armonias harmo hmny harmonys
double: dbl dub dubs dt doub doppel dopplung doppler doublage doble dobles dobra doppia
adlib: adl ads adlb adlibz adlips improv libs
choir: chor coral choeur choral sops sopranos altos tenors congregation gospel chr chöre
sample: samp smp smpl sampl sampled campione muestra
chop: chp chopped chopd choppd chps
loop: lp bucle boucle schleife lps
guitar: gtr gtrs gt guit gitarre guitarra guitare chitarra violao eguitar egtr gtar git guitarre gitara eg
acoustic: ac acous acoust acustica acustico akustik akustisch acoustique aco
acoustic guitar: agtr acgtr ag acgt aguitar akustikgitarre violão akustikgit
electric: elec el elektrisch electrica electrique elettrica eléctrica eletrica elektro
piano: pno pn klavier pianoforte flügel fluegel grand pf pianoforte
keys: kys teclado teclados tastiera tastiere keyz keyboard clavier claviers kbd tasten keyb
electric piano: ep epiano epno
organ: orgel organo orgue órgano órgao orgao orgn
synth: syn synthesizer synthesiser sint sintetizador synthi synthé sintetizzatore snth
pad: flaeche fläche padz nappe nappes colchon
string: strs strgs strng str streicher cuerdas cordes archi strg strngs cordas strgz cordas stgs strn
violin: vln vl violine violino violín violon geige vlns fiddle
viola: vla vlas bratsche alto
cello: vcl vc violoncello vlc violonchelo violoncelle
brass: metales cuivres ottoni blech bläser blaeser metais brss brs
trumpet: tpt trp trompeta trompete trompette tromba
trombone: tbn trb posaune trombón trmb
horn: hn hrn corno cor hrns
saxophone: sax saxo sassofono saxofon sx
flute: fl flt flauta flöte floete flauto querflöte
clarinet: clr klarinette clarinete
drum: drm drs schlagzeug bateria batería batterie batteria drumkit perkit kit trommeln tambores drumz drms
kick: kik kck kk bd bombo bumbo grosse grancassa cassa kickdrum bassdrum kckdrm kic kickz grancaisse
snare: snr sn sd caja caixa rullante snrs snre snaredrum trommel
hat: hh hihat hhat chh ohh hht charles charleston hht hhs hihats ohat charley hatz opnhat clsdhat contratempo hts chimbal
hat: hhopen hhclosed charl
clap: clp handclap palmas klatschen palma cl_p clps
snap: fingersnap snp schnipsen chasquido chasquidos
rim: rimshot rmshot sidestick xstick rimclick
cymbal: cym cymb platos becken platillo platillos cymbale cymbales piatti pratos pratos symbol symbols cyms
crash: crsh
overhead: ovh ovhs ohs ovhd ovrhd ohd ohl ohr ohlr overhds
tom: floortom racktom timbalao
percussion: perc prc percusion percusión percussão perkussion percussioni percu prcs percz percus prcss percus
shaker: shkr shk shkrs shakr egg shekere maraca cabasa chocalho rassel sonajero
tambourine: tamb tambo pandereta tamburin tamborine pandeiro tambourin tmb schellenkranz
bass: bs bss bajo basse baixo basso base bassguitar ebass
sub: subs
effect: fx sfx efx effekt effekte efecto efectos effet effets efeitos effetti efct
reverb: verb rvb revb hall
delay: dly
reverse: rev reversed rvs revd
riser: rise uplift uplifter upsweep buildup
downlifter: downlift downsweep
synth lead: monolead
lead synth: sawlead
pluck: plk plck plucked
arp: arpeggio arpeggiator arpegg
harp: arpa harfe harpe
bell: campana campanas glocke glocken cloche campane sinos bel
mallet: mlt mallets
vibraphone: vibes vib vibe vibra vibraphon
marimba:
xylophone: xyl xylo xilofono
glockenspiel: glock
melody: mel melo melodie melodia mldy
take: toma
crowd: audience publikum
one shot: oneshot
tag:
click: clk clic klick metronome metronom
roughmix: rough
mix: mixdown mezcla mx mixed
reference: ref
instrumental: inst instru
acapella: acappella acap acapp accapella aca
tops: toploop
timpani: timp timps pauken
woodwind: ww wws sopros fiati vientos maderas bois holzbläser
winds: wind
triangle: triangel triangulo
whistle: silbido pfeifen sifflet
drum loop: drumloop dloop
scratch: scratches cuts
accordion: akkordeon acordeon acordeón accordéon fisarmonica acc
double bass: kontrabass contrabajo contrebasse contrabbasso contrabaixo
synth bass: sbass synbass
mandolin: mandoline mandolina
banjo: bjo
bongo: bgo bng
conga: cga cng
cowbell: cwbl cencerro
backing vocal: bkv bkvox bkgv bvocal cori hintergrundgesang backgroundchor
lead vocal: leadgesang hauptstimme leadvoc
harmony: zweitstimme
double: doppie dblz dbls
octave: oct okt
snare: tarola redoblante rullo
hat: chimbau contratiempo
cymbal: prato piatto
tom: tms
room: rm
riser: rsr
sweep: swp
whoosh: whsh
vocal: voci
mandolin: mando
banjo: banj
glockenspiel: glk
bell: bls
chime: chm
clarinet: clar
percussion: perx
nylon: nyl
rhythm: rhy rhyt rthm
texture: txtr
atmosphere: atmos atmo
ambience: amb ambient
impact: imp impct
transition: trans trns
"""

# Says how, where, when or which one, never what: "Kick room take 2 print" is a kick.
_MODIFIERS = """
a an the of on in at for with and to by my our from mit de la el du le il con w
print printed bounce bounced bnc freeze frozen final finale fin new old alt take tk v ver version rev rmx mstr
dry wet clean dirty dist distorted sat crunch crunchy comp compd edit edited tuned tune processed proc raw di amp mic mics
mono stereo st l r lr left right li re m s mid side wide narrow center centre izq der
high low hi lo top bottom bot upper lower up down front back close far room big small little fat thin soft hard
main verse vs hook chorus bridge intro outro pre prechorus drop build breakdown part section sec half full
layer lyr stack group grp bus buss stem stems track trk audio file export master extra aux
first second third 1st 2nd 3rd 4th 5th one two three four bpm min maj minor major short long slow fast warm dark bright flac wav
"""
MODIFIERS = frozenset(_MODIFIERS.split())

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
    },
}  # fmt: skip


def _spellings() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for line in _SAME.strip().splitlines():
        meaning, _, spellings = line.partition(":")
        for spelling in spellings.split():
            found.setdefault(spelling, tuple(meaning.split()))
    return found


SPELLINGS = _spellings()
