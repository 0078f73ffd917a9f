/* core/base/cpu.h: which of the wide registers this machine has that hot loops are compiled for too.
 *
 * Computes  4 for x86-64-v4 (registers of eight numbers), 3 for x86-64-v3 (of four), 0 for anything less. Asked of the processor itself, some microseconds: once per
 *           preparation. What is computed does not depend on the answer, only how fast.
 * Source    x86-64 psABI, "Micro-Architecture Levels"; Intel SDM volume 2, CPUID and XGETBV. */
#ifndef LW_CORE_BASE_CPU_H
#define LW_CORE_BASE_CPU_H

/* Compiled for all of them where the compiler chooses a function's instruction set by a pragma. */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define LW_HAS_LEVELS 1
#else
#define LW_HAS_LEVELS 0
#endif

int lw_cpu_level(void);

#endif
