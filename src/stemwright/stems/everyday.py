"""Everyday: words of file names that often mean something else than an instrument, and how much each says.

Conventions
-----------
Words are as `stemwright.stems.vocabulary` has them, as written or as what they stand for. Which word is whose is common practice,
no source.
"""

from __future__ import annotations

# Everyday words, genres and words of the studio that are also a stem's name: "Chant", "Gospel", "Rough". They say what only where no
# other word of the name does, nor a folder of another family: a gospel piano is a piano, and "Drums/Tag" are drums.
_EVERYDAY = """
dub dubs double doubles dbl dbls dt hall gospel rough roughs ruff mr pilot cuts ref click clk klik klick rap raps chant scream
yeah whoop yell hype response runs exclamation hollers squall ads libs improv jaleo grito background backup backing gang hum
everyone everybody shout golpe base charles finger finger snap brush kit bowl monk congregation massed coral chr splash sizzle china
belle dembow again texture txtr ambient ambience amb atmosphere atmos noise glitch glitched crowd feedback hiss tag rise riser
trans transition scratch return siren gun laser thunder alarm bark wolf meow cricket downer lifter throw cheers
buildup reverse rev revd rvs reversed reverb delay verb slide skank twang twangy chugs lullaby toast host aria poem sermon
preacher vibe music chop drone wash cloud evolving soundscape bedding anvil bottle cans kitchen knock pans pots spoon stomp whip tapping
triangle egg felt mix mixed mixes mx miks mixage inst instru instrumental playback cues slate 2 track tick oh rattle
tremolo legato staccato spiccato quartet orchestral sub subs square chiptune bit 8 bleep blip portamento recorder
coro cho chs refrain estribillo hook vocoder imp impact impacts fall aud audience flamenco strumming
campfire impro choral unison
accents accordi accords acid acordes acqua agua aja akkorde ambiente ambienti arcade arco aro aye bah bajada barrido bars
beat beater beats belt bong bruit bruits bucket build burst buzz buzzing cafe cama cascara cassette cast cercle charanga
chip chuva clique clock col company computer conta conteo coperta count counter countermelody counts creature cris crunch
cry cuenta data demo demos descente descida ding dings discesa disparo diva djent dm drag drink drop drops dust echantillon
echo echoes emph emphasis ends engine ey fall falls falsetto feat featuring feu film flow fm fole folla foule frog frogs
fuego gender glass glasses glyn go granular gregorian growls grunt grunts halo hey huh ice improvisation improvisations
infra interview jet jingle jingles kiss kisses klange klatscher legni legno leitmotif lets licks lluvia log madrigal magic
mar mastered melody memo menge mer mezzo mob monster montuno motif motor movie multitud mumble nashville needle oi olas ole
ondas onde orage ostinato output overdub overdubs padding paper party ping pings pioggia pipes pista piston plane plate
pluie plunger pont portative pour pouring praise prayer prima pubblico publico pull punches quinto rave redoble reed reeds
regal regen restaurant dread rire rires risa risada risadas risas risate saludo saludos sampleo sanctuary screech serpent shake
shine shred sigh sighs singers skit slapback smoke soda sonido sonidos sons speech spicc stacc stadium steel steps sticks
sting stings sul sum suoni symphonic symphony sync tabernacle tagged tape tar tasto tempete tempo temporale terz ticking
tierce tiro tiros tone tormenta triad triple tripled triples trips trpl trueno tuned ud uh uhs ui unison untagged up va vent
vento vhs viento vn wides woo woos yodel zink zoom
alaap alap aalap preach preaching answers answer opa opaa oppa epa rhymes safety orginal counting sleigh sleighs stompbox moan
moans moaning campfire wings cutlery dishes
croon crooning vocalise vocalize melisma melismas trebles villagers peasants jazzbox
mani ambiance ambiances tamburello bois blech maderas madera holz cue scratch brushes gesamt komplett todo tutto tout
"""
EVERYDAY = frozenset(_EVERYDAY.split())

# Never what by themselves, but a part played: they say what only where nothing else in the name or its folder does, as drums may play a
# solo, and keys a melody.
_VAGUE = """
overdub overdubs
stack soloist theme solo riff lick hit hits zap zaps sequencer wavetable verse hook chorus guest duet jingle whisper runs girls
boys ladies women men friends cousins kid kids children growl rumble sine pop pops toy toys swell bed shimmer atmo left right
hand rotary rotor electric strum strums strumming quad square pulse gated saw poly seq sequence stab chord melody counter
table desk foot feet floor rack dusty flip music instruments thirds fifths descant tv candy misc amb groove fill break
room rooms car traffic street city ocean waves sea water river fire bird birds nature forest telephone camera coin coins
lighter breath breaths cough duck cat animals train station static spark sparkle sparkles storm tension interference beep
beeps dog door laugh rain quack bubble bubbles heartbeat boom slam send wind zip atmospherics ens acoustic nylon low end wah
trance gate modular top line
talking talks speaking speaks says saying swearing rant ranting mumbling bowed capo squelch squelchy thump thumps thud thuds clank clang
clatter tin lid pot whirr whir creak creaks creaky squeak squeaks rustle rustling crows ravens owl owls cicada cicadas seagull
seagulls gulls bees kettle footsteps splashing dripping drips faucet toilet elevator tram bus subway sizzling boiling chain chains
hammering sawing drilling doorbells clinking clink shatter smash rooster sheep goats horses hooves mosquito mosquitos mosquitoes
crickets snowstorm blizzard wildlife motorbike motorcycle tractor chainsaw sprinkler lawnmower printer vacuum fridge
crunching gravel sirens
crackling swords applauding wing
"""
VAGUE = frozenset(_VAGUE.split())

