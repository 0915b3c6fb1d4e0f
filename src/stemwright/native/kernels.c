/* The loops a pass spends its time in: sections, level meter, dither and the bytes of 16- and 24-bit words.
 *
 * Everything here has a twin in numpy or scipy that gives the same bits (the meter, and what intake listens to: the same to
 * 1e-12 of what is put in); tests hold the two together. So this file must stay free of anything that lets a compiler round differently: it is
 * built without contraction to fused multiply-adds, and refuses floating point that is wider than it says.
 *
 * Audio is planar float64: `rows` points at `channels` rows of `frames` samples, one after the other.
 */
#include <float.h>
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#if !defined(FLT_EVAL_METHOD) || FLT_EVAL_METHOD != 0
#error "double arithmetic is not plain IEEE double here; the numpy path is used instead"
#endif

#if defined(_WIN32)
#define EXPORT __declspec(dllexport)
#else
#define EXPORT __attribute__((visibility("default")))
#endif

/* The same source once more for processors with AVX, chosen when the library is loaded: its instructions keep both their
 * operands, which saves a third of them. The results are the same to the bit. */
#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) && defined(__gnu_linux__)
#define HOT EXPORT __attribute__((target_clones("avx", "default")))
#define HOT2 EXPORT __attribute__((target_clones("avx2", "default"))) /* where integers are worked on too */
#if __GNUC__ >= 12
#define WIDE 1 /* two sections of two channels in one vector */
#endif
#else
#define HOT EXPORT
#define HOT2 EXPORT
#endif

/* Two channels run side by side in one vector where the compiler has vectors; a lone channel runs beside itself. */
#if defined(__GNUC__)
typedef double lane __attribute__((vector_size(16)));
#define LANES 2
#define LANE(a, b) ((lane){(a), (b)})
#define AT(v, i) ((v)[i])
#define INLINE static inline __attribute__((always_inline))
#else
typedef double lane;
#define LANES 1
#define LANE(a, b) (a)
#define AT(v, i) (v)
#define INLINE static __forceinline
#endif

/* Once sound stops, the states of a section sink into numbers that processors work on 10 to 40 times slower (subnormals).
 * Two things keep them out. What is heard is defined the same here and in the numpy twin (`dsp/cascade`): states and
 * output below TINY are zero, the states at every GRID frames from the start of the sound, so that no block size shows.
 * And where the processor can take such numbers for zero by itself, it is asked to, and left as it was afterwards: what
 * that changes is below 1e-307, far under TINY. */
#if defined(__SSE2__) || defined(_M_X64)
#include <xmmintrin.h>
typedef unsigned int fp_mode;
INLINE fp_mode flush_subnormals(void)
{
    const fp_mode before = _mm_getcsr();
    _mm_setcsr(before | 0x8040u); /* FTZ: results; DAZ: operands */
    return before;
}
INLINE void restore_mode(fp_mode before) { _mm_setcsr(before); }
#elif defined(__aarch64__) && defined(__GNUC__)
typedef uint64_t fp_mode;
INLINE fp_mode flush_subnormals(void)
{
    fp_mode before;
    __asm__ volatile("mrs %0, fpcr" : "=r"(before));
    __asm__ volatile("msr fpcr, %0" : : "r"(before | (UINT64_C(1) << 24)) : "memory"); /* FZ */
    return before;
}
INLINE void restore_mode(fp_mode before) { __asm__ volatile("msr fpcr, %0" : : "r"(before) : "memory"); }
#else
typedef int fp_mode;
INLINE fp_mode flush_subnormals(void) { return 0; }
INLINE void restore_mode(fp_mode before) { (void)before; }
#endif

#if defined(_WIN32) || (defined(__BYTE_ORDER__) && __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__)
#define LITTLE 1
#else
#define LITTLE 0
#endif

#define INTERFACE 12 /* raised with every change of a signature below; native/__init__.py checks it */
#define TILE 512    /* frames that go through all sections before the next ones: they stay in the nearest cache */
#define MOST 3      /* sections in flight at once */
#define TINY 1e-60  /* -1200 dBFS: no sample of any file tells it from zero; as in dsp/cascade.py */
#define GRID 4096   /* frames; as there */

EXPORT int stemwright_interface(void) { return INTERFACE; }

/* Coefficients and state of K sections for one pair of channels, held in registers while a tile passes. */
typedef struct {
    double b0[MOST], b1[MOST], b2[MOST], a1[MOST], a2[MOST];
    lane z0[MOST], z1[MOST];
} bank;

