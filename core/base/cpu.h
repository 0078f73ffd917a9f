/* core/base/cpu.h: whether this machine has the wide registers that hot loops are compiled for too.
 *
 * Computes  whether it is x86-64-v4 (registers of eight numbers). Asked of the processor itself, some microseconds: once per
 *           preparation. What is computed does not depend on the answer, only how fast.
 * Source    x86-64 psABI, "Micro-Architecture Levels"; Intel SDM volume 2, CPUID and XGETBV. */
#ifndef LW_CORE_BASE_CPU_H
#define LW_CORE_BASE_CPU_H

/* Compiled for both where the compiler chooses a function's instruction set by a pragma. */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define LW_HAS_LEVELS 1
#else
#define LW_HAS_LEVELS 0
#endif

int lw_cpu_is_v4(void);

#endif
