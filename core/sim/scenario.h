/* core/sim/scenario.h: everything the engine is told: rig, crew, place, stay, weather.
 *
 * Plain data in SI and UTC, filled by whoever reads a file or a form, checked once by lw_scenario_check, never written by
 * the engine. Arrays have a stated largest size so that the core never allocates.
 * Weekly masks and the units of supplies: core/base/words.h; people and habits: core/house/crew.h. */
#ifndef LW_CORE_SIM_SCENARIO_H
#define LW_CORE_SIM_SCENARIO_H

#include <stdint.h>

#include "core/base/err.h"
#include "core/base/words.h"
#include "core/heat/freeze.h"
#include "core/heat/fridge.h"
#include "core/heat/water_heater.h"
#include "core/house/crew.h"
#include "core/power/battery.h"

enum {
    LW_ARRAYS = 4,
    LW_LOADS = 40,
    LW_TRANSFERS = 192,         /* that happened or are told */
    LW_TRANSFERS_PLANNED = 448, /* with those of a plan */
    LW_CUTS = 8,                /* different cut-off voltages in one rig */
    LW_WINDOWS = 96,            /* of the generator, on named dates */
    LW_VITALS = 4,
    LW_HORIZON_POINTS = 360,
    LW_AWNING = LW_ARRAYS, /* index of the awning where arrays are counted */
    LW_DAYS = 62,          /* longest horizon simulated, with a margin for the civil days it touches */
    LW_HOURS = LW_DAYS * 24,
};

typedef enum lw_potable { LW_POTABLE_YES = 0, LW_POTABLE_NO, LW_POTABLE_UNKNOWN } lw_potable;

typedef struct lw_vessel {
    char name[LW_NAME];
    lw_supply supply;
    int order; /* vessels of one supply are used lowest first; equal ones together (two open cylinders) */
    double capacity, level;
    double
        unusable; /* EMPTIES: bottom that cannot be drawn, or the reserve that must stay; FILLS: room that must stay */
    double residue;         /* FILLS: what stays in after it was emptied */
    unsigned fixtures;      /* bit per lw_fixture fed from it (fresh) or draining into it (grey, black); 0 = every one;
                        * a black tank that names kitchen, basin or shower takes their water too where no grey does */
    lw_potable potable;     /* fresh, drinking */
    lw_rubbish_place place; /* rubbish */
    double work_reserve;    /* data: what leisure cannot spend */
    double filter_life_l;   /* drinking drawn from fresh: litres the cartridge is good for; 0 = not a filter */
    char owner[LW_NAME];    /* empty: ours; otherwise whose rig lends it */
} lw_vessel;

/* A change of a vessel at a stated time: a run, a gift, a dump, a plan's renewal date. */
typedef enum lw_transfer_kind {
    LW_TRANSFER_FILL = 0, /* EMPTIES: to capacity */
    LW_TRANSFER_EMPTY,    /* FILLS: down to its residue */
    LW_TRANSFER_ADD,      /* amount in (negative: out), clipped to what fits; the rest is said */
} lw_transfer_kind;
typedef struct lw_transfer {
    int64_t at_s;
    int vessel;
    lw_transfer_kind kind;
    double amount;
    lw_potable potable; /* fresh water: what came in */
    int is_as_tank;     /* that was not said: it is taken to be as what the tank holds */
    char why[LW_NAME];  /* "run to town", "renewal", "neighbour" */
} lw_transfer;

typedef enum lw_supply_kind { LW_POWER_DC = 0, LW_POWER_AC } lw_supply_kind;
typedef enum lw_load_rhythm {
    LW_LOAD_ALWAYS = 0,
    LW_LOAD_WEEKLY,  /* by mask */
    LW_LOAD_PRESENT, /* by mask, while anybody is in camp */
    LW_LOAD_WORK,    /* while `person` works (-1: anybody); scaled by the number working if person is -1 */
    LW_LOAD_SCHOOL,
    LW_LOAD_DARK,      /* by mask, while the sun is down and anybody is there */
    LW_LOAD_BAY_COLD,  /* heating pads: warm the tank bay as its own pads do, by need */
    LW_LOAD_CABIN_HOT, /* fans: while the cabin is above `above_c` */
} lw_load_rhythm;

