/* core/sim/context_internal.h: what all draws share, prepared once per place, dates and rig. Stays inside core/sim. */
#ifndef LW_CORE_SIM_CONTEXT_INTERNAL_H
#define LW_CORE_SIM_CONTEXT_INTERNAL_H

#include "core/heat/furnace.h"
#include "core/power/battery.h"
#include "core/power/charger.h"
#include "core/power/controller.h"
#include "core/power/generator.h"
#include "core/power/inverter.h"
#include "core/sim/outlook.h"
#include "core/sky/snow_cover.h"
#include "core/sky/sun_table.h"

/* A bank's temperature follows its compartment with this lag: 30-60 kg of lead or cells in still air, from memory. */
#define LW_BATTERY_LAG_H 6.0

enum { LW_CHAIN = 8 }; /* vessels one use can reach, in order of use */

/* An effect of a use with its supply resolved to vessels. */
typedef enum lw_link_kind {
    LW_LINK_DRAW = 0,
    LW_LINK_PUT,
    LW_LINK_OUTDOORS,
    LW_LINK_GONE,
} lw_link_kind;

typedef struct lw_link {
    double amount; /* a unit; never negative */
    uint8_t kind, supply, count;
    uint8_t vessel[LW_CHAIN];
    double limit[LW_CHAIN]; /* the level this use may draw down, or fill up, each vessel to */
    int16_t moved, lent;    /* flows; -1: none, as for a filter cartridge, whose litres are a count and no water */
} lw_link;

typedef struct lw_chore {
    lw_link link[LW_EFFECTS];
    double pumped_l, hot_l, gas_wh, dc_wh; /* a unit */
    double body_l;                         /* what people add themselves: put into black without a draw */
    uint32_t supplies;                     /* bit per supply that a link reaches */
    uint8_t link_count, group;
    uint8_t needs_pump, is_leisure_data, is_network, is_stopped_by_rubbish;
} lw_chore;

/* What the uses of one group move along one row of vessels, or just book: a step has one amount of each, in the order of
 * the uses, where doses would come one by one. */
enum { LW_STRANDS = LW_USES * (LW_EFFECTS + 1) };
typedef struct lw_strand {
    lw_link link; /* its amount is not read; without vessels: booked as `lent`, and that is all */
    uint8_t group, is_leisure_data;
} lw_strand;

typedef struct lw_pour {
    double amount; /* in the whole step, at factor 1 */
    int strand;
} lw_pour;

/* What the uses of one group ask of heat and pump in a step, at factor 1. */
typedef struct lw_need {
    double hot_l, gas_wh, pumped_l, uses_wh;
    int group;
} lw_need;

typedef struct lw_dose {
    double units; /* in the whole step */
    int chore;
} lw_dose;

/* One step as all draws see it. Powers are means over the step. */
typedef struct lw_hour {
    double air_c, wind_ms, dew_c;
    double dc_w[LW_CUTS];           /* scheduled loads by cut-off class */
    double dc_varied_w, dc_vital_w; /* their sums: what a draw varies, what it does not */
    double ac_w, ac_generator_w;
    double loads_inside_w; /* scheduled direct-current loads' heat in the cabin, all of them running */
    double ac_inside_w;    /* the same of alternating current */
    double people_w;
    double sun_gain_w; /* through glass and skin */
    double heat_set_c;
    double pumped_l; /* of the doses */
    double drive_w;
    double hot_l;              /* of the doses */
    double gas_wh;             /* cooking */
    double uses_wh;            /* electricity of the doses themselves, behind the pump\'s cut-off */
    double vital_ac_w;         /* of ac_w what a life hangs on */
    double panel_w[LW_ARRAYS]; /* of each array at its best point, as far as it stands out */
    double cell_c[LW_ARRAYS];
    int is_sun_on; /* some array makes power */
    int dose_first, dose_count;
    int pour_first, pour_count; /* of the same uses */
    int need_first, need_count;
    int transfer_first, transfer_count;
    uint8_t is_generator_allowed, is_generator_wanted, is_inverter_on, is_somebody_working;
    uint8_t is_somebody_in;           /* a person or an animal: warmth is kept for it, heat is told */
    uint8_t is_grown_in;              /* an adult or a teenager: opens windows, starts the generator, clears snow */
    uint8_t day;                      /* civil days since the first */
    uint16_t is_in;                   /* bit per person in camp, at least half of the step */
    uint8_t is_use_barred_by_rubbish; /* some use of the step stops when rubbish is kept in the shower */
    uint8_t snow_on;                  /* bit per array that lies mostly under snow */
    uint8_t wind_over;                /* bit per array, and LW_AWNING, whose limit of wind is passed */
    float snow_mm;                    /* on the arrays of snow_on, the deepest; as water */
    uint8_t vital_ac_wanted;          /* bit per vital load on alternating current that is on in this step */
} lw_hour;

