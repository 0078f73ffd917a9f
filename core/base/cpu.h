/* core/base/cpu.h: which of the instruction sets that hot loops are compiled for this machine has.
 *
 * Computes  LW_CPU_V4 (x86-64-v4: registers of eight numbers), LW_CPU_V3 (x86-64-v3: of four), else LW_CPU_PLAIN. Asked of the
 *           processor itself, some microseconds: once per preparation. What is computed does not depend on the answer, only how
 *           fast.
 * Source    x86-64 psABI, "Micro-Architecture Levels"; Intel SDM volume 2, CPUID and XGETBV. */
#ifndef LW_CORE_BASE_CPU_H
#define LW_CORE_BASE_CPU_H

/* Compiled for several levels where the compiler chooses a function's instruction set by a pragma. */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define LW_HAS_LEVELS 1
#else
#define LW_HAS_LEVELS 0
#endif

typedef enum lw_cpu_level { LW_CPU_PLAIN = 0, LW_CPU_V3, LW_CPU_V4 } lw_cpu_level;

lw_cpu_level lw_cpu_level_of_machine(void);

#endif
