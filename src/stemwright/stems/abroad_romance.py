"""What French, Spanish, Portuguese and Italian call the things that stems are named after; as in `stemwright.stems.abroad`."""

from __future__ import annotations

FRENCH = """
cut: coupe coupee coupees decoupee decoupees decoupe hachee hachees
overhead: aerien aeriens
snare: ccl
kick: grossecaisse
snare: caisseclaire
hat: charlet charleys charlets charlestons
cymbal: cymbales
clap: claquement claquements
shaker: oeuf œuf oeufs œufs
sleigh bell: grelot grelots
castanet: castagnette castagnettes
bell: clochette clochettes
tambourine: tambourins
percussion: percussions percus
double bass: contrebasses contrebassiste
guitar: guitares guitariste
acoustic guitar: folkguitare
piano: pianos
synth: synthes synthetiseur synthetiseurs
pad: nappage
string: cordes
violin: violoniste
cello: violoncelles violoncelliste
brass: cuivres
trumpet: trompettes
flute: flutes traversiere
oboe: hautboiste
clarinet: clarinettes
bassoon: bassons
vocal: chante voix
backing vocal: choriste choristes
double: doublages doubles
whisper: chuchoter chuchotis
crackle: craquement craquements crepitement
noise: souffle
riser: montees
reference: maquettes
mix: mixages premixage
click: clics
"""

SPANISH = """
snare: tarolas
hat: contratiempos
clap: palmadas
snap: chasquidos chasqueo
shaker: sonajas huevito
cowbell: cencerros
triangle: triangulo triangulos
percussion: percusiones tumbadoras timbal timbales tambora pailas paila
bass: bajista
double bass: contrabajos
guitar: guitarrista rasgueo rasgueos rasgueado rasgueada punteo punteos
acoustic guitar: criolla criollas
keys: tecladista
synth: sintetizadores sintes
pad: colchones
arp: arpegiado
string: cuerdas violines violas chelos
cello: violonchelos
brass: vientosmetal
trumpet: trompetista
trombone: trombon trombones
horn: cornos
saxophone: saxos saxofones
flute: flautas
clarinet: clarinetes
bassoon: fagotes
vocal: cantos vocalista cantado
lead vocal: vozlider
lead: lider
backing vocal: coristas coritos
double: doblajes duplicada duplicado
adlib: adlibes
whisper: susurros susurrada
impact: golpes
reference: referencias maquetas
mix: mezclas
click: clics metronomo
"""

PORTUGUESE = """
kick: bumbos
snare: caixas
hat: chimbais contratempos
snap: estalos
shaker: ganza chocalhos
cowbell: cencerro
triangle: triangulo
percussion: pandeiros repique repiques tamborins agogos zabumba
bass: baixos baixista baixolao
double bass: contrabaixos
acoustic guitar: violoes violonista
accordion: acordeao sanfona sanfonas
organ: orgaos
synth: sintetizadores
string: cordas violinos violoncelos
cello: violoncelo
brass: metais
trumpet: trompetes
horn: trompa trompas
flute: flautas
clarinet: clarineta clarinetas
melodica: escaleta
vocal: vozes vocais
double: dobras dobrada dobrado
whisper: sussurros
noise: ruidos
reference: maquete guias
mix: mixagem mixagens
click: cliques
"""

ITALIAN = """
overhead: panoramico panoramici
riser: salita salite
downlifter: discesa
kick: grancasse
snare: rullantino
tom: timpano
shaker: ovetto ovetti
cowbell: campanaccio
triangle: triangolo triangoli
clave: legnetti
percussion: percussione percussionista
bass: bassista
double bass: contrabbassi
guitar: chitarrista arpeggiata
keys: tastierista
accordion: fisarmoniche fisa
synth: sintetizzatori
violin: violinista
cello: violoncelli
trumpet: trombe
horn: cornetti
oboe: oboista
clarinet: clarinetti
bassoon: fagotti
flute: flauti
vocal: vocali cantato
backing vocal: corista coristi
double: raddoppi
whisper: sussurrata
reference: provini
mix: missaggio mixaggio premissaggio
"""