typedef struct lw_load {
    char name[LW_NAME];
    lw_supply_kind power;
    double watts;     /* while on */
    double duty_frac; /* share of the time it is on within its hours */
    lw_load_rhythm rhythm;
    uint32_t hours[7];
    int person;
    double above_c;
    double
        cut_v; /* 12 V consumers stop below this at their terminals, scaled by the bank's nominal / 12; 0 = with the bank's own cut-out */
    int with_generator_only;
    int is_vital;       /* breathing device, medicine fridge: served first, on its own line */
    int is_network;     /* router, booster, dish: no power, no data */
    int is_alarm;       /* gas and smoke alarms: their end is a warning of its own */
    double inside_frac; /* share of its energy that stays in the cabin as heat */
    lw_group group;     /* DEVICES as a rule */
} lw_load;

typedef struct lw_array {
    char name[LW_NAME];
    double rated_w;
    double tilt_deg, azimuth_deg;   /* flat = 0; azimuth from north clockwise */
    int mount;                      /* lw_mount of core/power/cell.h */
    double gamma_perk;              /* power coefficient, about -0.0035 */
    int controller;                 /* lw_controller of core/power/controller.h */
    double vmp_v, vmp_v_frac_per_k; /* at 25 C, and its coefficient (negative) */
    double wiring_frac, soiling_frac;
    double shade_frac;     /* tree shade on beam and circumsolar, 0..1, on top of the place's */
    int moves_a_day;       /* portable: turned by hand this often, -1 = fixed */
    uint32_t out[7];       /* hours it stands out; all ones for a fixed array */
    int is_snow_cleared;   /* each morning, by a grown-up in camp; otherwise snow lies until it slides or melts */
    double wind_limit_ms;  /* the owner's, of the mean wind; 0: none set */
    int is_stowed_in_wind; /* above the limit, while a grown-up is in camp: it gives nothing then */
} lw_array;

typedef struct lw_generator_use {
    int is_present;
    double rated_w;
    int fuel; /* lw_engine_fuel of core/power/generator.h; LPG draws propane vessels */
    double none_lph, slope_lpkwh;
    int derate_rule;
    int is_automatic;             /* starts and stops by the battery's state of charge */
    double start_frac, stop_frac; /* of capacity */
    uint32_t run[7];              /* hours it is run anyway */
    uint32_t allowed[7];          /* quiet hours are the gaps */
    lw_span window[LW_WINDOWS];   /* on named dates: it runs in them, within the allowed hours */
    int window_count;
    int runs_for_cooling;
} lw_generator_use;

typedef struct lw_charger_use {
    double rated_a, efficiency_frac, power_factor;
} lw_charger_use;

typedef struct lw_drive_charge {
    double rated_a;          /* DC-DC from the alternator */
    lw_span drive[LW_SPANS]; /* when the rig itself is driven */
    int drive_count;
} lw_drive_charge;

typedef struct lw_inverter_use {
    int is_present;
    double rated_w, idle_w, efficiency_frac;
    uint32_t on[7]; /* hours it is switched on; idle draw counts then */
} lw_inverter_use;

typedef struct lw_cabin_use {
    double ua_wk;      /* conductance with shut vents in calm air */
    double wind_wkpms; /* more of it a metre a second of wind */
    double mass_jk;
    double glass_m2;               /* sun area of bare glass, by its transmitted share */
    double skin_m2;                /* roof and sunlit wall by its absorbed share that gets inside */
    double vent_wk;                /* extra conductance with windows and vents open */
    double vent_above_c;           /* people open them above this */
    double day_c, night_c, away_c; /* set-points */
    uint32_t day[7];               /* hours of the day set-point */
    double inside_c;               /* at arrival */
    double furnace_input_w, furnace_frac, blower_w, furnace_cut_v;
    int furnace_derate_rule;                      /* lw_burner_rule of core/heat/furnace.h */
    double furnace_listed_to_m;                   /* for LW_BURNER_LISTED */
    double electric_w;                            /* heater that runs only with the generator */
    double cool_w, cool_electric_w, cool_above_c; /* air conditioner; 0 = none; only with the generator */
    lw_bay_kind bay;
    double pad_w; /* heating pads: electric power while on */
    int fridge_is_present;
    lw_fridge fridge; /* core/heat/fridge.h */
    double fridge_cut_v;
    int water_heater_is_present;
    lw_water_heater water_heater; /* core/heat/water_heater.h */
    double hot_c, cold_c;         /* at the hot tap; of the fresh tank */
    int open_cylinders;           /* how many propane vessels feed at once (vaporisation) */
    double pump_wh_per_l, pump_cut_v;
} lw_cabin_use;

