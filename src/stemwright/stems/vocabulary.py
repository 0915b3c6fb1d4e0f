"""Vocabulary: what people write in file names for one thing, so that recipes need only say it once.

Conventions
-----------
A line is one meaning: the word that recipes use, then its spellings: short forms, other languages (Spanish, German, French,
Portuguese, Italian, Dutch, Russian, Korean, Japanese), and mistakes too short to be found by their letters. Which spelling
means what is common practice, no source. Plurals, dropped vowels and one-letter mistakes are found by rule
(`stemwright.recipes.spelling`), and are not listed.
"""

from __future__ import annotations

from stemwright.stems.abroad import ABROAD, MODIFIERS_ABROAD, STRANGERS
from stemwright.stems.shorthand import SHORTHAND

_SAME = """
vocal: vz
overhead: aereos aéreos
conga: konga kongas
bell: klocka klockor
snare: virvel virveltrumma trampet snear snair
drum: trummor
brass: cimbasso blås blåsare
synth: synf sequenz
effect: geraeusche geraeusch
kick: grandcasse grossetrommel
backing vocal: coretti coretto
sub bass: tiefbass
acoustic guitar: klampfe
guitar: gratte grattes
string: qtet
hat: tss tsss tsts
808: 8oh8 8o8
adlib: libz
shaker: shakaz
rim: rimmy rimmi
pluck: pluk pluks
hat: hhc hho
ride: ryd
shaker: schüttel
harmony: tierce tierces harmonise
saxophone: tsax asax
808: ottootto
marimba: mrmba
effect: rauschen
adlib: adz
harmony: hamo armonizzazioni armonizzazione
string: geigen geige kamanja kamancha
snap: schiocchi schiocco
clap: klatsch klatsche
vocal: vocle vocles vox voc vx vo vokal vocls vcls vocalist singer singing sung sing gesang stimme voz voce voix voces voci voxx
vocal: vokals canto cantante cantor cantora cantores chanteur chanteuse sänger saenger sängerin zang vocali voice vocl vok вокал
vocal: голос 보컬 노래 목소리 ボーカル ヴォーカル 歌 uta bokaru bokal 人声 vokalen sang stemme vokál wokal
lead: ld principal leed leadd leads leid
lead vocal: ldv lvx ldvx ldvox lv leadvox leadgesang hauptstimme leadvoc leadv ldvoc ldvcl vocallead mainvox mainvocal vozlead
lead vocal: leadvocals vozprincipal 메인보컬 리드보컬 メインボーカル 主唱 лид
backing vocal: bgv bv bvx bgvx bvox bgvox coro coros coeurs choeurs cori backings backups bvocs cho chs bkv bkvox bkgv bvocal
backing vocal: hintergrundgesang backgroundchor bks bkups bkup bkgs bkgd bkgvox bckvox bgs bgvoc bvoc bvoz bcking choirbgv
backing vocal: 코러스 코러스보컬 コーラス korasu koorasu koreoseu 伴唱 бэк бэки бэквокал achtergrond koorzang körning chorvocals
backing vocal: segundas praiseteam
backing: bg bk bkg background
harmony: harm hrm hmy harms harmz harmonie armonia armonias harmo hmny harmonys zweitstimme harmonia harmonies armonie hamori
harmony: ハモリ ハモ 화음 和声 terza terzas tercera terceras sexta 2da 3ra zweite terceira hmnz hmz
double: dbl dub dubs dt doub doppel dopplung doppler doublage doble dobles dobra doppia doppie dblz dbls doubler doublings
double: daburu doubling doppelung doblaje dobladas dobladito doblado doppio doppi 더블 ダブル dblr
adlib: skrrt skrt brrt brr adl ads adlb adlibz adlips improv libs addlib addlibs ablibs adlip gritos grito jaleo 애드립 アドリブ
adlib: ablib ablibs
choir: singers chanteurs chanteuses cantanti chor coral choeur choral congregation gospel
choir: munkkör barnkör manskör damkör kyrkokör herrekor pikekor
choir: chr chöre koor kör 합창 合唱 kinderchor kinderkoor massed satb chœur
soprano: sop sops sopranos sopran
alto: altos
tenor: tenors tenore
high: hi
low: lo
sample: samp smp smpl sampl sampled campione muestra sampel smplr 샘플 サンプル muestras
chop: chp chopped chopd choppd chps chopz chpd
loop: lp bucle boucle schleife lps looped 루프 ループ lus loopje
guitar: gtr gtrs gt guit gitarre guitarra guitare chitarra eguitar egtr gtar git guitarre gitara eg guitarr geetar gitaar
guitar: gitar gitarr kitara 기타 ギター гитара 吉他 gita gtrr guitares guitarras chitarre gitarren
acoustic: ac acous acoust acustica acustico akustik akustisch acoustique aco acou acu akust akoestisch acústica acústico
acoustic: acustiche acstc
acoustic guitar: agtr acgtr ag acg acgt aguitar akustikgitarre akustikgit agt acgit gitacu violao violão guitarraacustica 통기타
acoustic guitar: 어쿠스틱 어쿠스틱기타 アコギ akogi konzertgitarre gitakus acoustica westerngitarre
electric: elec el elektrisch electrica electrique elettrica eléctrica eletrica elektro elc eltrc eléctrico elektrische elettrico
piano: pno pn klavier pianoforte flügel fluegel grand pf piyano pianer pna pian pianna 피아노 ピアノ пианино рояль фортепиано
piano: 钢琴 pianino vleugel
keys: kys teclado teclados tastiera tastiere keyz keyboard clavier claviers kbd kbds tasten keyb keyss keyboards teclas tecla toetsen
keys: klaver 건반 키보드 鍵盤 キーボード kenban клавиши
electric piano: tine tines ep epiano epno elpno elpiano epianos
organ: orgel organo orgue órgano órgao orgao orgn orglel tonewheel drawbar drawbars orgels orgl orghi orglo 오르간 オルガン
organ: орган 风琴
synth: syn synthesizer synthesiser sint sintetizador synthi synthé sintetizzatore snth synt synthie synths 신스 신디 シンセ
synth: shinse синт 合成器 analogsynth polysynth sinte sintes snyth
pad: flächen flaechen flaeche fläche padz nappe nappes colchon pds tappeto tappeti teppich teppiche klangteppich
pad: 패드 パッド пэд bedding
string: strs strgs strng str streicher cuerdas cordes archi strg strngs cordas strgz stgs strn celli violini violins strijkers
string: strykers 스트링 스트링스 ストリングス струнные 弦乐 cuerda corde streich stråkar smyčce violinen violinos violons
violin: skrzypce skrzypka housle keman vln violine violino violín violon geige vlns fiddle 바이올린 バイオリン скрипка viool violí
viola: vla vlas bratsche bratschen altviolen
cello: vcl vc violoncello vlc violonchelo violoncelle 첼로 チェロ виолончель celo cellos violoncelli
brass: metales cuivres ottoni blech bläser blaeser metais brss brs 브라스 ブラス духовые ottone bläsersatz kopers blazers
brass: hornsec hornz
tuba: tba sousa susafon sousafon soubassophone basstuba
trumpet: tpt trp trompeta trompete trompette tromba trompet trompetas trompeten trombe tpts truba 트럼펫 トランペット
trombone: bone bones tbn trb posaune trombón trmb trombones posaunen tromboni tbns
horn: hn hrn corno cor hrns hörner corni cornos cors waldhorn waldhörner hns hornsection
saxophone: sax saxo sassofono saxofon saxes saxy saxx 색소폰 サックス саксофон altosax tenorsax barisax sopranosax bari
flute: flut fl flt flauta flöte floete flauto querflöte flauti traverso fluit 플루트 フルート флейта flts
clarinet: clr klarinette clarinete clar clarinetto clarinetes klarinetten clars bassclarinet
drum: batt drm drs schlagzeug bateria batería batterie batteria drumkit perkit kit trommeln tambores drumz drms drummer drummie
drum: tamburi perkusja drumms druns drumstem beatstem trommer trommen slagwerk tambours bubny bataria
drum: 드럼 드럼셋 ドラム doramu барабаны 鼓
kick: kik kck kk bd bombo bumbo grosse grancassa cassa kickdrum bassdrum kckdrm kic kickz grancaisse kickk kicc kickin kickout
kick: kckk bombos 킥 キック бочка 底鼓 subkick kickdrums cassaingrande pedaal
snare: snar snr sn sd caja caixa rullante snrs snre snaredrum trommel tarola redoblante rullo sner snair snarez redoblantes rullanti
snare: 스네어 スネア малый 军鼓 snarre kleinetrommel esnare
hat: hh hihat hhat chh ohh hht charles charleston hhs hihats ohat charley hatz opnhat clsdhat contratempo hts chimbal hhopen
hat: hhclosed charl chimbau contratiempo hihatt hihattz highhat heihat hithat 하이햇 ハイハット хэт 踩镲 hatts openhh
hat: closedhh clhh ophh pedalhat pedalhh tizz
clap: clp handclap palmas klatschen palma clps clapping claping palmada palmadas händeklatschen klapjes battimani 클랩
clap: クラップ хлопок handclaps
snap: fingersnap snp schnipsen chasquido chasquidos snapping fingersnapping schnipser chasq vingerknip
rim: rimshot rmshot sidestick xstick rimclick rims rimm stix sidestk xstk sdstk rimclk crossstick
cymbal: cym cymb platos becken platillo platillos cymbale cymbales piatti pratos symbol symbols cyms prato piatto cymbols cymbl
cymbal: cimbal cimbalo crashcym 심벌 シンバル тарелки bekkens chinas splashes
crash: crsh crashcymbal krash
overhead: oheads ovh ovhs ohs ovhd ovrhd ohd ohl ohr ohlr overhds overh ohds ovrhds ovrheads 오버헤드 deckenmikros
tom: floortom racktom timbalao tms toms tomz tomtom tomtoms tommen hitom lowtom midtom hängetom standtom goliat 탐 タム томы
percussion: perc prc percusion percusión percussão perkussion percussioni percu prcs percz percus prcss perx percs prcssn
percussion: percussie slagverk 퍼커션 パーカッション перкуссия percusiones prk percp bongos congas tumbadora güiro
percussion: guacharaca maracon ghungroo manjira kanjira mridangam batá bata tamborim caxambu alfaia davul riq bendir woodblk
percussion: wdblk tumbao khol
shaker: shkr shk shkrs shakr egg shekere maraca cabasa chocalho rassel sonajero shakerz shaker maracas sonagli
shaker: rasseln chacoalho 쉐이커 シェイカー шейкер shkrz
tambourine: tamb tambo pandereta tamburin tamborine tambourin tmb schellenkranz tambourines tmbrn tambos tambu
frame drum: tamburello tamburelli
tambourine: tambourins schellen 탬버린 タンバリン
bass: bas bazz bs bss bajo basse baixo basso base bassguitar ebass basss bassgtr bassdi bassamp basgitaar basgitarr 베이스
bass: bgtr bgit ベース beesu бас 贝斯 basslijn bajos bajoelectrico besu midbass midbas reeseb
sub: minisub lowsub deepsub subsine subs subb subby subz subbie subbas subbass subbasse subgrave subgraves 서브 サブ
effect: fx sfx efx effekt effekte efecto efectos effet effets efeitos effetti efct sfxs fxs fxx bruitage bruitages ruidos ruido
effect: rumori geräusche geräusch geluiden zaps bubbles efek 효과음 이펙트 効果音 эффекты 音效 efectitos soundfx quack quacks
reverb: verb rvb revb hall
delay: dly
reverse: rev reversed rvs revd
riser: rise uplift uplifter upsweep buildup rsr risers upfilter subida subidas aufstieg risey montée
downlifter: downlift downsweep downlifters caída
synth lead: monolead
lead synth: sawlead
pluck: zupf gezupft zupfer plk plck plucked plucky plucks plukk plinky plonk plinkyplonk plnk pluckz punteado pizzicati
arp: arpeggio arpeggiator arpegg arps arpz arpy arpegios arpège arpeggios arpeg
harp: arpa harfe harpe hrp harfen
bell: campana campanas glocke glocken cloche campane sinos bel bls bellz campanelli campanelle campanitas campanella
bell: glöckchen klok klokken 벨 ベル колокол
mallet: mlt mallets marimbas malletz
vibraphone: vibes vib vibe vibra vibraphon vibrafon vibrafono vibráfono vibraphones
marimba: mrmb marim
xylophone: xyl xylo xilofono
glockenspiel: glock glk glockspiel glocks
melody: mel melo melodie melodia mldy melodies melodik melodía mélodie melodye 멜로디 メロディ
take: toma
crowd: aud audience publikum
one shot: oneshot
click: clk clic klick metronome metronom clicktrack metronoom metrónomo métronome metrónome 클릭 クリック tempotrack claquette
click: klik
roughmix: rough ruff roughmix ruffmix roughs monitormix boardmix
mix: mixdown mezcla mx mixed miks mixage 믹스 ミックス mixes
reference: ref referenz referencia référence témoin temoin maquette maqueta claqueta guia guía guida leittrack guidetrack 가이드
reference: ガイド referentie
instrumental: inst instru mr 엠알 strumentale instrumentaal karaoke 반주 カラオケ オケ playbacks
acapella: acappella acap acapp accapella aca
top loop: toploop toploops topsloop topps
timpani: timp timps pauken
woodwind: ww wws sopros fiati vientos maderas bois holzbläser
winds: wind
triangle: triangel triangulo
whistle: whistling whistles silbido pfeifen sifflet
drum loop: drumloop dloop drumlp dlp beatloop dembowloop dembow drmlp
scratch: scratches cuts
accordion: akkordeon acordeon acordeón accordéon fisarmonica squeezebox squeezbox akkordeons akordeon accordeon trekzak
accordion: concertina
double bass: kontrabass contrabajo contrebasse contrabbasso contrabaixo
synth bass: sbass synbass
mandolin: mandoline mandolina mando bandolim mandoliny
banjo: bjo banj banjolele
bongo: bgo bng
conga: cga cng
cowbell: cwbl cencerro
octave: oct okt
room: rm raum rummet rummets
sweep: swp swept sweeps swoop swoops whitenz wnoise nzsweep
whoosh: whsh
chime: chm
nylon: nyl
rhythm: rhy rhyt rthm
texture: txtr
atmosphere: atmos atmo
impact: imp impct impacts boomhit impacto impactos golpe golpes
transition: trans trns
electric guitar: egt egit elgit elgtr elecgtr 일렉 일렉기타 エレキ エレキギター ereki ltgtr rgtr lgtr rtgtr
siren: sirena sirene sirènes sirens
glitch: glitchez glitched gltch
rap: raps 랩 ラップ rapt rapped rapping рэп
hook: estribillo refrain refrão ritornello
harmonica: mouthorgan armonica armónica mundharmonika
ukulele: ukelele ukulélé
break: brk brks breaks breakz
oboe: oboes hautbois oboi
bassoon: fagott fagotto fagot basson
dulcimer: santoor santur cimbalom
erhu: sarangi
soloist: solista soliste solist
stack: stax stacks
talking: talkin talkn
whisper: whispering whispered wisper susurro sussurro susurrado
whisper: chuchotement chuchotements chuchote flüstern geflüster sussurri bisbiglio
scream: schrei schreie urlo urla hurlement hurlements screamo
"""  # noqa: RUF001 (Cyrillic on purpose)

