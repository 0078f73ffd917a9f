/* service/trip.h: where next, in which order, for how long: a household's trip from its file to a plan that is measured.
 *
 * Tables    by place and date, from the engine and the climate: nights that a full load lasts at the wished share of draws, every
 *           second week drawn, days between take the nearest; the chance that a night is not colder than `coldest` and a day not
 *           hotter than `hottest`, by the climate's spread and its own error; work days by the signal's chance; roads by
 *           core/land/drive.h. A night outside its chance, a work day without signal, a place too short for the rig or out of
 *           season is no choice at all. A place is driven to only where another is within LW_TRIP_FALLBACK_MIN, reached by half an
 *           hour before sunset, with supplies for the night left; where all is at hand one is taken to have booked.
 * Plans     core/plan/trip.h, exact or with its gap; further ones have at least two nights in five at places that those before do
 *           not have. Each is measured on fresh draws: the same household from the first night to the last, each supply at the level
 *           it has, filled where the plan fills it; the chance that none runs short.
 * Nothing   where no trip keeps all wishes: the smallest sets of wishes to relax, found by trying them in the order of their size.
 * Errors    one sentence; those of the files, of the scenario at a place, LW_E_FULL no memory.
 * Limits    docs/trip.md and docs/use/trip.md. Signal, once known, counts for the whole stay; it is not drawn. */
#ifndef LW_SERVICE_TRIP_H
#define LW_SERVICE_TRIP_H

#include "book/book.h"
#include "exchange/scenario.h"
#include "exchange/trip_file.h"
#include "service/words.h"

enum {
    LW_TRIP_PLANS = 4,
    LW_TRIP_RELAXED = 4,
    LW_TRIP_FALLBACK_MIN = 150,
    LW_TRIP_BEFORE_DARK_MIN = 30,
    LW_TRIP_FRESH = 10000,
    LW_TRIP_SIFT_FROM = 1 << 20,  /* numbers of draws that no table has seen */
    LW_TRIP_FRESH_FROM = 1 << 21, /* nor had a part in choosing */
    LW_TRIP_FURTHER_FROM = 1 << 22,
    LW_TRIP_STAY_NOTES = 8,
    LW_TRIP_CALLS = 4,
    LW_TRIP_CHANGES = 6,
};

/* A stay that a trip planned before has had: days as of stay rules. */
typedef struct lw_trip_lived {
    int place;
    int64_t first_day, last_day;
} lw_trip_lived;

/* Places and services that a trip has from the book: kept with it, so that it stays what it was. */
typedef struct lw_trip_gathered {
    lw_trip_file_place *place; /* owned */
    lw_trip_file_service *service;
    int place_count, service_count;
    char note[LW_SENTENCE]; /* how many, and what sent others away; empty: no places were asked for */
} lw_trip_gathered;
void lw_trip_gathered_clear(lw_trip_gathered *gathered); /* twice is fine, and so are zeros */

typedef struct lw_trip_ask {
    const char *path; /* of the trip's file; or, with text, its name in errors */
    const char *text; /* what it says; NULL: the file is read */
    const char *camp; /* a scenario, in place of the one that the file names; NULL: that one, or the book's */
    lw_book *book;    /* for its camp, stays, places and services, and to keep tables in; NULL: none */
    const char
        *candidates; /* places of the book, as the file's map of that name: "{near: Tin Cup}"; NULL: the file's */
    const lw_trip_gathered *gathered; /* they were gathered before; NULL: no */
    int64_t now_s;                    /* for the camp of the book */
    int is_without_advice;            /* only whether there is a trip, not what to relax where there is none */
    int has_no_files;                 /* the text came from elsewhere: it cannot name a file of this machine */
    int plans;                        /* 1 .. LW_TRIP_PLANS */
    int draws;                        /* behind the tables; 0: 48 */
    int fresh;                        /* to measure with; 0: LW_TRIP_FRESH */
    int further;                      /* more than these, to tell how near the chance that is told comes; 0: none */
    double seconds;                   /* for each plan, at most; 0: 5 */
    uint64_t seed;
    int threads;
    /* As reality has it: NULL and 0 where it is as planned. */
    const char *from, *at; /* the day and place to go on from */
    const char *full[LW_TRIP_CHANGES],
        *hold[LW_TRIP_CHANGES]; /* full: no night there for a week; hold: "PLACE, FIRST, LAST" */
    int full_count, hold_count;
    const lw_trip_lived *lived;
    int lived_count;
    int has_start, start_used; /* of a load, in thousandths, when the trip begins; else by the camp's levels */
    const lw_named_stay *earlier;
    int earlier_count; /* besides those of the camp's file */
    int (*progress)(void *with, int done,
                    int of);      /* NULL: none; gives 0 to stop. From the calling thread; never goes back */
    int (*is_enough)(void *with); /* NULL: never. 1: the best so far will do; tables are still made */
    void *with;
} lw_trip_ask;

