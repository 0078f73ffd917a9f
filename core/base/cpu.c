#include "core/base/cpu.h"

#if LW_HAS_LEVELS
#include <cpuid.h>
#include <stdint.h>

/* Bits of CPUID leaf 1 ecx (FMA, MOVBE, OSXSAVE, AVX, F16C), leaf 7 ebx, leaf 0x80000001 ecx (LZCNT). */
static const uint32_t V3_OF_1 = 1u << 12 | 1u << 22 | 1u << 27 | 1u << 28 | 1u << 29;
static const uint32_t V3_OF_7 = 1u << 3 | 1u << 5 | 1u << 8;                          /* BMI1, AVX2, BMI2 */
static const uint32_t V4_OF_7 = 1u << 16 | 1u << 17 | 1u << 28 | 1u << 30 | 1u << 31; /* AVX-512 F, DQ, CD, BW, VL */
static const uint32_t V3_OF_EXT = 1u << 5;
static const uint32_t SAVED_V3 = 0x06, SAVED_V4 = 0xe6; /* registers that the operating system keeps */

static uint32_t saved_registers(void)
{
    uint32_t low, high;
    __asm__ volatile("xgetbv" : "=a"(low), "=d"(high) : "c"(0));
    return low;
}

int lw_cpu_level(void)
{
    uint32_t a, b1, c1, d, b7, c, b, ext;
    if (!__get_cpuid(1, &a, &b1, &c1, &d) || (c1 & V3_OF_1) != V3_OF_1 || !__get_cpuid_count(7, 0, &a, &b7, &c, &d) ||
        (b7 & V3_OF_7) != V3_OF_7 || !__get_cpuid(0x80000001u, &a, &b, &ext, &d) || !(ext & V3_OF_EXT))
        return 0;
    const uint32_t saved = saved_registers();
    if ((b7 & V4_OF_7) == V4_OF_7 && (saved & SAVED_V4) == SAVED_V4)
        return 4;
    return (saved & SAVED_V3) == SAVED_V3 ? 3 : 0;
}
#else
int lw_cpu_level(void)
{
    return 0;
}
#endif
