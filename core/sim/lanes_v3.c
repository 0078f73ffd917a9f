/* core/sim/lanes.c again, for the instruction set x86-64-v3. */
#include "core/base/cpu.h"

#if LW_HAS_LEVELS
#pragma GCC target("arch=x86-64-v3")
#define LW_LANES_RUN lw_lanes_run_v3
#include "core/sim/lanes.c"
#endif