/* `state` is (sections, channels, 2), `sos` is (sections, 6): the layout of scipy.signal.sosfilt. */
INLINE void bank_load(bank *k, const int K, const double *sos, const double *state, ptrdiff_t channels, ptrdiff_t one,
                      ptrdiff_t two)
{
    for (int s = 0; s < K; s++) {
        const double *c = sos + 6 * s, *z = state + 2 * channels * s;
        k->b0[s] = c[0], k->b1[s] = c[1], k->b2[s] = c[2], k->a1[s] = c[4], k->a2[s] = c[5];
        k->z0[s] = LANE(z[2 * one], z[2 * two]);
        k->z1[s] = LANE(z[2 * one + 1], z[2 * two + 1]);
    }
    (void)two;
}

INLINE void bank_store(const bank *k, const int K, double *state, ptrdiff_t channels, ptrdiff_t one, ptrdiff_t two)
{
    for (int s = 0; s < K; s++) {
        double *z = state + 2 * channels * s;
        z[2 * two] = AT(k->z0[s], LANES - 1), z[2 * two + 1] = AT(k->z1[s], LANES - 1);
        z[2 * one] = AT(k->z0[s], 0), z[2 * one + 1] = AT(k->z1[s], 0);
    }
}

/* One sample through K sections, transposed direct form II, in the order of operations that scipy has. */
INLINE lane bank_step(bank *k, const int K, lane x)
{
    for (int s = 0; s < K; s++) {
        const lane y = k->b0[s] * x + k->z0[s];
        k->z0[s] = k->b1[s] * x - k->a1[s] * y + k->z1[s];
        k->z1[s] = k->b2[s] * x - k->a2[s] * y;
        x = y;
    }
    return x;
}

INLINE void sections_pass(const int K, const double *sos, double *state, ptrdiff_t channels, ptrdiff_t one, ptrdiff_t two,
                          const double *in1, const double *in2, double *out1, double *out2, ptrdiff_t frames)
{
    bank k;
    bank_load(&k, K, sos, state, channels, one, two);
    for (ptrdiff_t n = 0; n < frames; n++) {
        const lane y = bank_step(&k, K, LANE(in1[n], in2[n]));
        out2[n] = AT(y, LANES - 1);
        out1[n] = AT(y, 0);
    }
    bank_store(&k, K, state, channels, one, two);
    (void)in2;
}

#ifdef WIDE
/* PAIRS times two sections of two channels in flight, two sections in one vector: the second works one sample behind the
 * first. What is missing before and after that, a triangle of steps, is done section by section: each sample goes through
 * each section in the same order of operations as in bank_step. `frames` is PAIRS or more. */
typedef double quad __attribute__((vector_size(32)));
#define MOST_PAIRS 3
#define WITH(low, high) __builtin_shufflevector(low, high, 0, 1, 2, 3)
#define LOW(v) __builtin_shufflevector(v, v, 0, 1)
#define BOTH(c) WITH(LANE(low->c[0], low->c[0]), LANE(high->c[0], high->c[0]))
#define HIGH(v) __builtin_shufflevector(v, v, 2, 3)

