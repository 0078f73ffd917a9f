/* exchange/trip_file.h: a trip as a household writes it down: dates, limits, places, wishes.
 *
 * Reads     YAML (or JSON) with `leeway: 1` and its parts. `trip`: camp (a scenario file beside it, or `book`, as when left out), from and until (first night, last
 *           morning), start and end (names of places), work_chance, drive_day, drive_week, drive_days, coldest, hottest,
 *           nights_chance, supplies_chance, budget, per_mile, hour, move. `places`, a list: name, latitude, longitude, elevation, worth, fee,
 *           rule, manager, signal, length, height, room, from and until (season), everything (all at hand), road (to services, one
 *           way), service_fee, dry_only, address, caution. `services`, a list: name, latitude, longitude, gives (as of errands), fee,
 *           days. `wishes`, a list: what, at, nights, from, until, must, worth,
 *           drive. `friends`, a list: who, from, until, rigs, length. `passes`, a list: what, beyond (places), closes, opens.
 * More      places and services from elsewhere (the book) stand behind those of the file; names in it may be theirs.
 * Results   lw_trip_file in SI; days are civil. All or nothing. examples/round-trip.yaml has every key with what it means; what is left
 *           out stands in docs/use/trip.md.
 * Errors    one sentence with file, line and key; LW_E_FULL for more than fit. */
#ifndef LW_EXCHANGE_TRIP_FILE_H
#define LW_EXCHANGE_TRIP_FILE_H

#include "core/base/words.h"
#include "core/plan/trip.h"

#define LW_TRIP_WORTH_USD 40.0 /* of a night at a place that does not say; from memory */

enum {
    LW_TRIP_FILE_PLACES = 300,
    LW_TRIP_FILE_WISHES = 12,
    LW_TRIP_FILE_FRIENDS = 4,
    LW_TRIP_FILE_PASSES = 8,
    LW_TRIP_FILE_SERVICES = 120,
    LW_TRIP_FILE_SHUT = 4,
    LW_TRIP_FILE_NAME = 48,
    LW_TRIP_FILE_LINE = 160
};

typedef struct lw_trip_file_place {
    char name[LW_TRIP_FILE_NAME], rule[LW_TRIP_FILE_NAME], manager[LW_NAME]; /* rule, manager: empty where not said */
    char address[LW_TRIP_FILE_LINE], caution[LW_TRIP_FILE_LINE];
    lw_spot spot;
    double elevation_m, worth_usd, fee_usd;
    double signal_frac, length_m, height_m; /* NaN: not said */
    int room;                               /* rigs; 0: not said */
    int64_t from_day, until_day;            /* of its season, both open; 0: no bound */
    int has_everything, is_dry_only;
    double road_s, service_usd; /* to services, one way; road_s NaN: not said */
    /* Of a place of the book: its own rule, days on which it is shut, what is near. */
    char rule_words[LW_TRIP_FILE_LINE]; /* set by who knows the rule: "14 days in any 28" */
    int has_own_rule, is_of_book;
    lw_stay_rule own_rule;
    struct {
        int64_t from_day, until_day; /* shut from, and before */
    } shut[LW_TRIP_FILE_SHUT];
    int shut_count;
    char nearby[LW_TRIP_FILE_LINE];
} lw_trip_file_place;

/* Where tanks are served on the way, and on runs. */
typedef struct lw_trip_file_service {
    char name[LW_TRIP_FILE_NAME];
    lw_spot spot;
    uint32_t supplies; /* bit per lw_supply */
    double fee_usd;
    unsigned days; /* bits from Monday: it can be called at */
    int is_guess;  /* of a map file, with hours or fee that it does not tell */
} lw_trip_file_service;

typedef struct lw_trip_file_wish {
    char what[LW_TRIP_FILE_NAME];
    lw_trip_places of;
    int64_t from_day, until_day; /* nights of these days, until_day not; 0: the trip's */
    int nights, is_must;
    int is_had;                /* in stays that have been; or there is no time left for it */
    double worth_usd, drive_s; /* drive_s: to it from the place without the rig, one way; 0: it is at the place */
} lw_trip_file_wish;

/* Friends who travel along on these nights. */
typedef struct lw_trip_file_friends {
    char who[LW_TRIP_FILE_NAME];
    int64_t from_day, until_day; /* 0: the trip's */
    int rigs;
    double length_m; /* of the longest; NaN: not said */
} lw_trip_file_friends;

/* A road that is shut for a season, with places that are reached over it alone. */
typedef struct lw_trip_file_pass {
    char what[LW_TRIP_FILE_NAME];
    lw_trip_places beyond;
    int64_t closes_day, opens_day; /* shut from closes on, and before opens; 0: not said */
} lw_trip_file_pass;

/* Numbers that a file may leave out: what they are then is theirs to tell (service/trip_grounds.h). */
typedef enum lw_trip_usual {
    LW_TRIP_USUAL_WORK = 0,
    LW_TRIP_USUAL_DRIVE_DAY,
    LW_TRIP_USUAL_DRIVE_WEEK,
    LW_TRIP_USUAL_NIGHTS,
    LW_TRIP_USUAL_SUPPLIES,
    LW_TRIP_USUAL_PER_MILE,
    LW_TRIP_USUAL_HOUR,
    LW_TRIP_USUAL_MOVE,
    LW_TRIP_USUAL_WORTH, /* of a night at some place */
    LW_TRIP_USUAL_COUNT
} lw_trip_usual;

typedef struct lw_trip_file {
    char camp[512];        /* as a path that opens; empty: the camp of the book */
    const char *camp_text; /* what that file or the book says; set and owned by who loads it */
    int64_t from_day, until_day;
    int start, end;      /* places; end -1: anywhere */
    unsigned drive_days; /* bits from Monday; 0: all days without work */
    double work_frac, drive_day_s, drive_week_s;
    double coldest_c, hottest_c, nights_frac; /* NaN: no such wish */
    double supplies_frac;
    double budget_usd; /* NaN: none */
    double km_usd, hour_usd, move_usd;
    uint32_t usual; /* bit per lw_trip_usual that the file leaves out */
    lw_trip_file_place place[LW_TRIP_FILE_PLACES];
    lw_trip_file_wish wish[LW_TRIP_FILE_WISHES];
    lw_trip_file_friends friends[LW_TRIP_FILE_FRIENDS];
    lw_trip_file_pass pass[LW_TRIP_FILE_PASSES];
    lw_trip_file_service service[LW_TRIP_FILE_SERVICES];
    int place_count, wish_count, friends_count, pass_count, service_count;
} lw_trip_file;

typedef struct lw_trip_file_more {
    const lw_trip_file_place *place;
    const lw_trip_file_service *service;
    int place_count, service_count;
} lw_trip_file_more;

int lw_trip_file_is_shut(const lw_trip_file_pass *pass, int64_t day);
LW_MUST_USE lw_code lw_trip_file_load(const char *path, lw_trip_file *file, lw_err *err);
/* more NULL: none. Of a place that the file has itself the file's goes first. */
LW_MUST_USE lw_code lw_trip_file_read(const char *name, const char *bytes, size_t size, const lw_trip_file_more *more,
                                      lw_trip_file *file, lw_err *err);

#endif
