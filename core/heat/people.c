#include "core/heat/people.h"

#include <stddef.h>

static const double CHILD_FRAC = 0.67;
static const double VAPOUR_JPG = 2450.0; /* heat of evaporation near skin temperature */

static double counted(double heads)
{
    return heads > 0.0 ? heads : 0.0;
}

lw_body_heat lw_people_heat(const lw_heads *heads, lw_body_state activity)
{
    static const struct {
        double sensible_w, latent_w, dog_sensible_w, dog_latent_w;
    } row[LW_BODY_STATE_COUNT] = {
        [LW_BODY_ASLEEP] = {52.0, 25.0, 22.0, 10.0},
        [LW_BODY_AT_REST] = {72.0, 31.0, 30.0, 18.0},
        [LW_BODY_AT_DESK] = {72.0, 45.0, 30.0, 18.0},
    };
    const size_t i = (size_t)activity < LW_BODY_STATE_COUNT ? (size_t)activity : LW_BODY_AT_REST;
    const double persons = counted(heads->adults) + CHILD_FRAC * counted(heads->children);
    const double dogs = counted(heads->dogs);
    const double latent_w = persons * row[i].latent_w + dogs * row[i].dog_latent_w;
    return (lw_body_heat){
        .sensible_w = persons * row[i].sensible_w + dogs * row[i].dog_sensible_w,
        .latent_w = latent_w,
        .vapour_gph = latent_w * 3600.0 / VAPOUR_JPG,
    };
}