INLINE void sections_wide(const int PAIRS, const double *sos, double *state, ptrdiff_t channels, ptrdiff_t one,
                          ptrdiff_t two, const double *in1, const double *in2, double *out1, double *out2,
                          ptrdiff_t frames)
{
    bank each[2 * MOST_PAIRS]; /* one section in each */
    lane before[MOST_PAIRS];   /* what the first section of a pair gave one sample ago */
    quad b0[MOST_PAIRS], b1[MOST_PAIRS], b2[MOST_PAIRS], a1[MOST_PAIRS], a2[MOST_PAIRS], z0[MOST_PAIRS], z1[MOST_PAIRS];
    for (int s = 0; s < 2 * PAIRS; s++)
        bank_load(&each[s], 1, sos + 6 * s, state + 2 * channels * s, channels, one, two);
    for (int m = 0; m < PAIRS; m++) {
        lane x = LANE(in1[m], in2[m]);
        for (int s = 0; s <= 2 * (PAIRS - 1 - m); s++)
            x = bank_step(&each[s], 1, x);
        before[PAIRS - 1 - m] = x;
    }
    for (int p = 0; p < PAIRS; p++) {
        const bank *low = &each[2 * p], *high = low + 1;
        b0[p] = BOTH(b0);
        b1[p] = BOTH(b1);
        b2[p] = BOTH(b2);
        a1[p] = BOTH(a1);
        a2[p] = BOTH(a2);
        z0[p] = WITH(low->z0[0], high->z0[0]), z1[p] = WITH(low->z1[0], high->z1[0]);
    }
    for (ptrdiff_t n = PAIRS; n < frames; n++) {
        lane through = LANE(in1[n], in2[n]);
        for (int p = 0; p < PAIRS; p++) {
            const quad x = WITH(through, before[p]);
            const quad y = b0[p] * x + z0[p];
            z0[p] = b1[p] * x - a1[p] * y + z1[p];
            z1[p] = b2[p] * x - a2[p] * y;
            before[p] = LOW(y);
            through = HIGH(y);
        }
        out1[n - PAIRS] = through[0];
        out2[n - PAIRS] = through[1];
    }
    for (int p = 0; p < PAIRS; p++) {
        each[2 * p].z0[0] = LOW(z0[p]), each[2 * p].z1[0] = LOW(z1[p]);
        each[2 * p + 1].z0[0] = HIGH(z0[p]), each[2 * p + 1].z1[0] = HIGH(z1[p]);
    }
    for (int p = PAIRS - 1; p >= 0; p--) {
        lane x = before[p];
        for (int s = 2 * p + 1; s < 2 * PAIRS; s++)
            x = bank_step(&each[s], 1, x);
        out2[frames - 1 - p] = AT(x, 1);
        out1[frames - 1 - p] = AT(x, 0);
    }
    for (int s = 0; s < 2 * PAIRS; s++)
        bank_store(&each[s], 1, state + 2 * channels * s, channels, one, two);
}
#endif

INLINE void without_tiny(double *values, ptrdiff_t count)
{
    for (ptrdiff_t n = 0; n < count; n++)
        values[n] = fabs(values[n]) < TINY ? 0.0 : values[n];
}

INLINE void cascade(const int WIDTH, const double *sos, ptrdiff_t sections, double *state, const double *rows, double *out,
                    ptrdiff_t channels, ptrdiff_t frames, int64_t position)
{
    const fp_mode before = flush_subnormals();
    for (ptrdiff_t one = 0; one < channels; one += LANES) {
        const ptrdiff_t two = one + LANES - 1 < channels ? one + LANES - 1 : one;
        for (ptrdiff_t at = 0, count; at < frames; at += count) {
            const ptrdiff_t to_grid = GRID - (ptrdiff_t)((position + at) % GRID);
            count = frames - at < TILE ? frames - at : TILE;
            count = to_grid < count ? to_grid : count;
            const double *in1 = rows + one * frames + at, *in2 = rows + two * frames + at;
            double *out1 = out + one * frames + at, *out2 = out + two * frames + at;
            for (ptrdiff_t s = 0; s < sections;) {
                const double *c = sos + 6 * s;
                double *z = state + 2 * channels * s;
                const ptrdiff_t left = sections - s;
#ifdef WIDE
                if (WIDTH > LANES && left >= 6 && count >= 3)
                    sections_wide(3, c, z, channels, one, two, in1, in2, out1, out2, count), s += 6;
                else if (WIDTH > LANES && (left == 4 || left == 5) && count >= 2)
                    sections_wide(2, c, z, channels, one, two, in1, in2, out1, out2, count), s += 4;
                else
#endif
                if (left >= 3)
                    sections_pass(3, c, z, channels, one, two, in1, in2, out1, out2, count), s += 3;
                else if (left == 2)
                    sections_pass(2, c, z, channels, one, two, in1, in2, out1, out2, count), s += 2;
                else
                    sections_pass(1, c, z, channels, one, two, in1, in2, out1, out2, count), s += 1;
                in1 = out1, in2 = out2;
            }
            without_tiny(out1, count);
            if (two != one)
                without_tiny(out2, count);
            for (ptrdiff_t s = 0; count == to_grid && s < sections; s++)
                without_tiny(state + 2 * (channels * s + one), 2 * (two - one + 1));
        }
    }
    restore_mode(before);
    (void)WIDTH;
}

/* `position` is how many frames came before these. Wide vectors only where the processor has them: in halves they take twice
 * the time. */
#ifdef WIDE
static __attribute__((target("avx"))) void cascade_wide(const double *sos, ptrdiff_t sections, double *state,
                                                        const double *rows, double *out, ptrdiff_t channels,
                                                        ptrdiff_t frames, int64_t position)
{
    cascade(2 * LANES, sos, sections, state, rows, out, channels, frames, position);
}
#endif