typedef struct lw_battery_use {
    int chemistry; /* lw_chemistry of core/power/battery.h */
    double capacity_ah, nominal_v, health_frac, floor_frac, level_frac, charge_limit_a;
    int is_heated, is_inside;
    double cut_v;          /* NaN: the chemistry's own */
    double resistance_ohm; /* NaN: the chemistry's own */
    double system_cut_v;   /* loads without their own cut-off */
} lw_battery_use;

typedef struct lw_rig {
    char name[LW_NAME];
    lw_vessel vessel[LW_VESSELS];
    int vessel_count;
    lw_battery_use battery;
    lw_array array[LW_ARRAYS];
    int array_count;
    lw_load load[LW_LOADS];
    int load_count;
    lw_generator_use generator;
    lw_charger_use charger;
    lw_drive_charge drive;
    lw_inverter_use inverter;
    lw_cabin_use cabin;
    double awning_limit_ms; /* mean wind the owner leaves it out in; 0: none set */
} lw_rig;

typedef struct lw_place {
    char name[LW_NAME];
    double latitude_deg, longitude_deg, elevation_m;
    double horizon_deg[LW_HORIZON_POINTS]; /* elevation of the skyline, from north clockwise, a degree apart */
    double shade_frac;                     /* trees: share of the beam that is lost */
    double albedo_frac, linke_turbidity;
    lw_permission outdoor_water; /* UNKNOWN counts as not allowed */
    int has_animals;             /* rubbish never outdoors */
} lw_place;

typedef struct lw_stay {
    int64_t arrival_s, departure_s; /* departure_s 0: none wished */
    int64_t stay_end_s;             /* by the stay rule and any deadline, made by core/land; 0: no limit known */
} lw_stay;

/* The civil calendar of the horizon, one value an hour from arrival; made at the edge from the zone. */
typedef struct lw_calendar {
    int hours;                    /* filled hours, at most LW_HOURS */
    int64_t start_s;              /* of hour 0; hour i starts at start_s + 3600 i */
    uint8_t civil_hour[LW_HOURS]; /* 0..23 at the middle of the hour */
    uint8_t weekday[LW_HOURS];    /* 0 = Monday */
    int32_t civil_day[LW_HOURS];  /* days since 1970-01-01 */
} lw_calendar;

/* Weather at the place, one value an hour of the calendar: means over the hour, except precipitation and snow (sums). */
typedef struct lw_weather {
    double air_c[LW_HOURS];
    double wind_ms[LW_HOURS];
    double humidity_frac[LW_HOURS];
    double ghi_wm2[LW_HOURS]; /* NaN: from clear_frac */
    double dni_wm2[LW_HOURS]; /* NaN: from the split of ghi */
    double dhi_wm2[LW_HOURS];
    double clear_frac[LW_HOURS]; /* global over clear-sky global; used where ghi is NaN */
    double precip_mm[LW_HOURS];
    double snow_mm[LW_HOURS]; /* of it, as water */
} lw_weather;

/* What readers and policies may turn: `factor` multiplies each group of use (1 = the table). */
typedef struct lw_scenario {
    lw_rig rig;
    lw_crew crew;
    lw_place place;
    lw_stay stay;
    lw_calendar calendar;
    lw_weather weather;
    lw_transfer transfer[LW_TRANSFERS_PLANNED]; /* sorted by time */
    int transfer_count;
    double factor[LW_GROUP_COUNT];
} lw_scenario;

/* What a vessel holds after a transfer, from what it held before. */
double lw_transfer_level(const lw_vessel *vessel, const lw_transfer *transfer, double before);

/* The bank as core/power/battery.h takes it; a rig without one has the smallest. */
lw_battery_spec lw_battery_spec_of_use(const lw_battery_use *b);

/* Refuses what the engine cannot make sense of: counts, indices, levels outside capacities, masks, order of times. */
LW_MUST_USE lw_code lw_scenario_check(const lw_scenario *scenario, lw_fault *fault);

#endif
