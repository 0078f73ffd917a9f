/* service/rhythm.h: a long stay, of up to 240 days: not when it ends but how often each service comes round, month by month.
 *
 * Inputs    a scenario (file or text), from when and until when, the confidence, what an hour is worth; errands (exchange/errands.h) or none.
 * Results   for every civil month of the stay: how many days each supply lasts after a service in the aimed share of draws, the run that
 *           comes round every so many days, which supplies it serves every time, every second time, .., what the month costs in
 *           runs, gas and generator fuel, and the chance that nothing that runs serve ends in that month, all supplies together.
 * Model     Each month's climate is run from its first day of the stay on, 45 days, with full tanks and empty waste, every supply by itself. The
 *           generator starts by the battery. What a runabout brings in cans, or takes in a tank, lasts its share of the whole.
 *           A rhythm is a run every T whole days; a supply is served with each m-th of them, the largest m for which it lasts. A run is
 *           the cheapest way and choice of services for what is due (road to the farthest and back, the others on the way).
 *           T is the one of least cost; all are tried. Without errands T is as long as all supplies last, and a run costs nothing.
 * Chance    the month is run again with the rhythm's fills and dumps in it, on LW_RHYTHM_FRESH draws that chose nothing; the aim is the
 *           lowest step at which the wished share of them lasts through the month.
 * Errors    one sentence; LW_E_RANGE more than LW_RHYTHM_DAYS days or none.
 * Limits    opening hours, work days and weather on the road are for leeway plan runs. Battery, data and the days allowed are no
 *           errands. Each month begins full, whatever the one before left. Food and fees of the place are not in the cost. */
#ifndef LW_SERVICE_RHYTHM_H
#define LW_SERVICE_RHYTHM_H

#include "exchange/errands.h"
#include "service/trial.h"
#include "service/words.h"

enum {
    LW_RHYTHM_DAYS = 240,
    LW_RHYTHM_MONTHS = 9,
    LW_RHYTHM_LOOK_DAYS = 45,
    LW_RHYTHM_DRAWS_USUAL = 128,
    LW_RHYTHM_FRESH = 10000
};

typedef struct lw_rhythm_wish {
    const char *path, *bytes; /* bytes NULL: the file */
    size_t size;
    int64_t now_s;
    int days;                         /* from the arrival on, or from now where that is later; 0: to the departure */
    double confidence_frac, hour_usd; /* hour_usd NaN: data/prices.csv */
    int draws, fresh;                 /* 0: the usual */
    int further;                      /* draws more, for holding the chance against; 0: none */
    uint64_t seed;
    int threads;
    lw_words_choice choice;
    int has_units;
    void (*progress)(void *with, int done, int of); /* NULL: nobody waits */
    void *with;
} lw_rhythm_wish;

typedef struct lw_rhythm_month {
    int year, month, days;              /* days of the stay in it */
    double lasts_days[LW_SUPPLY_COUNT]; /* LW_RHYTHM_LOOK_DAYS: that long at least */
    double use_per_day[LW_SUPPLY_COUNT];
    int is_served[LW_SUPPLY_COUNT];        /* a present supply that errands serve */
    int each[LW_SUPPLY_COUNT];             /* with each so-manieth run; 0: not needed in this month */
    int every_days;                        /* 0: no rhythm keeps it */
    lw_supply shortest;                    /* sets the pace */
    int short_supply;                      /* every_days 0: the one that cannot be kept up; -1: none */
    uint32_t ways;                         /* bit per way of errands: the pace is by these */
    int type[4], type_runs[4], type_count; /* ways that are used, of errands, and how often of 24 runs */
    double runs, hours, km;                /* in the month */
    double fees_usd, road_usd, time_usd, trouble_usd, propane_usd, fuel_usd, usd; /* usd: all of them */
    double generator_h;                                                           /* a day, in the middle course */
    double aimed_frac, aimed_part,
        fresh_frac;      /* part of what lasts in the aimed share; fresh: lasts through the month */
    double further_frac; /* of the further draws; NaN: none were asked for */
    int is_reached;
    double battery_short_frac; /* draws in which the battery falls short within the month */
    char name[24], sentence[LW_SENTENCE], cost_sentence[LW_SENTENCE];
} lw_rhythm_month;

typedef struct lw_long_stay {
    lw_rhythm_wish wish;
    lw_zone zone;
    char file[256];
    int64_t start_s, until_s;
    int days, draws, fresh_draws, month_count, has_errands, is_climate;
    double confidence_frac, hour_usd;
    lw_rhythm_month month[LW_RHYTHM_MONTHS + 1];
    double runs, usd, usd_per_month; /* of the whole stay; a month is 30.4 days */
    char headline[LW_SENTENCE], note[LW_SENTENCE], limit[LW_SENTENCE], ask[LW_SENTENCE];
} lw_long_stay;

/* errands NULL: none. */
LW_MUST_USE lw_code lw_rhythm_make(const lw_rhythm_wish *wish, const lw_errands *errands, lw_long_stay *rhythm,
                                   lw_err *err);

/* The text is the caller's (free); NULL: no memory. */
char *lw_rhythm_json(const lw_long_stay *rhythm, const lw_errands *errands, const char *version);

#endif
