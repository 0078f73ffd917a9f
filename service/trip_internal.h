/* service/trip_internal.h: what the files trip*.c share. */
#ifndef LW_SERVICE_TRIP_INTERNAL_H
#define LW_SERVICE_TRIP_INTERNAL_H

#include "core/sky/climate.h"
#include "exchange/trip_candidates.h"
#include "service/json.h"
#include "service/trip.h"

enum {
    TRIP_EVERY_DAYS = 14,
    TRIP_SAMPLES = LW_TRIP_DAYS / TRIP_EVERY_DAYS + 1,
    TRIP_LOOK_DAYS = 24,
    TRIP_PAST = 128 /* as many as the core takes */
};

/* Calls that together fill all up; lacks: what is not to be had there (propane, rubbish). */
typedef struct lw_trip_round {
    int call[LW_TRIP_CALLS], calls; /* services of the file, in their order or the other way about */
    uint32_t lacks;
    double fee_usd, inside_min, inside_km;
    unsigned days;
} lw_trip_round;

/* The best round on the way between two places, or from one and back. */
typedef struct lw_trip_served {
    int round; /* -1: none */
    float min, km;
} lw_trip_served;

typedef struct lw_trip_tables {
    const lw_trip_file *file;
    lw_trip_in in;
    lw_trip_cell *cell;
    lw_trip_leg *leg;
    double *road_km, *road_h;    /* by pair */
    char road_note[LW_SENTENCE]; /* empty: nothing went wrong */
    lw_trip_place *place;
    lw_trip_wish wish[LW_TRIP_FILE_WISHES];
    int wish_of[LW_TRIP_FILE_WISHES]; /* which of the file's */
    lw_trip_cap cap[LW_TRIP_CAPS];
    lw_stay_rule rule[LW_TRIP_RULES];
    char rule_words[LW_TRIP_RULES][LW_TRIP_FILE_LINE]; /* of those of the table */
    lw_stay_past past[TRIP_PAST];
    int past_count, rule_count;
    lw_climate_site *site;
    lw_trip_round *round;
    lw_trip_served *served; /* by pair */
    int16_t *leg_round;     /* by pair: of the served leg; -1: services as the places' own figures say */
    int round_count;
    double (*lasts)[TRIP_SAMPLES];   /* nights, by place; at the share aimed at */
    double (*battery)[TRIP_SAMPLES]; /* the same of the battery; INFINITY: the sun sustains it */
    float *row; /* [(place * samples + sample) * lw_trip_row()]: the same by draw, sorted; then those of the battery */
    int samples, draws;
    int start_used; /* of a load, before the first morning */
    lw_loaded camp;
    unsigned work_days;
    int work_until[7];    /* hour of the day when work ends, from Monday; 0: nobody works */
    int16_t *dusk_min;    /* [place * days + day]: of the civil day, half an hour before sunset */
    int has_no_fallbacks; /* asked for: places without another near are taken too */
    int has_no_supplies;  /* asked for: as if a load lasted for ever */
} lw_trip_tables;

static inline size_t lw_trip_row(const lw_trip_tables *t)
{
    return 2 * (size_t)t->draws;
}

lw_code lw_trip_tables_make(const lw_trip_ask *ask, const lw_trip_file *file, lw_trip_tables *t, lw_err *err);
/* The tables of a file with other wishes and limits, of the same places. */
void lw_trip_tables_lay(lw_trip_tables *t, const lw_trip_file *file);
/* How sure it is to be that supplies last as long as the plan counts on; then the tables are laid again. */
void lw_trip_tables_aim(lw_trip_tables *t, double aim_frac);
/* Of runs from a place; -1: as its own figure says, or none. */
int lw_trip_run_round(const lw_trip_tables *t, int place);
/* Should `place` be full on that day: the nearest other for the night that may be driven to from there; -1: none. */
int lw_trip_fallback(const lw_trip_tables *t, int place, int day);
void lw_trip_tables_clear(lw_trip_tables *t);

