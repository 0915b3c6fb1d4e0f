"""More of what German, Dutch, the Nordic languages, Finnish, Hungarian and Romanian call things; as in `stemwright.stems.abroad`."""

from __future__ import annotations

MORE_GERMAN = """
acoustic guitar: westerngitarre westerngitarren westerngit westernklampfe konzertgitarre konzertgit wandergitarre nylongitarre
acoustic guitar: akustikgit lagerfeuergitarre
808: achtnullacht achthundertacht
shaker: schuttelzeug schuttelding schuttelkram
percussion: blechdose blechdosen topfdeckel klangstabe maultrommel schlitztrommel waschbrett
sleigh bell: schellenband schlittenglocken schlittenglockchen
organ: drehorgel leierkasten
string: drehleier
bell: glockenturm
toy piano: spielzeugklavier
stab: akkordstich akkordstiche
bleep: piepser piepsen gepiepse piepston
reverse cymbal: ruckwartsbecken
pad: flachensound flachensounds
pluck: zupfding zupfsound zupfsynth
sub: subpuls
talking: spricht redet erzahlt gerede
shout: rufe zurufe gegrole
choir: kinderchor frauenchor mannerchor schulchor kirchenchor gospelchor damenchor
double: doppler
effect: vogelgesang walgesang windmaschine
thunder: donnergrollen
rain: regentropfen
wave: wellenrauschen
dog: hundegebell
"""

MORE_DUTCH = """
bell: klokje klokjes klokkenspel belletje belletjes
brass: koperen koperblazers koperblazer
woodwind: houtblazers
pad: tapijt
double: verdubbeld verdubbeling verdubbelingen
adlib: kreten kreet
shout: geschreeuw
hook: refrein
talking: praat gepraat
choir: kinderkoor mannenkoor vrouwenkoor samenzang
snare: roffel
shaker: schudbus
whisper: fluister
harmony: tweedestem
"""

MORE_NORDIC = """
drum loop: trumloop trumloopen trummeloop
adlib: adlibbar
chop: hackad hackat hakket
overhead: overhang
guitar: gura guran guror elgura elguran kompgura leadgura rytmegitar guitarer
lead guitar: sologura
acoustic guitar: stalstrangad stalstrangat nylonstrangad nylonstrangat
organ: harmonium
accordion: durspel torader
bell: klockspel klockspelet klokkespill klokkespil bjallra
sleigh bell: bjallror dombjallra bjeller
flute: spilapipa seljefloyte
violin: hardingfele hardingfela hardangerfele
nyckelharpa: nyckel
zither: langeleik
brass: bukkehorn bockhorn naverlur neverlur blaesere
cymbal: baekkener
lead vocal: rensang joik jojk
adlib: kulning kulokk
backing vocal: korsangare
choir: damkor manskor barnkor skolkor kyrkokor kammarkor mannskor barnekor
talking: pratar prat
double: dubb dobling doblinger
harmony: understamma overstamma
room: rumsmick rumsmickar rumsmik romsmikk
melody: slinga slingor
sweep: svep
mix: ramix raamiks
guide: stodspar stodsang
bass: basen bassen
rain: regnet
jaw harp: mungiga munnharpe
"""

FINNISH = """
kick: bassorumpu bassari basarit bassorummun
snare: virvelirumpu virvelit
brush: vispila vispilat sutit
hat: haitsu haitsut hihatti
cymbal: pelti pellit symbaali
ride: komppipelti
tom: tomit lattiatomi
drum: rumpu rumpusetti rumpali
drum loop: rumpuluuppi
loop: luuppi luupit
clap: taputus taputukset kasitaputus
snap: napsutus napsautus
shaker: marakassit
tambourine: tamburiini
bell: kellot kellopeli tiuku
sleigh bell: kulkuset kulkunen aisakello
tubular bell: putkikellot
double bass: pystybasso pystybasari kontrabasso
guitar: kitara skitta sahkokitara komppikitara soolokitara
acoustic guitar: akkari nailonkitara
piano: flyygeli
organ: urut harmooni kirkkourut urkuharmooni
accordion: haitari hanuri harmonikka
synth: syntikka syntikat syntetisaattori
string: jouset jousisto
violin: viulut
viola: alttoviulu
flute: huilu huilut nokkahuilu poikkihuilu
clarinet: klarinetti
saxophone: saksofoni
trumpet: trumpetti trumpetit
trombone: pasuuna pasuunat vetopasuuna
horn: kayratorvi
brass: vasket torvet
woodwind: puhaltimet puupuhaltimet
choir: lapsikuoro mieskuoro naiskuoro sekakuoro kuorot
vocal: laulaja laulut
lead vocal: paalaulu
backing vocal: taustalaulu taustalaulut taustat
harmony: stemma stemmat
double: tuplat tuplaus tuplaukset
whisper: kuiskaus kuiskaukset
shout: huudot
verse: sakeisto
hook: kertosae kertsi
effect: efektit tehosteet tehoste
fire: nuotio
thunder: ukkonen
wave: aallot
click: klikki metronomi
mix: miksaus raakamiksi
"""

HUNGARIAN = """
kick: labdob nagydob
snare: pergo pergodob
hat: labcin
cymbal: cintanyer cintanyerok
tom: alltam
clap: tapsolas
snap: csettintes
shaker: rumbatok csorgo
bass: basszusgitar
double bass: nagybogo
guitar: gitar ritmusgitar szologitar
acoustic guitar: akusztikus
organ: orgona
accordion: tangoharmonika
synth: szinti szintik szintetizator
keys: billentyu billentyuk
string: vonosok
viola: bracsa
cello: csello gordonka
flute: fuvola
recorder flute: furulya
trumpet: trombita
trombone: harsona
brass: rezfuvosok
woodwind: fafuvosok
vocal: enekes enekesno
lead vocal: szoloenek
bell: harang harangok harangjatek
double: duplazas
whisper: suttogas
jaw harp: doromb
"""

ROMANIAN = """
drum: tobe
hat: fuscinel
guitar: chitare
keys: clape
violin: viori
dulcimer: tambal
pan flute: naiul
"""