typedef struct lw_trip_stop {
    int place, arrive, leave; /* nights arrive .. leave - 1 of the trip */
    int is_start;             /* one was there before: no drive */
    int is_served, drive_min; /* of the way there */
    double drive_km;
    int64_t
        leave_by_s; /* to be there, and at the fallback, half an hour before sunset, and online by the next work; 0: no drive */
    int64_t work_until_s; /* of the day of the drive; 0: nobody works on it */
    int run_day[LW_TRIP_DAYS], runs;
    int call[LW_TRIP_CALLS], calls; /* services of the file on the way there; 0: as the places' own figures say */
    int run_call[LW_TRIP_CALLS], run_calls; /* and on runs from there */
    uint32_t lacks, run_lacks;              /* what is not to be had there: bit per lw_supply */
    double holds_frac;                      /* measured: no supply runs short in this stay */
    int short_supply;                       /* lw_supply that runs short here most often; -1: none does */
    double used_frac;                       /* of the load, on leaving, at the wished share of draws */
    double cold_frac;           /* chance of at least as warm as wished, in its worst night; NaN: no such wish */
    int fallback, fallback_min; /* place; -1: none */
    char note[LW_TRIP_STAY_NOTES][LW_SENTENCE];
    int note_count;
} lw_trip_stop;

typedef struct lw_trip_made {
    lw_trip_out out;
    lw_trip_sum sum;
    lw_trip_stop stop[LW_TRIP_DAYS];
    int stop_count;
    uint32_t wishes_asked, wishes_kept;        /* bit per wish of the file; those whose time is over are not asked */
    char why_missed[LW_TRIP_FILE_WISHES][200]; /* of each wish that is not kept; empty: not looked for */
    double supplies_frac;                      /* measured */
    double further_frac;                       /* of the further draws; NaN: none were asked for */
    int short_supply;                          /* as of a stop: what runs short first, most often */
    double work_frac;                          /* least of its work days; NaN: none */
    int used[LW_TRIP_DAYS + 1];                /* of a load, on each morning before anything is done */
    double aim_frac;                           /* the share of draws that the plan counts on */
    int end_min;                               /* of the last drive; 0: none */
    int64_t end_leave_by_s, end_work_until_s;  /* as of a stop */
    double end_km;
    int end_call[LW_TRIP_CALLS], end_calls;
} lw_trip_made;

/* What the forecast that the camp names says, where the camp stands, by civil day. */
enum { LW_TRIP_FORECAST_DAYS = 16 };
typedef struct lw_trip_forecast {
    lw_spot spot;
    int64_t first_day;
    int count;                                                              /* 0: there is none */
    double rain_mm[LW_TRIP_FORECAST_DAYS], wet_frac[LW_TRIP_FORECAST_DAYS]; /* wet_frac: NaN not said */
    double snow_mm[LW_TRIP_FORECAST_DAYS];                                  /* of it, as water */
} lw_trip_forecast;

typedef struct lw_trip_planned {
    lw_trip_file file;
    char *input, *camp; /* owned: the trip's file and the camp's, as texts */
    lw_zone zone;
    lw_unit_system units;
    lw_trip_made *plan; /* LW_TRIP_PLANS, owned */
    int plan_count;
    int fresh_draws, draws;
    uint64_t seed;
    lw_trip_gathered gathered; /* owned */
    lw_trip_forecast forecast;
    char rig[LW_NAME]; /* its kind */
    int people, animals;
    char left_out[LW_SENTENCE]; /* places that no trip drives to, for want of another near; empty: none */
    char why[LW_SENTENCE];      /* nothing found: what stands in the way */
    char relax[LW_TRIP_RELAXED][LW_SENTENCE];
    int relax_count;
    unsigned work_days; /* bits from Monday: somebody works, or learns */
    uint32_t work_hours[7];
    char road_note[LW_SENTENCE]; /* empty: roads went well */
    double tables_s;             /* it took to make the tables */
} lw_trip_planned;

LW_MUST_USE lw_code lw_trip_make(const lw_trip_ask *ask, lw_trip_planned *to, lw_err *err);
void lw_trip_clear(lw_trip_planned *planned); /* twice is fine, and so are zeros */

/* ---- kept in the book by name ---- */

/* Keeps what was planned from `ask`; one of the same name is replaced. LW_E_MISSING: nothing was planned. */
LW_MUST_USE lw_code lw_trip_keep(lw_book *book, const char *name, const lw_trip_ask *ask,
                                 const lw_trip_planned *planned, int64_t now_s, lw_err *err);
