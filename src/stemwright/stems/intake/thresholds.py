"""Every threshold of intake in one place, each with its reason or source; "common practice" where there is no source."""

from __future__ import annotations

# --- levels -----------------------------------------------------------------------------------------------------------
# Full scale is the 16-bit word's top: a clipped 16-bit recording in a 24-bit file stands there too (arithmetic: 1 - 2**-15).
FULL_SCALE = 1.0 - 2.0**-15
# A clipped top is flat; four steps of a 24-bit word leave room for dither. The top of a slow full-scale sine is not flat.
FLAT = 4.0 * 2.0**-23
# One or two samples at full scale are what normalising leaves; common practice of meters counts from three.
CLIPPED_SAMPLES = 3
# Between two samples a sine of a quarter of the rate rises 3.01 dB (EBU Tech 3341 case 19), so blocks under -3.01 dBFS are
# not oversampled. What rises further is noise above 0.45 of the rate, which no recorder lets through.
WORTH_OVERSAMPLING = 0.7071
# Full scale between the samples. EBU R 128 allows -1 dBTP in production, for finished programme; stems need only not clip.
OVER_DBTP = 0.0
# Two 16-bit steps: no more than dither of a 16-bit file (arithmetic: 20 lg 2/32768 = -84.3 dBFS).
SILENT = 2.0 / 32768.0
# 0.1 % of full scale, -60 dBFS: below it an offset costs no headroom and clicks at no cut (common practice).
DC_OFFSET = 0.001
# 1 %, -40 dBFS: a fault of a converter rather than of a sound card (common practice).
DC_OFFSET_GRAVE = 0.01
# Lopsided waves have a mean while they last; an offset is there in nearly every window.
DC_STEADY_SHARE = 0.9
DC_LEAST_SECONDS = 1.0  # shorter sounds have no telling apart

# --- flat tops under full scale: clipped, then turned down ------------------------------------------------------------
FLAT_STEPS = 2.5  # of the stem's word: dither and one rounding move a flat top by no more
FLAT_FROM = 0.9  # of the channel's peak: how deep flat runs are looked for, to know a coarse word from a clipped one
FLAT_LEAST = 10.0 ** (-40.0 / 20.0)
FLAT_CORNER = 4.0  # times what counts as equal: how far the samples beside a flat top must be from it
FLAT_RUNS = 5  # with corners of their own
FLAT_DIFFERENT = 0.25  # of all
FLAT_ELSEWHERE = 0.5  # flat runs below the top for each at the top
FLAT_MOST = 0.35  # of the samples looked at; a square wave is flat nearly always

# --- breaks -----------------------------------------------------------------------------------------------------------
LOST_FROM, LOST_TO = 0.002, 0.06  # seconds: under it nothing is heard, over it a pause
LOST_LEAST = 10.0 ** (-50.0 / 20.0)  # RMS beside it
LOST_JUMP, LOST_LEAST_JUMP = 0.3, 0.02  # first and last sample beside the zeros, against the RMS there
LOST_MOST = 1.0  # a second: more of them are an effect
CLICK_LEAST = 10.0 ** (-36.0 / 20.0)
CLICK_MEAN = 8.0  # times the mean bend of the sound around it
CLICK_OVER = 8.0  # times what the sound beside it bends at most (the 98th percentile)
CLICK_OVER_STEP = 4.0  # times the step from before to after: an edge is no click
CLICK_MOST = 1.0  # a second: more are the sound itself

# --- stereo -----------------------------------------------------------------------------------------------------------
# The difference of the sides 60 dB under their sum: nothing of it is heard (common practice).
SAME_SIDES_DB = -60.0
# Correlation of the sides below this: what is left of the sum in mono is 17 dB lower or less (arithmetic: 10 lg (1-0.98)/2).
INVERTED_CORRELATION = -0.98
SIDES_APART_DB = 6.0  # a side twice as large as the other: more than rooms and hands make of it (common practice)