/* Places of the book; to is cleared by lw_trip_gathered_clear, on failure as well. */
lw_code lw_trip_gather(const lw_trip_ask *ask, const lw_trip_candidates *c, lw_trip_gathered *to, lw_err *err);
json_t *lw_trip_gathered_json(lw_json *j, const lw_trip_gathered *g);
lw_code lw_trip_gathered_of(const json_t *o, lw_trip_gathered *to, lw_err *err);
/* Services of the book's map files near the places, behind those of the file. asked_first: such as nobody knows who may use. */
lw_code lw_trip_gather_services(lw_book *book, lw_trip_file *file, int *asked_first, lw_err *err);
/* Fills t->round and t->served. */
lw_code lw_trip_rounds(lw_trip_tables *t, lw_err *err);
/* "Junction Dump and Coop". Gives buf. */
char *lw_trip_say_calls(const lw_trip_file *file, const int *call, int calls, char *buf, size_t n);

/* Minutes of the civil day until half an hour before sunset there. */
int lw_trip_dusk_min(const lw_trip_tables *t, int place, int day);

/* What a day's drive to a wish and back takes in fuel and time. */
double lw_trip_outing_usd(const lw_trip_file *file, const lw_trip_file_wish *wish);

/* "37.80000 N, 113.20000 W": a metre, as for somebody who comes to look. Gives buf. */
char *lw_trip_say_spot(lw_spot spot, char buf[64]);
/* Chances of a night at least as warm and a day at most as hot as wished; 1 without a wish. */
double lw_trip_warm_frac(const lw_climate_site *site, int64_t day, double coldest_c);
double lw_trip_cool_frac(const lw_climate_site *site, int64_t day, double hottest_c);

/* Fills t->row and t->start_used. */
lw_code lw_trip_supplies(const lw_trip_ask *ask, lw_trip_tables *t, lw_err *err);
/* Place and stay rule there, in a zone. */
lw_code lw_trip_land_at(const lw_trip_file *file, const char *zone, int place, lw_loaded *land, lw_err *err);
/* So many households through the plan, draws of numbers from `from` on: sets supplies_frac and what each stop holds. */
lw_code lw_trip_live(const lw_trip_ask *ask, const lw_trip_file *file, const char *zone, int draws, uint32_t from,
                     lw_trip_made *plan, lw_err *err);

const char *lw_trip_camp_name(const lw_trip_file *file); /* of its file, or "the book" */

/* Its file alone, with places of the book. `to` is the caller's to clear. */
lw_code lw_trip_read(const lw_trip_ask *ask, lw_trip_planned *to, lw_err *err);
/* File, camp and tables of a trip, nothing planned yet; `t` zeros. On failure `to` is cleared, `t` is the caller's in any case. */
lw_code lw_trip_open(const lw_trip_ask *ask, lw_trip_planned *to, lw_trip_tables *t, lw_err *err);
/* What a plan's chain comes to, stop by stop. */
void lw_trip_fill_stops(lw_trip_planned *to, const lw_trip_tables *t, lw_trip_made *plan);

lw_code lw_trip_change(const lw_trip_ask *ask, lw_trip_file *file, lw_err *err);
void lw_trip_relax(const lw_trip_ask *ask, lw_trip_tables *t, lw_trip_planned *to);
/* Why each wish that the plan leaves is left: what the best trip with it is worth less, or what stands in its way. */
void lw_trip_why_missed(const lw_trip_ask *ask, lw_trip_tables *t, const lw_trip_planned *to, lw_trip_made *plan);
/* The time is told to ask's progress. LW_E_CONFLICT: it was stopped. */
lw_code lw_trip_solve(const lw_trip_ask *ask, const lw_trip_tables *t, double seconds, int is_any_enough,
                      lw_trip_out *out, lw_err *err);
double lw_trip_clock_s(void); /* of no day: for differences */
int lw_trip_is_enough(const lw_trip_ask *ask);

#endif