/* As it was planned and measured then. threads, progress and now_s of `how` alone are looked at. LW_E_MISSING: no such trip;
 * LW_E_CONFLICT: the program or its tables have changed so that it has to be planned anew. */
LW_MUST_USE lw_code lw_trip_show(lw_book *book, const char *name, const lw_trip_ask *how, lw_trip_planned *to,
                                 lw_err *err);
/* The rest of one of its plans anew, from today (how->now_s) or how->from on, with what was full or held before and what `how`
 * adds; stays until then have been. With keep_as it is kept under that name. */
LW_MUST_USE lw_code lw_trip_replan(lw_book *book, const char *name, int plan, const lw_trip_ask *how,
                                   const char *keep_as, lw_trip_planned *to, lw_err *err);

int64_t lw_trip_date_s(const lw_trip_planned *planned, int day, int hour); /* of the civil day of the trip */
/* "Mon 7 June to Thu 10 June, 3 nights" and what follows; give buf. */
char *lw_trip_say_stop(const lw_trip_planned *planned, const lw_trip_made *plan, int stop, lw_unit_system units,
                       char *buf, size_t n);
char *lw_trip_say_plan(const lw_trip_planned *planned, int at, char *buf, size_t n);
/* "Mon 7 June: on to Millrace, 41 min on the road, about 38 mi; set out by Mon 7 Jun 19:10."; empty where the trip ends where its last night was. */
char *lw_trip_say_end(const lw_trip_planned *planned, const lw_trip_made *plan, char *buf, size_t n);
char *lw_trip_say_measured(const lw_trip_planned *planned, int at, char *buf, size_t n);

/* docs/trip.schema.json; the caller's text (free), NULL: no memory. */
char *lw_trip_json(const lw_trip_planned *planned, const char *version);

/* Forms of one plan for other programs and for paper; the caller's text (free). */
typedef enum lw_trip_form {
    LW_TRIP_CALENDAR = 0,
    LW_TRIP_GPX,
    LW_TRIP_CSV,
    LW_TRIP_SHEET,
    LW_TRIP_HOME,
    LW_TRIP_PAPER
} lw_trip_form;
LW_MUST_USE lw_code lw_trip_export(const lw_trip_planned *planned, int plan, lw_trip_form form, int64_t now_s,
                                   const char *version, char **text, lw_err *err);

/* Month by month the places of a trip's file, and of the book as it asks for them, whose nights and days are as wished, by the climate;
 * and a way through the year from the month of the trip, or of now, on: of the places that are as wished those that are worth most,
 * less what the roads between them cost, by air. */
typedef struct lw_trip_month {
    int fit[LW_TRIP_FILE_PLACES], fit_count;                               /* dearest first, of equals the surer one */
    double low_c[LW_TRIP_FILE_PLACES], high_c[LW_TRIP_FILE_PLACES];        /* mean, by place */
    double warm_frac[LW_TRIP_FILE_PLACES], cool_frac[LW_TRIP_FILE_PLACES]; /* chance of nights, of days as wished */
    double chance_frac[LW_TRIP_FILE_PLACES];                               /* of both, the lesser; by place */
    int follow;                                                            /* place of the way; -1: none is as wished */
} lw_trip_month;
typedef struct lw_trip_year {
    lw_trip_file file;
    lw_trip_month month[12]; /* from January */
    int first;               /* the way's first month, 0 .. 11 */
    double coldest_c, hottest_c, nights_frac;
    double way_m; /* by air, from place to place */
    int moves;
    char note[LW_SENTENCE]; /* of places of the book; empty: none were asked for */
} lw_trip_year;
/* NaN: as the file says; where it says nothing 0 and 35 degrees, and 0.8. */
typedef struct lw_trip_year_wish {
    double coldest_c, hottest_c, nights_frac;
} lw_trip_year_wish;
/* Of `ask` path, text, candidates, gathered, book and now_s are looked at; without path and text it is of places of the book alone. */
LW_MUST_USE lw_code lw_trip_year_make(const lw_trip_ask *ask, const lw_trip_year_wish *wish, lw_trip_year *year,
                                      lw_err *err);
/* Of the places of a kept trip. */
LW_MUST_USE lw_code lw_trip_year_of_kept(lw_book *book, const char *name, const lw_trip_ask *how,
                                         const lw_trip_year_wish *wish, lw_trip_year *year, lw_err *err);
/* "Tin Cup June to August; Owl Draw September." and how far it is; give buf. */
char *lw_trip_year_say(const lw_trip_year *year, lw_unit_system units, char *buf, size_t n);
/* docs/trip-year.schema.json; the caller's text (free), NULL: no memory. */
char *lw_trip_year_json(const lw_trip_year *year, lw_unit_system units, const char *version);

#endif
