"""Shorthand: short forms of instruments as scores, track sheets and labels of consoles have them.

Conventions
-----------
Lines are as in `stemwright.stems.vocabulary`, which adds them to its own and whose meaning of a word counts first. Which form means
what is common practice, no source.
"""

from __future__ import annotations

SHORTHAND = """
clap: klap klaps klapz klapp
soprano: sopr soprn
trombone: tbone tbones
steel: stl
harmony: harmonised harmonized harmonising
snare: sntop snbot snbtm sntp snbt snup sndn snrtop snrbtm snrbot snrt snrb ccdessus ccdessous
kick: kikin kikout bdin bdout gcin gcout
percussion: schlgz schlzg
harp: hfe hrf
accordion: acdn accrd acord accdn
acoustic: acst acstc acoust
alto flute: aflt afl altofl
alto saxophone: asx asax
ambience: amb ambient ambienza
backing: bgrd bgrnd
backing: bkgrnd bkgrd bkgnd
banjo: bnjo bjn
bari saxophone: bsx bsax
bass clarinet: bcl bscl bclar
bass trombone: btbn bstbn bstb btb
bass: bdi
bassoon: bsn bsns bssn
bell: blls
cajon: cajn
chord: chds chrds chd
clarinet: clt clts clari clrnt
closed hat: clht clhat
contrabassoon: cbsn cbn kfag
darbuka: dbk drbk
downlifter: downl dwnl dnlift dwnlift
english horn: enghn enghorn ehn
floor: flr flor
flugelhorn: flgl flghn flglhn flugh flgh
flugelhorn: flug flugh
glockenspiel: glsp glspl glsk gspl
harmonica: hrmnca hca
harpsichord: hpschd hpsi hpsch hpsd
keys: keybd keybds kybd kybds
kick: bdrum
mandolin: mandln mndln mandl
marimba: mba mrb
melody: mldi
music box: musbox mbox
noise: nz
open hat: opht ophat openht
pad: pd
pedal steel: psg
piccolo trumpet: pictpt
piccolo: pic
ride: rd
rim: rimschuss rimsch
riser: upl upls uplft
shaker: shak shks
soprano saxophone: ssx ssax
splash: spl
synth bass: synbs sybs sbs
tambourine: tamby tambs
tenor saxophone: tsx
timbale: timb timbs
top line: topline
triangle: trgl
triangle: tri trngl
trumpet: trpt trpts tpet
vibraphone: vbs vbp
viola: vle
violin: fidl fddl fdl
whoosh: wsh
bouzouki: bzk bouz bouzo buzuki buzouki
cowbell: cwb cbell cwbell
double bass: dblbs dblbass dbbass dblb cbassi cbasso cbass
euphonium: eufonium eufonio euphon eupho
bari saxophone: barytonsax barytonsaks barisaks
tenor saxophone: tenorsaks
alto saxophone: altsaks altosaks
bagpipe: sackpipa sekkepipe saekkepibe doedelzak dudy gajdy gajde tulum
flute: querfl blockfl
bell: pausengong
violin: vni vno vlno vlni
viola: vlla
celesta: clst
scream: shriek shrieks shrieking
count in: countin countins
reverb: verbtail verbtails
sleigh bell: sleighbell sleighbells
mark tree: mktree marktree
bass: minibass
room: stairwell staircase stairway hallway
verse: vrse vrs vs
"""