# Says how, where, when or which one, never what: "Kick room take 2 print" is a kick.
_MODIFIERS = """
trig trigger triggered tight loose punchy snappy crisp grit gritty smashed squashed crushed blend blended
out btm btt bott rbn ribb cndsr dynam ctr cntr ctrl
a an n the of on in at for with and to by my our from mit de la el du le il con w print printed bounce bounced bnc freeze
frozen final finale fin new old alt take tk v ver version rev rmx mstr dry wet clean dirty dist distorted sat crunch crunchy
comp compd edit edited tuned tune processed proc raw di amp mic mics mono stereo st l r lr left right li re m s mid side wide
narrow center centre izq der high low hi lo top bottom bot upper lower up down front back close far room big small little fat
thin soft hard main verse vs hook chorus bridge intro outro pre prechorus drop build breakdown part section sec half full
arco legato leg sustain sus sustained spicc stacc marcato marc tremolo trem con sordino sord vibrato divisi div staccatissimo
tutti harmonics flautando layer lyr stack group grp bus buss stem stems track trk audio file export master extra aux first
second third 1st 2nd 3rd 4th 5th one two three four bpm min maj minor major short long slow fast warm dark bright flac wav
muted spot ab xy ms ortf ribbon cond dyn condenser dynamic bip cmp comped tuned untuned glide portamento mellow distant
filtered filt ghost lofi clipped loud quiet huge tiny nice cool sick dope real live idea phone radio tape bb eb please this
good best better maybe ok bassy clappy choppy crashy shaky shakey perky weird pretty funky groovy rechts links gauche droite dx dn
plyr player orig original unknown
lft rgt rght cln clng chrs vrs vers brdg prech offbeat downbeat backbeat upbeat cpo capo
"""
MODIFIERS = frozenset(_MODIFIERS.split()) | frozenset(MODIFIERS_ABROAD.split())

# Short forms of two letters that people write as one word with a longer one: "ldvox", "drumoh", "kickin".
JOINED = frozenset(["mx", "oh", "hh", "bg", "bv", "ld", "lv", "vx", "ac", "el", "in", "no", "di", "fx", "hi", "lo"])

# Words that end no other word, so that letters before one are somebody's mark: "mpkick".
MARKED = frozenset(
    {
        "kick",
        "snare",
        "clap",
        "hihat",
        "vocal",
        "vocals",
        "vox",
        "guitar",
        "guitars",
        "gtr",
        "gtrs",
        "piano",
        "drum",
        "drums",
        "synth",
    }
)


def _spellings() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for line in (*_SAME.strip().splitlines(), *filter(None, f"{SHORTHAND}{ABROAD}".splitlines())):
        meaning, _, spellings = line.partition(":")
        for spelling in spellings.split():
            found.setdefault(spelling, tuple(meaning.split()))
    return found


SPELLINGS = _spellings()
SHORTEST_STRANGER = 8
EXACT = frozenset(
    word for line in STRANGERS.splitlines() for word in line.partition(":")[2].split() if len(word) < SHORTEST_STRANGER
)