/* A fan: runs by the cabin's temperature. */
typedef struct lw_dynamic_load {
    double watts, above_c, inside_frac;
    uint8_t cut, is_ac, with_generator_only;
} lw_dynamic_load;

/* Vessels of a supply in order of use. */
typedef struct lw_row {
    uint8_t count;
    uint8_t vessel[LW_VESSELS];
} lw_row;

struct lw_context {
    const lw_scenario *scenario;
    int64_t start_s;
    int steps_per_hour, steps, departure_step; /* departure_step: steps before departure; = steps when none is wished */
    int week_step;                             /* the first seven days, or the horizon */
    double step_h, per_step_h, per_step_s;     /* the latter two: 1 / hours, 1 / seconds */

    lw_battery battery;
    double nominal_frac; /* nominal voltage / 12 */
    lw_inverter_spec inverter;
    lw_charger_spec charger;
    lw_generator generator;
    lw_controller_spec controller[LW_ARRAYS];
    double sin_tilt[LW_ARRAYS];

    /* Cut-off classes, highest voltage first; vital loads in classes of their own at the end. */
    int cut_count;
    double cut_v[LW_CUTS];
    uint8_t cut_is_vital[LW_CUTS];
    uint8_t blower_cut, pump_cut, fridge_cut, system_cut;
    uint32_t network_cuts, alarm_cuts;
    uint8_t vital_cut[LW_VITALS];
    int vital_load[LW_VITALS];
    uint8_t vital_is_ac[LW_VITALS]; /* hangs on inverter and generator, not on a line of its own */
    int vital_count;

    double pad_w; /* heating pads that are an appliance, besides those of the bay itself */
    uint8_t has_pads, pad_cut, pad_is_ac, pad_needs_generator;
    lw_dynamic_load dynamic[LW_LOADS];
    int dynamic_count;

    lw_chore chore[LW_USES];
    lw_strand strand[LW_STRANDS];
    int strand_count;
    int16_t strand_of[LW_USES][LW_EFFECTS + 1]; /* of a chore's links; the last: of what people add themselves, or -1 */
    lw_row row[LW_SUPPLY_COUNT];
    double capacity[LW_SUPPLY_COUNT], per_capacity[LW_SUPPLY_COUNT]; /* the latter 0 where there is none */
    int has_work_data;           /* somebody needs data for work or school: leisure comes after */
    int shower_rubbish;          /* the vessel that stops showers, or -1 */
    uint8_t watched[LW_VESSELS]; /* vessels whose own end no lack of their supply tells */
    int watched_count;
    double end_mark[LW_VESSELS], end_sign[LW_VESSELS]; /* of each watched one: at its end where sign x level >= mark */
    double vessel_eps[LW_VESSELS];                     /* amounts below this are nothing: 1e-9 of capacity */

