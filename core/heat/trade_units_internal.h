/* core/heat/trade_units_internal.h: factors for tables that their source prints in US units.
 *
 * Such tables stand in the code as printed, so that they can be held beside their source; these macros turn them into
 * SI where they stand, in constant expressions. People's units are handled in core/base, not here.
 * Source    NIST SP 811: exact by definition (BTU: International Table). */
#ifndef LW_CORE_HEAT_TRADE_UNITS_INTERNAL_H
#define LW_CORE_HEAT_TRADE_UNITS_INTERNAL_H

#define LB_KG(lb)    ((lb)*0.45359237)
#define BTUH_W(btuh) ((btuh) * (1055.05585262 / 3600.0))
#define BTU_J(btu)   ((btu)*1055.05585262)
#define GAL_L(gal)   ((gal)*3.785411784)
#define FT_M(ft)     ((ft)*0.3048)
#define FT3_L(ft3)   ((ft3)*28.316846592)
#define DEGF_C(degf) (((degf)-32.0) / 1.8)
#define C_DEGF(c)    ((c)*1.8 + 32.0)
#define MPS_MPH(mps) ((mps) * (3600.0 / 1609.344))

#endif
