/* core/sim/lanes_internal.h: draws side by side. Stays inside core/sim.
 *
 * As many draws as there are lanes go through the same hours together. An hour in which nothing ends, switches or has to be
 * told is worked out for all of them at once, each lane by just the operations that lw_step would do for it alone; a lane for
 * which that does not hold takes that hour by itself through lw_run_steps. So every draw has the same bytes with any number of
 * lanes. */
#ifndef LW_CORE_SIM_LANES_INTERNAL_H
#define LW_CORE_SIM_LANES_INTERNAL_H

#include "core/base/lanes.h"
#include "core/sim/course_internal.h"
#include "core/sim/ensemble.h"

enum {
    LW_MOST_LANES = 8,   /* what memory is laid out for; code compiled for registers of four numbers uses half of it */
    LW_LANE_QUARTERS = 4 /* of an hour in which the battery's wells are slow */
};

/* Of an hour what differs from draw to draw. */
typedef struct lw_lane_hour {
    double air_c[LW_MOST_LANES], wind_ms[LW_MOST_LANES], sun_gain_w[LW_MOST_LANES];
    double hot_l[LW_MOST_LANES], gas_wh[LW_MOST_LANES], pumped_l[LW_MOST_LANES], uses_wh[LW_MOST_LANES];
    double panel_w[LW_ARRAYS][LW_MOST_LANES], cell_c[LW_ARRAYS][LW_MOST_LANES];
    double dew_c[LW_MOST_LANES];
    float snow_mm[LW_MOST_LANES];
    uint8_t snow_on[LW_MOST_LANES], wind_over[LW_MOST_LANES];
    uint8_t is_odd; /* something lies or blows in some lane */
} lw_lane_hour;

/* lw_state of all lanes, but for what only a lane alone changes (off_h; of cut whether there is any). */
typedef struct lw_lane_state {
    double level[LW_VESSELS][LW_MOST_LANES];
    double battery_q1_ah[LW_MOST_LANES], battery_q2_ah[LW_MOST_LANES], battery_c[LW_MOST_LANES];
    double cabin_c[LW_MOST_LANES], bay_c[LW_MOST_LANES], water_deficit_j[LW_MOST_LANES];
    double rubbish_age_frac[LW_MOST_LANES], fridge_warm_h[LW_MOST_LANES], freeze_valve_h[LW_MOST_LANES],
        freeze_pipe_h[LW_MOST_LANES];
    int64_t is_generator_on[LW_MOST_LANES], is_cut[LW_MOST_LANES]; /* is_cut: some class of loads is off */
} lw_lane_state;

/* What of a course the hours add to, or have to know to tell that nothing new happened. */
typedef struct lw_lane_course {
    double gas_asked_kg[LW_MOST_LANES], panels_wh[LW_MOST_LANES], inside_low_c[LW_MOST_LANES],
        inside_high_c[LW_MOST_LANES];
    int64_t ended_supplies[LW_MOST_LANES], ended_vessels[LW_MOST_LANES],
        known_vessels[LW_MOST_LANES]; /* last: vessel_end_h is known */
    int64_t has_leisure_end[LW_MOST_LANES], has_battery_end[LW_MOST_LANES], has_age_end[LW_MOST_LANES];
    int64_t kinds_on[LW_MOST_LANES],
        supply_on[LW_MOST_LANES]; /* kinds of events in force; is_on[LW_EVENT_SUPPLY_END] */
} lw_lane_course;

typedef struct lw_lanes {
    lw_context context; /* the shared one; while a lane goes alone, with that lane's figures and hour */
    double ua_wk[LW_MOST_LANES], wind_wkpms[LW_MOST_LANES], decay_calm[LW_MOST_LANES];
    double factor_of[LW_DAYS + 2][LW_GROUP_COUNT][LW_MOST_LANES];
    float factor[LW_MOST_LANES][LW_DAYS + 2][LW_GROUP_COUNT];
    const lw_state *start[LW_MOST_LANES];
    /* Drawn weather: days of each lane, light by [what][hour][knot]; frame NULL: the hours are made. */
    const lw_weather_frame *frame;
    const float *light;
    const uint8_t *is_lit;
    double tmin_c[LW_WEATHER_DAYS][LW_MOST_LANES], tmax_c[LW_WEATHER_DAYS][LW_MOST_LANES],
        clear_frac[LW_WEATHER_DAYS][LW_MOST_LANES], wind_ms[LW_WEATHER_DAYS][LW_MOST_LANES],
        snow_mmph[LW_WEATHER_DAYS][LW_MOST_LANES];
    int count, joint_last; /* draws in the lanes; joint_last as for lw_run_both */
    int is_own_alone;      /* the own course to the horizon, and nothing told */
    int is_one_by_one;     /* every lane goes alone all the way: what the others are held to */
    int64_t parting[LW_MOST_LANES], last[LW_MOST_LANES];
    double highest_floor_ah;
    lw_kibam_phase quarter[LW_LANE_QUARTERS - 1]; /* of the battery's wells: one, two, three quarters of an hour */
    lw_lane_state at;
    lw_lane_course sum;
    lw_state state[LW_MOST_LANES];       /* of lanes; between hours only off_h and cut are kept here */
    lw_state joint_start[LW_MOST_LANES]; /* where the courses part */
    lw_course own[LW_MOST_LANES], joint[LW_MOST_LANES];
    uint8_t bin[LW_SUPPLY_COUNT][LW_MARKS][LW_MOST_LANES]; /* of a level at each mark; of supplies that are there */
    lw_lane_hour *lane_hour;
} lw_lanes;

/* The context and the hour are this lane's. */
static inline void lw_lane_put(lw_lanes *x, int l, int step)
{
    lw_context *c = &x->context;
    const lw_lane_hour *from = &x->lane_hour[step];
    lw_hour *hour = &c->hour[step];
    c->ua_wk = x->ua_wk[l], c->wind_wkpms = x->wind_wkpms[l], c->decay_calm = x->decay_calm[l];
    c->use_factor = &x->factor[l][0][0];
    c->start = x->start[l];
    hour->air_c = from->air_c[l], hour->wind_ms = from->wind_ms[l], hour->dew_c = from->dew_c[l];
    hour->sun_gain_w = from->sun_gain_w[l];
    hour->hot_l = from->hot_l[l], hour->gas_wh = from->gas_wh[l];
    hour->pumped_l = from->pumped_l[l], hour->uses_wh = from->uses_wh[l];
    hour->is_sun_on = 0;
    for (int a = 0; a < c->scenario->rig.array_count; a++) {
        hour->panel_w[a] = from->panel_w[a][l], hour->cell_c[a] = from->cell_c[a][l];
        hour->is_sun_on |= hour->panel_w[a] > 0.0;
    }
    hour->snow_on = from->snow_on[l], hour->wind_over = from->wind_over[l], hour->snow_mm = from->snow_mm[l];
}

/* Both courses of all lanes, as lw_run_both without flows; the same compiled for several instruction sets (core/base/cpu.h). */
void lw_lanes_run_plain(lw_lanes *x);
void lw_lanes_run_v3(lw_lanes *x); /* four draws at most */
void lw_lanes_run_v4(lw_lanes *x);

#endif