EXPORT void stemwright_cascade(const double *sos, ptrdiff_t sections, double *state, const double *rows, double *out,
                               ptrdiff_t channels, ptrdiff_t frames, int64_t position)
{
#ifdef WIDE
    if (__builtin_cpu_supports("avx")) {
        cascade_wide(sos, sections, state, rows, out, channels, frames, position);
        return;
    }
#endif
    cascade(LANES, sos, sections, state, rows, out, channels, frames, position);
}

/* One sample through two sections whose outputs need not match scipy's to the bit: with y put into the state's equations, the
 * next sample waits for two operations instead of four. b1 and b2 hold b1 - a1 * b0 and b2 - a2 * b0 here. */
INLINE lane bank_step_short(bank *k, lane x)
{
    for (int s = 0; s < 2; s++) {
        const lane y = k->b0[s] * x + k->z0[s];
        const lane z1 = k->b2[s] * x - k->a2[s] * k->z0[s];
        k->z0[s] = (k->b1[s] * x + k->z1[s]) - k->a1[s] * k->z0[s];
        k->z1[s] = z1;
        x = y;
    }
    return x;
}

/* Two sections and their energy: `sums[i]` gets the weighted energy from `edges[i]` up to the next edge; returns the
 * sum of squares of the audio itself. */
HOT double stemwright_meter(const double *sos, double *state, const double *rows, ptrdiff_t channels, ptrdiff_t frames,
                               const double *gains, const int64_t *edges, ptrdiff_t steps, double *sums)
{
    const fp_mode before = flush_subnormals();
    double power = 0.0;
    memset(sums, 0, (size_t)steps * sizeof *sums);
    for (ptrdiff_t one = 0; one < channels; one += LANES) {
        const ptrdiff_t two = one + LANES - 1 < channels ? one + LANES - 1 : one;
        const double *in1 = rows + one * frames, *in2 = rows + two * frames;
        bank k;
        bank_load(&k, 2, sos, state, channels, one, two);
        for (int s = 0; s < 2; s++) {
            k.b1[s] -= k.a1[s] * k.b0[s];
            k.b2[s] -= k.a2[s] * k.b0[s];
        }
        for (ptrdiff_t step = 0; step < steps; step++) {
            const ptrdiff_t end = step + 1 < steps ? (ptrdiff_t)edges[step + 1] : frames;
            lane weighted = LANE(0.0, 0.0), plain = LANE(0.0, 0.0);
            for (ptrdiff_t n = (ptrdiff_t)edges[step]; n < end; n++) {
                const lane x = LANE(in1[n], in2[n]);
                const lane y = bank_step_short(&k, x);
                plain += x * x;
                weighted += y * y;
            }
            sums[step] += gains[one] * AT(weighted, 0);
            power += AT(plain, 0);
            if (two != one) {
                sums[step] += gains[two] * AT(weighted, LANES - 1);
                power += AT(plain, LANES - 1);
            }
        }
        bank_store(&k, 2, state, channels, one, two);
        (void)in2;
    }
    without_tiny(state, 4 * channels);
    restore_mode(before);
    return power;
}

/* The highest of some samples, whatever their sign. Four maxima at once: one would wait for itself. */
INLINE double highest_of(const double *samples, ptrdiff_t count)
{
    double high[4] = {0.0, 0.0, 0.0, 0.0};
    ptrdiff_t n = 0;
    for (; n + 4 <= count; n += 4)
        for (int i = 0; i < 4; i++) {
            const double level = fabs(samples[n + i]);
            high[i] = level > high[i] ? level : high[i];
        }
    for (; n < count; n++) {
        const double level = fabs(samples[n]);
        high[0] = level > high[0] ? level : high[0];
    }
    for (int i = 1; i < 4; i++)
        high[0] = high[i] > high[0] ? high[i] : high[0];
    return high[0];
}

#define TAPS 48
#define HALF 24
#define CHUNK 64 /* samples that are skipped at once where all are low */

/* The highest of the three points after sample `at`; `kernels` is (3, TAPS). */
INLINE double between(const double *audio, ptrdiff_t at, const double *kernels, double highest)
{
    const double *window = audio + at - (HALF - 1);
    for (int phase = 0; phase < 3; phase++, kernels += TAPS) {
        double sum[4] = {0.0, 0.0, 0.0, 0.0};
        for (int tap = 0; tap < TAPS; tap += 4)
            for (int i = 0; i < 4; i++)
                sum[i] += window[tap + i] * kernels[tap + i];
        const double level = fabs((sum[0] + sum[1]) + (sum[2] + sum[3]));
        highest = level > highest ? level : highest;
    }
    return highest;
}