# --- spectrum ---------------------------------------------------------------------------------------------------------
RUMBLE_HZ = 30.0  # below the lowest note of a four-string bass, 41 Hz, with room (arithmetic: E1)
RUMBLE_FROM_HZ = 5.0  # under it an offset and the window's foot would be counted
RUMBLE_DBFS = -50.0  # quieter rumble takes no headroom worth speaking of (common practice)
RUMBLE_SHARE_DB = -20.0  # a hundredth of the stem's power
# Where the power below is kept: third-octave steps, for moves that ask for rumble under their own corner.
RUMBLE_CORNERS_HZ = (10.0, 12.5, 16.0, 20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 400.0)
RUMBLE_GRAVE_DB = -3.0  # half of it: compressors and limiters work on the rumble rather than on the music
MAINS_HZ = (50.0, 60.0)
MAINS_REACH = (
    0.01  # of the mains: tape, resampling and generators drift further than the grid; A1 and B1 are 2 % and more away
)
HUM_HARMONICS = 10
HUM_QUIETEST = 4  # windows that are averaged
HUM_LEAST_WINDOWS = 2
HUM_SHORTEST = 5  # windows there must be in all, 3 s: the tail of one sound and hum are not told apart
HUM_AS_QUIET = 10.0  # times the power of the second quietest
HUM_FOUND = 4  # harmonics needed, the first or second among them: a played note has its own, but not at 50 or 60 Hz
HUM_STANDS_OUT_DB = 10.0
HUM_STEADY_DB = 8.0  # from the quietest of these windows to the loudest: hum does not play
HUM_DBFS = -90.0  # under it nobody will hear the hum, whatever is added (common practice)
# Music fades towards the top; encoders and converters cut. 20 dB within 400 Hz at 16 kHz is over 500 dB per octave.
EDGE_DROP_DB = 20.0
EDGE_BAND_HZ = 100.0
EDGE_FROM_HZ = 3000.0  # telephone sources end at 3.4 kHz (ITU-T G.711's band, from memory)
# Converters' own filters begin at 0.453 of the rate (from memory), 0.907 of its half: an edge up there is normal.
EDGE_OF_NYQUIST = 0.9
EDGE_LEAST_DBFS = -110.0  # what ends there must have been more than noise of a 16-bit word in one band (-101 in all)
# A share of power where no stem of that role has it (common practice; wide on purpose: a warning must be worth reading).
TOP_BAND_HZ = 11_000.0
TOP_SHARE_DB = (
    -75.0
)  # of its power; wide-band microphones hear a voice's s about 30 dB above that: -29 to -48 dB of 9 recorded voices
LOW_BAND_HZ = 200.0
HIGH_BAND_HZ = 2000.0
NAME_SHARE_LOW = 0.8
NAME_SHARE_HIGH = 0.95  # white noise at 48 kHz has 92 % up there (arithmetic), a hat more

# --- timing -----------------------------------------------------------------------------------------------------------
SOUND = 10.0 ** (-60.0 / 20.0)  # where a stem starts and ends: 60 dB under full scale, the T60's measure of inaudible
LEADING_SECONDS = 2.0  # about a bar at 120 bpm; shorter leads are ordinary count-ins and tails (common practice)
TRAILING_SECONDS = 5.0  # longer than the tails of most rooms (common practice)
LENGTHS_SECONDS = 0.001  # under a millisecond two lengths are one length rounded differently
LATE_LEAST_STEM_SECONDS = 5.0  # shorter files are single sounds, which nobody lines up
LATE_SECONDS = 0.1  # more than a delay of processing, less than a beat at 240 bpm
LATE_LEAST_SECONDS = 0.0015  # attacks differ by less from sound to sound
AT_ONCE_SECONDS = 0.02  # sound this soon after the file's start: it was cut at its own first note
BAR_BEATS = 4  # bars of four quarter notes, said so in the finding
BAR_SECONDS = 0.002  # how exactly a shift must be whole bars

# --- kit: microphones on one instrument -------------------------------------------------------------------------------
KIT_HITS = 12  # the loudest moments of the close microphone
KIT_APART = 0.25  # seconds between two of them
KIT_BEFORE, KIT_AFTER = 0.005, 0.045  # of each moment: the attack, before the room answers (common practice)
KIT_REACH = 0.02  # seconds of delay looked for: 6.9 m of air at 343 m/s
KIT_FROM_HZ, KIT_TO_HZ = 60.0, 4000.0  # where microphones of different kinds still hear the same
KIT_SURE = 0.3  # normalised correlation of the highest peak, over all moments
KIT_CLEAR = 1.15  # times the highest peak of the other sign
KIT_SECONDS = 60.0  # of each stem at most

# --- duplicates -------------------------------------------------------------------------------------------------------
SAME_ENERGY = 1e-4  # of the whole: word length and dither change less, any move changes more (0.0004 dB)
SAME_RESIDUAL_DB = -60.0  # a 16-bit copy of a stem of -40 dBFS RMS leaves -61 (arithmetic: 16-bit noise is -101 dBFS)

# --- spectra are taken on so many windows, evenly spaced, so that their cost does not grow with the stem's length ---------
WINDOWS = 8
WINDOW_SECONDS = 0.6  # tells 50 Hz and its neighbours apart: 4 bins wide (Hann) is under 7 Hz