    double vital_low_c,
        vital_high_c; /* closest limits of people and animals who need the inside kept; infinite: none */
    double ua_wk, wind_wkpms, mass_jk;
    double decay_calm;        /* exp(-ua step / mass), used while the wind adds nothing */
    lw_furnace furnace;       /* input derated for the elevation */
    lw_bay_spec bay, odd_bay; /* odd: for stretches of any length */
    double battery_decay;     /* exp(-step / lag) of the battery's temperature */
    double water_input_w;     /* water heater, derated */
    lw_water_heater water_heater;
    uint8_t is_set_on_gas; /* the generator burns what the rig's burners do */

    const lw_state *start;   /* of a draw that goes on from what was learned; NULL: as the scenario has it */
    const float *use_factor; /* [day][group] of a draw; NULL: as the tables have it */

    lw_hour *hour;
    lw_dose *dose;
    lw_pour *pour;
    lw_need *need;
};

static inline const float *lw_factors_of(const lw_context *c, const lw_hour *hour)
{
    return c->use_factor ? c->use_factor + (size_t)LW_GROUP_COUNT * hour->day : NULL;
}

static inline double lw_factor_of(const float *factor, int group)
{
    return factor ? (double)factor[group] : 1.0;
}

static inline uint32_t lw_bit(int index)
{
    return UINT32_C(1) << (index & 31);
}

/* A class of loads is off. */
static inline int lw_is_cut(const lw_state *s, int k)
{
    return s->cut && (s->cut & lw_bit(k));
}

/* Flows of what a supply gives or takes, of what is lent to its own course, and of transfers. */
#define LW_NO_FLOW (-1)
typedef struct lw_flow_ids {
    int8_t moved, lent, transfer;
} lw_flow_ids;
lw_flow_ids lw_flow_ids_of(int supply);

/* The cut-off class of a load; classes must be made. */
int lw_load_class(const lw_context *context, const lw_load *load);

/* Light by the share of the clear sky that gets through, for draws of the weather: [what][knot][hour], knots and reading by
 * core/sky/light_table.h. What: the cabin's gain, then of each array what reaches its cells and all that falls on it,
 * weighted so that its mean warms the cells right. Steps of an hour. `memory` as for lw_prepare_hours. */
static inline int lw_light_count(const lw_context *context)
{
    return 1 + 2 * context->scenario->rig.array_count;
}
void lw_prepare_light(const lw_context *context, void *memory, float *light);

/* What reaches an array in an hour: through its glass, and all that warms its cells. */
typedef struct lw_array_light {
    double effective_wm2, total_wm2;
} lw_array_light;
/* Power and cells of an array in an hour under this light, snow and wind counted. */
void lw_array_hour(const lw_context *context, int array, int of_calendar, const lw_array_light *light, double snow_mm,
                   lw_hour *hour, lw_snow_cover *cover);

/* Snow and wind on an array in a step (array_weather.c): the share of its power that is left. snow_mm_ph: as water, an hour;
 * plane_wm2: on the array as if bare; of_calendar: the hour. Sets the hour's snow_on, snow_mm, wind_over. Steps in order. */
#define LW_LEAST_SNOW_MMPH 0.005 /* less of an hour's fall is the sleet in warm rain: it does not lie */
double lw_array_left_frac(const lw_context *c, int array, int of_calendar, double snow_mm_ph, double plane_wm2,
                          lw_hour *hour, lw_snow_cover *cover);
void lw_awning_wind(const lw_context *c, lw_hour *hour);

/* What heat and pump depend on, summed over the hour's doses; a draw's factors counted. */
void lw_sum_uses(const lw_context *context, lw_hour *hour);

/* Fills hour[] and dose[] (prepare_hours.c) for a context whose rig part is made (prepare.c). `memory` is of
 * lw_prepare_hours_bytes and free again afterwards. */
size_t lw_prepare_hours_bytes(int steps);
void lw_prepare_hours(lw_context *context, const lw_sun_table *sun, void *memory);

#endif