/* Look beside every local maximum from `first` up to `last` that reaches the floor. */
INLINE double scan(const double *audio, ptrdiff_t first, ptrdiff_t last, double floor, const double *kernels,
                   double highest)
{
    for (ptrdiff_t at = first; at < last; at++) {
        const double level = fabs(audio[at]);
        if (level >= floor && level >= fabs(audio[at - 1]) && level >= fabs(audio[at + 1])) {
            highest = between(audio, at - 1, kernels, highest);
            highest = between(audio, at, kernels, highest);
        }
    }
    return highest;
}

/* `tails` holds the TAPS samples before each row and leaves with its last ones; `peaks` holds the highest sample and the
 * highest point so far; `heights` has room for one number for every chunk of every row. */
HOT void stemwright_true_peak(const double *rows, ptrdiff_t channels, ptrdiff_t frames, double *tails, double share,
                              const double *kernels, double *peaks, double *heights)
{
    const ptrdiff_t chunks = (frames + CHUNK - 1) / CHUNK;
    for (ptrdiff_t channel = 0; channel < channels; channel++)
        for (ptrdiff_t chunk = 0; chunk < chunks; chunk++) {
            const ptrdiff_t at = chunk * CHUNK, count = frames - at < CHUNK ? frames - at : CHUNK;
            const double height = highest_of(rows + channel * frames + at, count);
            heights[channel * chunks + chunk] = height;
            peaks[0] = height > peaks[0] ? height : peaks[0];
        }
    const double floor = share * (peaks[0] > peaks[1] ? peaks[0] : peaks[1]);
    double highest = peaks[1];
    for (ptrdiff_t channel = 0; channel < channels; channel++) {
        const double *row = rows + channel * frames;
        double *tail = tails + channel * TAPS;
        double seam[2 * TAPS]; /* windows that reach back into the tail are read from here */
        const ptrdiff_t joined = frames < TAPS ? frames : TAPS;
        memcpy(seam, tail, sizeof *tail * TAPS);
        memcpy(seam + TAPS, row, sizeof *row * (size_t)joined);
        if (floor > 0.0) {
            highest = scan(seam, HALF, HALF + joined, floor, kernels, highest);
            for (ptrdiff_t chunk = 0; chunk < chunks; chunk++) {
                const ptrdiff_t at = chunk * CHUNK;
                if (heights[channel * chunks + chunk] >= floor)
                    highest = scan(row, at < HALF ? HALF : at,
                                   at + CHUNK < frames - HALF ? at + CHUNK : frames - HALF, floor, kernels, highest);
            }
        }
        if (frames >= TAPS)
            memcpy(tail, row + frames - TAPS, sizeof *row * TAPS);
        else
            memcpy(tail, seam + frames, sizeof *tail * TAPS);
    }
    peaks[1] = highest;
}

/* Dither and round to integers of a word; `next` draws from numpy's generator, a number for each sample in the order they
 * are written. Returns how many did not fit. */
HOT int64_t stemwright_quantise(const double *rows, ptrdiff_t channels, ptrdiff_t frames, double scale, double silence,
                                   uint64_t (*next)(void *), void *generator, int32_t *out)
{
    const double top = scale - 1.0, bottom = -scale;
    const double whole = 6755399441055744.0; /* 1.5 * 2**52: added, it leaves no room for a fraction; ties go to even */
    int64_t overs = 0;
    for (ptrdiff_t n = 0; n < frames; n++) {
        const double *sample = rows + n;
        for (ptrdiff_t channel = 0; channel < channels; channel++, sample += frames, out++) {
            const uint64_t bits = next(generator);
            const int64_t halves = (int64_t)((bits & 0xFFFFFFFFu) + (bits >> 32));
            const double scaled = *sample * scale;
            double value = scaled + ((double)halves * 0x1p-32 - 1.0);
            value = (value + whole) - whole;
            value = fabs(scaled) < silence ? 0.0 : value;
            if (value > top || value < bottom) {
                overs++;
                value = value > top ? top : bottom;
            }
            *out = (int32_t)value;
        }
    }
    return overs;
}

/* The same with numbers that are computed from their place (SplitMix64; see dsp/dither): `place` is the state before the
 * first. A tile of one channel at a time, free of calls and branches, so that the compiler can use vectors. */
#define GAMMA UINT64_C(0x9E3779B97F4A7C15)
#define DITHER_TILE 256

#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC push_options
#pragma GCC optimize("no-trapping-math") /* or selections stay branches; it changes no result */
#endif

