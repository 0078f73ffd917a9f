/* service/cargo.h: what a rig may carry, what is loaded anyway, and what supplies weigh.
 *
 * Inputs    a loaded scenario: rig.payload, rig.gear, rig.roof; what it does not say comes from its kind in data/rigs.csv and is
 *           listed in `assumption` with its source.
 * Results   lw_cargo: payload, gear and people in kg, free roof in m2. People ride in a rig that is driven or carried and count; in
 *           one that is towed they do not. Fuel in a driven rig's own tank is part of its empty weight and weighs nothing here.
 * Errors    those of the tables of data/.
 * Source    49 CFR 571.120 (what the payload label counts), 49 CFR 571.3 (unloaded weight includes the vehicle's own fuel);
 *           masses: data/masses.csv.
 * Limits    one sum, no axles: only a scale knows how it stands on them. */
#ifndef LW_SERVICE_CARGO_H
#define LW_SERVICE_CARGO_H

#include "exchange/scenario.h"

enum { LW_CARGO_ASSUMPTIONS = 3 };

typedef struct lw_cargo {
    double payload_kg, gear_kg, people_kg, roof_m2; /* NaN: not known */
    double supply_kg[LW_SUPPLY_COUNT];              /* of one of its unit */
    char supply_source[LW_SUPPLY_COUNT][96];        /* where that comes from; empty: it weighs nothing here */
    int has_people, is_driven;
    lw_assumption assumption[LW_CARGO_ASSUMPTIONS];
    int assumption_count;
} lw_cargo;

LW_MUST_USE lw_code lw_cargo_of(const lw_loaded *loaded, lw_cargo *cargo, lw_err *err);

/* "Weigh the rig as you travel ...": the caution that stands beside every sum of masses. */
extern const char lw_cargo_caution[];

#endif
