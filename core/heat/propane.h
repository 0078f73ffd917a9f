/* core/heat/propane.h: what is in a cylinder, and how fast it can give gas.
 *
 * Computes  heat content, volume, vapour pressure, boiling point, legal fill, and the power at which cold liquid still
 *           vaporises as fast as it is drawn.
 * Inputs    kilograms, degrees Celsius (-60..80 for pressure), kilograms of water capacity.
 * Results   see each function. Kilograms are the store; volumes are made from them once (trap: 91,500 BTU/gal and 4.2
 *           lb/gal do not give 21,548 BTU/lb, 4.24 lb/gal does within 0.2 %).
 * Errors    LW_E_RANGE from the checks; all else is total.
 * Source    heat and density: LP-gas property table reprinted from NFPA 58 (1998) material. Vapour pressure, pure
 *           liquid density, boiling point: Lemmon, McLinden, Wagner, J. Chem. Eng. Data 54 (2009) 3141, ancillary
 *           equations (density coefficients from memory, held to the published check values). Fill: 49 CFR 173.304a(d)
 *           and NFPA 58. Vaporisation: LP-gas trade table for upright cylinders, widely reprinted.
 *           At 60 F 42 % by mass is 82.7 % of the volume: a stop-fill valve shuts some 3 % sooner.
 * Limits    pure propane: commercial gas has up to 25 % more pressure at -18 C. The table is for continuous draw from
 *           an upright 100-lb cylinder; smaller ones are within 7 % at equal liquid (geometry); frost lowers it, wind
 *           raises it. Outside the table it is continued so that it never promises more: to zero at no liquid and at
 *           -40 C (gauge pressure 10 kPa: nothing left for a regulator), constant above 100 lb and 70 F. */
#ifndef LW_CORE_HEAT_PROPANE_H
#define LW_CORE_HEAT_PROPANE_H

#include "core/base/err.h"

#define LW_PROPANE_HHV_JPKG         50.120648e6 /* 21,548 BTU/lb */
#define LW_PROPANE_HHV_JPL          25.503096e6 /* 91,502 BTU/gal */
#define LW_PROPANE_KGPL             0.508064    /* 4.24 lb/gal at 60 F */
#define LW_PROPANE_FILL_VOLUME_FRAC 0.80        /* NFPA 58: of the water capacity, by gauge or stop-fill valve */
#define LW_PROPANE_FILL_MASS_FRAC   0.42        /* 49 CFR 173.304a(d): of the water capacity's mass */
#define LW_PROPANE_WATER_KGPKG      1.634201    /* C3H8 + 5 O2 -> 3 CO2 + 4 H2O, IUPAC masses */
#define LW_PROPANE_AIR_KGPKG        15.67996    /* the same, air with 23.14 % oxygen by mass */

typedef struct lw_propane_out {
    double vapour_pa;       /* absolute */
    double vapour_gauge_pa; /* above the ambient pressure given */
    double liquid_kgpl;     /* pure, saturated */
} lw_propane_out;

typedef struct lw_cylinder_out {
    double fill_kg;  /* legal fill */
    double volume_l; /* of that liquid at 60 F */
    double heat_j;   /* by mass, as everything in the engine */
    double gauge_l;  /* where the stop-fill valve closes: 80 % of the volume */
} lw_cylinder_out;

LW_MUST_USE lw_code lw_propane_check(double liquid_c, double ambient_pa, lw_fault *fault);
void lw_propane(double liquid_c, double ambient_pa, lw_propane_out *out);
double lw_propane_boiling_c(double pressure_pa); /* 5 kPa..4 MPa, clamped */

LW_MUST_USE lw_code lw_cylinder_check(double water_capacity_kg, lw_fault *fault);
void lw_cylinder(double water_capacity_kg, lw_cylinder_out *out);

/* Share of a tank's volume allowed as liquid when gauged warm or cold: filling density / (specific gravity at 60 F x
 * volume correction to 60 F), 29 CFR 1910.110(b)(19)(v)(d). */
double lw_propane_liquid_limit_frac(double filling_density_frac, double gravity, double correction);

/* Most power (HHV of the gas drawn) one upright cylinder sustains. Several open ones add. */
double lw_propane_vapour_limit_w(double liquid_kg, double air_c);
/* The same never less than this, at a glance: 0 says nothing. */
double lw_propane_vapour_surely_w(double liquid_kg, double air_c);
/* What that glance is made of: most_w of the last row whose from_c is reached, in proportion to the liquid below below_kg. */
enum { LW_PROPANE_SURE_ROWS = 3 };
typedef struct lw_propane_sure {
    double from_c[LW_PROPANE_SURE_ROWS], most_w[LW_PROPANE_SURE_ROWS];
    double below_kg, per_kg, rounding_frac;
} lw_propane_sure;
lw_propane_sure lw_propane_sure_of(void);
double lw_propane_vapour_limits_w(const double *liquid_kg, size_t count, double air_c);

#endif
