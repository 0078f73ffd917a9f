/* core/heat/people.h: what bodies give off.
 *
 * Computes  sensible and latent heat and vapour of people and dogs, asleep, at rest or at light work.
 * Inputs    head counts by kind.
 * Results   W; grams of vapour an hour. Only the sensible part warms the cabin; the latent part leaves as vapour.
 * Errors    none; counts below 0 or NaN count as 0.
 * Source    ASHRAE Fundamentals, people table: seated at rest 72 + 31 W, light desk work 72 + 45 (adults, 24 C
 *           room). Asleep 45-60 + 20-30 W (0.7 met; split practice), child x 0.6-0.75 (practice). Dog of 20 kg:
 *           from memory (some 32 W resting metabolism, half as much again awake). Vapour 40-60 g/h awake, 30-40
 *           asleep: here latent heat over 2.45 MJ/kg, which gives 46-66 and 37.
 * Limits    warm rooms shift sensible to latent; not followed. */
#ifndef LW_CORE_HEAT_PEOPLE_H
#define LW_CORE_HEAT_PEOPLE_H

typedef enum lw_body_state { LW_BODY_ASLEEP = 0, LW_BODY_AT_REST, LW_BODY_AT_DESK, LW_BODY_STATE_COUNT } lw_body_state;

typedef struct lw_heads {
    double adults, children, dogs; /* may be fractions: share of the step at home */
} lw_heads;

typedef struct lw_body_heat {
    double sensible_w, latent_w, vapour_gph;
} lw_body_heat;

lw_body_heat lw_people_heat(const lw_heads *heads, lw_body_state activity);

#endif
