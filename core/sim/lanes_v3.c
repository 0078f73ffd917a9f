/* core/sim/lanes.c again, for the instruction set x86-64-v3: four draws at once. */
#include "core/base/cpu.h"

#if LW_HAS_LEVELS
#pragma GCC target("arch=x86-64-v3")
#define LW_LANES     4
#define LW_LANES_RUN lw_lanes_run_v3
#include "core/sim/lanes.c"
#endif
