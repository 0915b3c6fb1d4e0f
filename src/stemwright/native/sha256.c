/* Two SHA-256 at once (FIPS 180-4), on x86 processors with instructions for it: one alone waits for its own last round most of
 * the time, so that a second one beside it costs next to nothing. Elsewhere nothing is here, and hashlib does the work.
 */
#include <stddef.h>
#include <stdint.h>

#if defined(_WIN32)
#define EXPORT __declspec(dllexport)
#else
#define EXPORT __attribute__((visibility("default")))
#endif

#if defined(__GNUC__) && defined(__x86_64__)
#include <cpuid.h>
#include <immintrin.h>

#define WITH_SHA __attribute__((target("sha,sse4.1")))
#define INLINE static inline __attribute__((always_inline))
#define STEP 64 /* bytes that are hashed at once */

static const uint32_t ROUND[64] __attribute__((aligned(16))) = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5, 0xd807aa98, 0x12835b01,
    0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174, 0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc,
    0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da, 0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147,
    0x06ca6351, 0x14292967, 0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070, 0x19a4c116, 0x1e376c08,
    0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3, 0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208,
    0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
};

/* Hashes `steps` of STEP bytes into each of `lanes` states of eight words. The processor holds a state as A B E F and C D G H. */
WITH_SHA INLINE void hash(const int lanes, uint32_t *states, const uint8_t **bytes, ptrdiff_t steps)
{
    const __m128i big_endian = _mm_set_epi64x(0x0c0d0e0f08090a0b, 0x0405060700010203);
    __m128i abef[2], cdgh[2];
    for (int n = 0; n < lanes; n++) {
        const __m128i badc = _mm_shuffle_epi32(_mm_loadu_si128((const __m128i *)(states + 8 * n)), 0xB1);
        const __m128i hgfe = _mm_shuffle_epi32(_mm_loadu_si128((const __m128i *)(states + 8 * n + 4)), 0x1B);
        abef[n] = _mm_alignr_epi8(badc, hgfe, 8);
        cdgh[n] = _mm_blend_epi16(hgfe, badc, 0xF0);
    }
    for (; steps > 0; steps--) {
        __m128i words[2][4], first[2], second[2];
        for (int n = 0; n < lanes; n++) {
            first[n] = abef[n], second[n] = cdgh[n];
            for (int k = 0; k < 4; k++)
                words[n][k] = _mm_shuffle_epi8(_mm_loadu_si128((const __m128i *)(bytes[n] + 16 * k)), big_endian);
            bytes[n] += STEP;
        }
#pragma GCC unroll 16
        for (int four = 0; four < 16; four++)
            for (int n = 0; n < lanes; n++) {
                __m128i *now = &words[n][four & 3];
                const __m128i next = words[n][(four + 1) & 3], third = words[n][(four + 2) & 3], last = words[n][(four + 3) & 3];
                const __m128i sum = _mm_add_epi32(*now, _mm_load_si128((const __m128i *)(ROUND + 4 * four)));
                cdgh[n] = _mm_sha256rnds2_epu32(cdgh[n], abef[n], sum);
                abef[n] = _mm_sha256rnds2_epu32(abef[n], cdgh[n], _mm_shuffle_epi32(sum, 0x0E));
                if (four < 12)
                    *now = _mm_sha256msg2_epu32(
                        _mm_add_epi32(_mm_sha256msg1_epu32(*now, next), _mm_alignr_epi8(last, third, 4)), last);
            }
        for (int n = 0; n < lanes; n++)
            abef[n] = _mm_add_epi32(abef[n], first[n]), cdgh[n] = _mm_add_epi32(cdgh[n], second[n]);
    }
    for (int n = 0; n < lanes; n++) {
        const __m128i feba = _mm_shuffle_epi32(abef[n], 0x1B), dchg = _mm_shuffle_epi32(cdgh[n], 0xB1);
        _mm_storeu_si128((__m128i *)(states + 8 * n), _mm_blend_epi16(feba, dchg, 0xF0));
        _mm_storeu_si128((__m128i *)(states + 8 * n + 4), _mm_alignr_epi8(dchg, feba, 8));
    }
}

/* Hashes whole steps of two messages, each into its own state: side by side as far as both go, then what is left of the longer. */
EXPORT WITH_SHA void stemwright_hash_pair(uint32_t *states, const uint8_t *one, ptrdiff_t ones, const uint8_t *other,
                                          ptrdiff_t others)
{
    const uint8_t *bytes[2] = {one, other};
    const ptrdiff_t both = ones < others ? ones : others;
    hash(2, states, bytes, both);
    hash(1, states, bytes, ones - both);
    hash(1, states + 8, bytes + 1, others - both);
}

/* Whether the processor has what the above is made of. */
EXPORT int stemwright_hashes_pairs(void)
{
    unsigned int a, b, c, d;
    if (!__get_cpuid(1, &a, &b, &c, &d) || !(c & bit_SSE4_1) || !(c & bit_SSSE3))
        return 0;
    return __get_cpuid_count(7, 0, &a, &b, &c, &d) && (b & (1u << 29)); /* SHA */
}
#else
EXPORT void stemwright_hash_pair(uint32_t *states, const uint8_t *one, ptrdiff_t ones, const uint8_t *other, ptrdiff_t others)
{
    (void)states, (void)one, (void)ones, (void)other, (void)others;
}
EXPORT int stemwright_hashes_pairs(void) { return 0; }
#endif