# What was done to a source, and a part that any may play: of words that say equally little they say what only where no other does,
# so that a diva reversed is a diva, and nylon fills are played on nylon.
_DONE_TO_IT = """
rev reverse reversed reverb verb delay echo bed fill fills hit hits loop sample riff riffs lick licks melody swell swells
"""
DONE_TO_IT = frozenset(_DONE_TO_IT.split())

# Words of everyday language, in several, that are near one of the recipes' words and mean nothing of the kind.
_OTHER_WORDS = """
accanto accompany accorde accordee account acoes acorde acordos actief actress acts acudir alot altas altes altsa amata
ambientais amne andata animal annoncer announce ansag antar armenia atom baas babble backbone backen bacteria baisse baixas
bajas baking bakken balas balls bamboo bandera barrel barrio bash basin bassin battere battle battuto beads beast bedroom
bekeken belegt belfast bellas bellow belly berater besten beter bidding bimbo bingo blacks bleach boats boeing bombes bombs
bonnes bonus bonuses booking bords bornes borst bosen bosse bottes boule breakfast breit brits bruch brust bubbly buckle bucks
bulge bulls bushes busse cache camiones campagna campagne campanha campania campeones campinas campioni canter casas celles
cells censo cento certa cgt chair chans chats chatte cheer chefer chere chers chiant chick chico chier chimie chine chinees
chineses chinos chomeurs cinta circle citar clack claros clasp cleansing clears cleave cliches clippers clipping clips clock
clout clove coaches codes collo companies compreso comprise comptable compter concue condizione conduta confortable consequence
consta contado contato conte contempo contos convento coperto coracoes corda corki corpos corral correto corretto corso cortas
corte corto couche counterpart cours courses cousin couts creatura crois crowed cuadro cuantas cuanto cuarto cuello cuento
danner danos daran ddr decente dinner discorso disparu dnc donne donnee donnez dorado drank drommer drunk electro estao estara
estilo failing falla fanger fcc feier fellas feltet fiddly filed filo findings finer fingir fingre flaschen fleche floden flour
fluid foil foljt follia formando formel forrest forst fortress foten friend fulla fylla ganan gangen geest gegen giuro gluck
goias goles gols gosse grandchildren grant grattis grind gritar grond gront groot groovy gross grossa grossi grosso grosste
grove grows grund grusse guai guapo guidare hafen haremos haren harmonic haten hatte heard heute hopen houver hover impone
indoor infora inhalte install instrument invoice isnt jungle kamera kampfe kassa kasten klage klang klicka klipp kloppen knack
knicks knockout koers koper korde korper korting krach kring lache lacheln lacks lakers lbs leda lede legado leser lezer liar lidar
lied lieder liter llamado llc loads locura loser losing losung lover luder lyder lyfter madels madera maestra mange marca masked
masse maste matan mater mattias melder menage mengde mental mere messaggio messed mester metas metta missed mitleid mittelmeer
mnd mondo monte monter moter motte moveis moviles mowie mph mundo munster muster nagra natur natura navires neppe nhl niagara
nivel niveles noisy noose novel opent orange organises outbreak outdoor overall overhear overheid override overrun paar pain
paises paperback papier papir papper parcs partly parto pasas passei passione passo pasta patto pause pauze payer perks pesos
phase pianto piccola piccole piccoli pieno pilota piloto piper pisos plaine plama plank plato plats platte platz platze pluss posta
preise premi premises prepara prestation preto pretres principles prise provincies provinz pubblica pubblici publica publicacoes
publies pudding puerto punto quanto quema quete quick quinta quite quito quota raconter rainbow raknat ramble raped raping rares
rasse rauchen reads recordar recorde referente regel regeln regla regne reise reiser rejal replique reser rester reuse rever
revere ricas ripped ripping risker riverside rocked rollo rostar roter rover rpg rtl rummet rumor rumple saber sabor sacks
sainte saker saldo salia salida salido salta salud salute saluto samle samma samme sammen sangre sanka sante sauer scheiss
schelen schluss schnellen schoss schreibe schritt scram scritte segundos sells senare sentar sente sentir senza serene sermos
serons setor setores sgt shake shame shared shark shoot shooting shootout shrine siena siens siente siger sights sign signer
signes signing signos simpel simple singe singel sinus sirven sites skrap skrek slaet slash snarare snarere snore solide solita
somme sopra sopratutto sounded souza spass spero spine spoke spor sporo sprach sprak spreche squadre squire stadion stamm
stammen stammer stamp stanger stanza staring stark starkes stati steal stiger stikk sting stock stoel stoppa storing strand
strax streak streit streng strich strone strong stubby stuck studium stump suarez subido suena sullo summon swinging tabela
tableaux tanta taste taten tattoo temor tempio temporal temps tener tenere tenes tenir tenure teraz tesla testen tetto thames
threw tiempo tien tienes tiere times tipping tipps tires tomba tombe tombee tomboy tomen topping toren torka toros trace trampa
transgender transmit trapping traps tread treno trial tried tropas trova trovano trovato trovo truck tvang tying union vague
vals veces veille vendo veneto venuto verband verloop versagt versies verste versus vezes vgl vgs viborg vices vieille viele
vielen viendo vient ville vinto visar vllt voulu waiter waterfront waterloo welle wellness whale while willen wives wobbly
wollen woman wonen zwanger
swing swings meaning meanings saving savings rating ratings starting stating staying renting dropping dipping heap heaps coroner
sprinkle cracking restless futter facet toile elevato elevado elevador sewing cutler startling totals original
originals originales creas muss
contractor contractors accounting village villages transito pubblicita monete samuel
peach peaches counties centrala contando guys vargas varann zero ministre ministres
"""
OTHER_WORDS = frozenset(_OTHER_WORDS.split())