HOT2 int64_t stemwright_quantise_counted(const double *rows, ptrdiff_t channels, ptrdiff_t frames, double scale,
                                         double silence, uint64_t place, int32_t *out)
{
    const double top = scale - 1.0, bottom = -scale;
    const double whole = 6755399441055744.0; /* as above */
    const uint64_t step = (uint64_t)channels * GAMMA;
    int64_t overs = 0;
    for (ptrdiff_t at = 0; at < frames; at += DITHER_TILE) {
        const ptrdiff_t count = frames - at < DITHER_TILE ? frames - at : DITHER_TILE;
        int32_t words[2][DITHER_TILE];
        for (ptrdiff_t channel = 0; channel < channels; channel++) {
            const double *row = rows + channel * frames + at;
            int32_t *word = words[channel & 1];
            uint64_t state = place + (uint64_t)(at * channels + channel) * GAMMA + GAMMA;
            int64_t outside = 0;
            for (ptrdiff_t n = 0; n < count; n++, state += step) {
                uint64_t bits = (state ^ (state >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
                bits = (bits ^ (bits >> 27)) * UINT64_C(0x94D049BB133111EB);
                bits ^= bits >> 31;
                /* The sum of both halves has 33 bits: put below the exponent of 2**52 it is a double without a conversion. */
                bits = ((bits & 0xFFFFFFFFu) + (bits >> 32)) | UINT64_C(0x4330000000000000);
                double halves;
                memcpy(&halves, &bits, sizeof halves);
                const double scaled = row[n] * scale;
                double value = scaled + ((halves - 0x1p52) * 0x1p-32 - 1.0);
                value = (value + whole) - whole;
                value = fabs(scaled) < silence ? 0.0 : value;
                outside += (value > top) | (value < bottom);
                value = value > top ? top : value;
                value = value < bottom ? bottom : value;
                word[n] = (int32_t)value;
            }
            overs += outside;
            int32_t *to = out + at * channels + channel;
            if (channels == 2 && channel == 1) /* both at once: a vector of each makes two of the file's */
                for (ptrdiff_t n = 0; n < count; n++)
                    to[2 * n - 1] = words[0][n], to[2 * n] = words[1][n];
            else if (channels != 2)
                for (ptrdiff_t n = 0; n < count; n++)
                    to[n * channels] = word[n];
        }
    }
    return overs;
}

#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC pop_options
#endif

/* A 24-bit word in the upper three bytes of 32; the fast one also touches the byte that follows it. */
INLINE double word_24(const uint8_t *from)
{
    return (double)(int32_t)((uint32_t)from[0] << 8 | (uint32_t)from[1] << 16 | (uint32_t)from[2] << 24) * 0x1p-31;
}

INLINE double word_24_fast(const uint8_t *from)
{
#if LITTLE
    uint32_t word;
    memcpy(&word, from, sizeof word);
    return (double)(int32_t)(word << 8) * 0x1p-31;
#else
    return word_24(from);
#endif
}

HOT void stemwright_decode_24(const uint8_t *bytes, ptrdiff_t channels, ptrdiff_t frames, double *rows)
{
    for (ptrdiff_t channel = 0; channel < channels; channel++) {
        const uint8_t *from = bytes + 3 * channel;
        double *row = rows + channel * frames;
        for (ptrdiff_t n = 0; n + 1 < frames; n++, from += 3 * channels)
            row[n] = word_24_fast(from);
        if (frames > 0)
            row[frames - 1] = word_24(from);
    }
}

HOT void stemwright_decode_16(const uint8_t *bytes, ptrdiff_t channels, ptrdiff_t frames, double *rows)
{
    for (ptrdiff_t channel = 0; channel < channels; channel++) {
        const uint8_t *from = bytes + 2 * channel;
        double *row = rows + channel * frames;
        for (ptrdiff_t n = 0; n < frames; n++, from += 2 * channels)
            row[n] = (double)(int16_t)(uint16_t)(from[0] | from[1] << 8) * 0x1p-15;
    }
}

HOT void stemwright_pack_24(const int32_t *samples, ptrdiff_t count, uint8_t *bytes)
{
    ptrdiff_t n = 0;
#if LITTLE
    for (; n + 1 < count; n++, bytes += 3)
        memcpy(bytes, samples + n, sizeof *samples); /* the fourth byte is written over by the next sample */
#endif
    for (; n < count; n++, bytes += 3) {
        const uint32_t word = (uint32_t)samples[n];
        bytes[0] = (uint8_t)word, bytes[1] = (uint8_t)(word >> 8), bytes[2] = (uint8_t)(word >> 16);
    }
}

/* Compilers make vectors of an inner loop that is too long to be written out, and none of eight variables. */
#define ABREAST 32

/* The lowest and the highest sample of every `width` frames of a row, the last ones fewer; both not a number where one of them
 * is none or infinite. `lows` and `highs` have room for one number for every part of every row. */
HOT void stemwright_extremes(const double *rows, ptrdiff_t channels, ptrdiff_t frames, ptrdiff_t width, double *lows,
                             double *highs)
{
    for (ptrdiff_t channel = 0; channel < channels; channel++, rows += frames)
        for (ptrdiff_t at = 0; at < frames; at += width, lows++, highs++) {
            const double *part = rows + at;
            const ptrdiff_t count = frames - at < width ? frames - at : width;
            double low = part[0], high = part[0], odd = 0.0;
            ptrdiff_t n = 0;
            if (count >= 2 * ABREAST) {
                double least[ABREAST], most[ABREAST], strange[ABREAST];
                for (int k = 0; k < ABREAST; k++)
                    least[k] = most[k] = part[k], strange[k] = 0.0;
                for (; n + ABREAST <= count; n += ABREAST)
                    for (int k = 0; k < ABREAST; k++) {
                        const double sample = part[n + k];
                        least[k] = sample < least[k] ? sample : least[k];
                        most[k] = sample > most[k] ? sample : most[k];
                        strange[k] += sample * 0.0;
                    }
                for (int k = 0; k < ABREAST; k++) {
                    low = least[k] < low ? least[k] : low;
                    high = most[k] > high ? most[k] : high;
                    odd += strange[k];
                }
            }
            for (; n < count; n++) {
                low = part[n] < low ? part[n] : low;
                high = part[n] > high ? part[n] : high;
                odd += part[n] * 0.0;
            }
            *lows = low + odd; /* of zero, or not a number */
            *highs = high + odd;
        }
}

/* How much rows bend: of each CELL of frames the highest second difference, by size, and the mean size of every fourth. Reads
 * two samples beyond the last cell. */
#define CELL 256 /* as in stems/intake/breaks.py */
HOT void stemwright_bends(const double *rows, ptrdiff_t channels, ptrdiff_t frames, ptrdiff_t cells, double *highest,
                          double *usual)
{
    for (ptrdiff_t cell = 0; cell < channels * cells; cell++) {
        const double *row = rows + cell / cells * frames + cell % cells * CELL;
        double bend[CELL], most[ABREAST] = {0.0}, sums[2] = {0.0}, high = 0.0;
        for (ptrdiff_t n = 0; n < CELL; n++)
            bend[n] = fabs(row[n + 2] + row[n] - row[n + 1] - row[n + 1]);
        for (ptrdiff_t n = 0; n < CELL; n += ABREAST)
            for (int k = 0; k < ABREAST; k++)
                most[k] = bend[n + k] > most[k] ? bend[n + k] : most[k];
        for (ptrdiff_t n = 0; n < CELL; n += 8) {
            sums[0] += bend[n];
            sums[1] += bend[n + 4];
        }
        for (int k = 0; k < ABREAST; k++)
            high = most[k] > high ? most[k] : high;
        highest[cell] = high;
        usual[cell] = (sums[0] + sums[1]) / (CELL / 4);
    }
}

/* Means over all channels and `width` frames, from the start of the rows; what is left over is not read. */
HOT void stemwright_folded(const double *rows, ptrdiff_t channels, ptrdiff_t frames, ptrdiff_t width, double *out)
{
    const ptrdiff_t count = frames / width;
    const double share = 1.0 / (double)(width * channels);
    for (ptrdiff_t n = 0; n < count; n++) {
        double sums[4] = {0.0}; /* one alone would wait for itself at every sample */
        for (ptrdiff_t channel = 0; channel < channels; channel++) {
            const double *part = rows + channel * frames + n * width;
            ptrdiff_t k = 0;
            for (; k + 4 <= width; k += 4)
                for (int lane4 = 0; lane4 < 4; lane4++)
                    sums[lane4] += part[k + lane4];
            for (; k < width; k++)
                sums[0] += part[k];
        }
        out[n] = (sums[0] + sums[1] + sums[2] + sums[3]) * share;
    }
}

/* Every fourth mean of 16 frames that `taps` weigh; reads 12 frames beyond the last four. Summed as numpy's product sums. */
#define QUIET_TAPS 16 /* as in stems/intake/quiet.py, and the three below */
#define QUIET_STEP 4
HOT void stemwright_lowered(const double *frames, ptrdiff_t count, const double *taps, double *out)
{
    for (ptrdiff_t n = 0; n < count; n++, frames += QUIET_STEP) {
        double sum = 0.0;
        for (int k = 0; k < QUIET_TAPS; k++)
            sum += frames[k] * taps[k];
        out[n] = sum;
    }
}

/* The sum of some numbers as numpy adds them: halves of halves, and eight sums in each. */
static double pairwise_sum(const double *from, ptrdiff_t count)
{
    if (count > 128) {
        const ptrdiff_t half = count / 2 / 8 * 8;
        return pairwise_sum(from, half) + pairwise_sum(from + half, count - half);
    }
    double sums[8] = {from[0], from[1], from[2], from[3], from[4], from[5], from[6], from[7]};
    ptrdiff_t n = 8;
    for (; n + 8 <= count; n += 8)
        for (int k = 0; k < 8; k++)
            sums[k] += from[n + k];
    double sum = ((sums[0] + sums[1]) + (sums[2] + sums[3])) + ((sums[4] + sums[5]) + (sums[6] + sums[7]));
    for (; n < count; n++)
        sum += from[n];
    return sum;
}

/* The variances of windows of so many frames, a HOP apart. */
#define QUIET_LENGTH 800
#define QUIET_HOP 200
HOT void stemwright_variances(const double *frames, ptrdiff_t windows, double *out)
{
    for (ptrdiff_t window = 0; window < windows; window++, frames += QUIET_HOP) {
        double squares[QUIET_LENGTH];
        const double mean = pairwise_sum(frames, QUIET_LENGTH) / QUIET_LENGTH;
        for (int n = 0; n < QUIET_LENGTH; n++) {
            const double off = frames[n] - mean;
            squares[n] = off * off;
        }
        out[window] = pairwise_sum(squares, QUIET_LENGTH) / QUIET_LENGTH;
    }
}

/* Frames of so many samples from every start on, times a window, channel after channel. */
HOT void stemwright_windowed(const float *rows, ptrdiff_t channels, ptrdiff_t length, const int64_t *starts, ptrdiff_t frames,
                             const float *window, ptrdiff_t size, float *out)
{
    for (ptrdiff_t channel = 0; channel < channels; channel++)
        for (ptrdiff_t frame = 0; frame < frames; frame++, out += size) {
            const float *from = rows + channel * length + starts[frame];
            for (ptrdiff_t n = 0; n < size; n++)
                out[n] = from[n] * window[n];
        }
}

/* The sum of numbers as numpy's reduceat adds them: the first one, and the sum of the others. */
static double reduced(const double *from, ptrdiff_t count)
{
    if (count == 1)
        return from[0];
    if (count > 8)
        return from[0] + pairwise_sum(from + 1, count - 1);
    double sum = from[1];
    for (ptrdiff_t n = 2; n < count; n++)
        sum += from[n];
    return from[0] + sum;
}

/* What lies in each band of spectra (real and imaginary in turn), all channels added: the bins of one band stand together in
 * `bins`, from `firsts` on, each with the share of it that counts. `power` is room for one spectrum, `products` for all bins. */
HOT void stemwright_in_bands(const float *spectra, ptrdiff_t channels, ptrdiff_t frames, ptrdiff_t length, const int64_t *bins,
                             const double *shares, ptrdiff_t count, const int64_t *firsts, ptrdiff_t bands, float *power,
                             double *products, double *out)
{
    const ptrdiff_t highest = 2 * (bins[count - 1] + 1);
    for (ptrdiff_t frame = 0; frame < frames; frame++, out += bands) {
        for (ptrdiff_t channel = 0; channel < channels; channel++) {
            const float *from = spectra + 2 * (channel * frames + frame) * length;
            if (channel == 0)
                for (ptrdiff_t n = 0; n < highest; n++)
                    power[n] = from[n] * from[n];
            else
                for (ptrdiff_t n = 0; n < highest; n++)
                    power[n] += from[n] * from[n];
        }
        for (ptrdiff_t n = 0; n < highest / 2; n++)
            power[n] = power[2 * n] + power[2 * n + 1];
        for (ptrdiff_t n = 0; n < count; n++)
            products[n] = power[bins[n]] * shares[n];
        for (ptrdiff_t band = 0; band < bands; band++) {
            const ptrdiff_t first = firsts[band], end = band + 1 < bands ? firsts[band + 1] : count;
            out[band] = reduced(products + first, end - first);
        }
    }
}
