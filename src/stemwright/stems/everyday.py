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
regal regen restaurant rire rires risa risada risadas risas risate saludo saludos sampleo sanctuary screech serpent shake
shine shred sigh sighs singers skit slapback smoke soda sonido sonidos sons speech spicc stacc stadium steel steps sticks
sting stings sul sum suoni symphonic symphony sync tabernacle tagged tape tar tasto tempete tempo temporale terz ticking
tierce tiro tiros tone tormenta triad triple tripled triples trips trpl trueno tuned ud uh uhs ui unison untagged up va vent
vento vhs viento vn wides woo woos yodel zink zoom
brushes gesamt komplett todo tutto tout
"""
EVERYDAY = frozenset(_EVERYDAY.split())

# Never what by themselves, but a part played: they say what only where nothing else in the name or its folder does, as drums may play a
# solo, and keys a melody.
_VAGUE = """
stack soloist theme solo riff lick hit hits zap zaps sequencer wavetable verse hook chorus guest duet jingle whisper runs girls
boys ladies women men friends cousins kid kids children growl rumble sine pop pops toy toys swell bed shimmer atmo left right
hand rotary rotor electric strum strums strumming quad square pulse gated saw poly seq sequence stab chord melody counter
table desk foot feet floor rack dusty flip music instruments thirds fifths descant tv candy misc amb groove fill break
room rooms car traffic street city ocean waves sea water river fire bird birds nature forest telephone camera coin coins
lighter breath breaths cough duck cat animals train station static spark sparkle sparkles storm tension interference beep
beeps dog door laugh rain quack bubble bubbles heartbeat boom slam send wind zip atmospherics ens acoustic nylon low end wah
trance gate modular top line
"""
VAGUE = frozenset(_VAGUE.split())

# Words of the language that are one letter from a word above, and mean nothing of the kind.
_OTHER_WORDS = """
account animal babble bacteria baking bamboo barrel battle bedroom bellow belly bingo breakfast bubbly buckle bulge canter
chair cheer chick clack clasp cleave clipping clock clout clove codes comprise corral courses cousin crowed drunk fiddly
filed finer flour fluid friend grant grind groovy gross grove harmonic heard hover indoor install instrument invoice jungle
knack liter loser lover mental messed noisy noose outdoor overall overhear override overrun phase plank quick quite quota
rainbow ramble reuse revere ripped rumor rumple scram serene shake shame shark shoot simple singe sinus slash snore spoke
squire stamp staring sting strand strong stubby stump taste tenure tipping tomboy topping trace trapping trial truck union
versus vices waiter whale while wives wobbly woman
"""
OTHER_WORDS = frozenset(_OTHER_WORDS.split())
