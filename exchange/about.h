/* exchange/about.h: what is known of a place for choosing it, and of the rig on the road: the keys place.about and rig.travel of a
 * scenario.
 *
 * Reads     as part of a scenario (lw_loaded.about, lw_loaded.travel), and lw_place_read: the section `place` alone, as the book keeps it,
 *           with all that its other keys say of the land.
 * Writes    lw_place_change: the section with some keys changed, checked as in a scenario. Keys are those under place.about or place:
 *           "road.surface=gravel", "manager=BLM Kanab", "nearby+={what: a trail, time: 20 min}"; "fee=" takes a key out. lw_place_section:
 *           a new one of a name and a spot.
 * Results   what is not said is NaN, 0, empty or the word for unknown; a day: civil days since 1970, LW_NO_DAY where none is said. All or
 *           nothing.
 * Errors    one sentence, as of a scenario.
 * Limits    the counts of the enum; further items of a list are refused. */
#ifndef LW_EXCHANGE_ABOUT_H
#define LW_EXCHANGE_ABOUT_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/err.h"
#include "core/base/words.h"
#include "core/land/season.h"
#include "core/land/stay_rule.h"

#define LW_NO_DAY INT64_MIN

enum {
    LW_ABOUT_ROOM = 8,
    LW_ABOUT_CLOSED = 8,
    LW_ABOUT_SIGNAL = 8,
    LW_ABOUT_NEARBY = 12,
    LW_ABOUT_DRIVES = 24,
    LW_ABOUT_PHOTOS = 8,
    LW_ABOUT_WORDS = 64,
    LW_PLACE_CHANGES = 40,
};

/* In the order of the words in the table of keys. */
#define LW_PLACE_SERVICES(X)                                                                                           \
    X(WATER, "water")                                                                                                  \
    X(DUMP, "dump")                                                                                                    \
    X(POWER, "power")                                                                                                  \
    X(RUBBISH, "rubbish")                                                                                              \
    X(TOILETS, "toilets")                                                                                              \
    X(SHOWERS, "showers")                                                                                              \
    X(LAUNDRY, "laundry")                                                                                              \
    X(NONE, "none")
typedef enum lw_place_service {
#define LW_PLACE_SERVICE_ID(id, word) LW_PLACE_SERVICE_##id,
    LW_PLACE_SERVICES(LW_PLACE_SERVICE_ID) LW_PLACE_SERVICE_COUNT
#undef LW_PLACE_SERVICE_ID
} lw_place_service;

typedef enum lw_place_water {
    LW_PLACE_WATER_POTABLE = 0,
    LW_PLACE_WATER_NOT_POTABLE,
    LW_PLACE_WATER_NONE,
    LW_PLACE_WATER_UNKNOWN, /* also where nothing is said */
} lw_place_water;

typedef enum lw_surface { LW_PAVED = 0, LW_GRAVEL, LW_DIRT, LW_SAND, LW_ROCK, LW_SURFACE_UNKNOWN } lw_surface;
typedef enum lw_clearance { LW_CLEARANCE_ANY = 0, LW_CLEARANCE_HIGH, LW_CLEARANCE_FOUR_WHEEL } lw_clearance;
typedef enum lw_fire { LW_FIRE_YES = 0, LW_FIRE_RING, LW_FIRE_NO, LW_FIRE_ASK } lw_fire;

typedef struct lw_about {
    int is_said; /* 0: the place says none of this */
    int64_t confirmed_day, recommended_day;
    char confirmed_by[LW_ABOUT_WORDS], recommended_by[LW_ABOUT_WORDS];
    double fee_usd; /* a night */
    int has_services;
    unsigned services; /* bits of lw_place_service */
    lw_place_water water;
    int rigs; /* 0: not said */
    double length_m, height_m, weight_kg;
    struct {
        lw_surface surface;
        lw_clearance clearance;
        double grade_frac, distance_m;
        lw_season season;
        int is_dry_only;
    } road;
    struct {
        double chance_frac;
        unsigned days; /* bits from Monday on */
        lw_season season;
    } room[LW_ABOUT_ROOM];
    struct {
        lw_season season; /* from 0: the days */
        int64_t first_day, last_day;
        char why[LW_ABOUT_WORDS];
    } closed[LW_ABOUT_CLOSED];
    struct {
        double water_m, unattended_s;
        lw_permission food_storage;
        lw_fire fire;
        char office[2 * LW_ABOUT_WORDS];
    } rules;
    struct {
        char line[LW_NAME];
        double chance_frac;
    } signal[LW_ABOUT_SIGNAL];
    struct {
        char what[LW_ABOUT_WORDS];
        double time_s, distance_m;
    } nearby[LW_ABOUT_NEARBY];
    struct {
        char to[LW_ABOUT_WORDS];
        double time_s, distance_m;
    } drive[LW_ABOUT_DRIVES];
    char photo[LW_ABOUT_PHOTOS][256];
    int room_count, closed_count, signal_count, nearby_count, drive_count, photo_count;
    char notes[1024];
} lw_about;

/* The chance to find room on a day, by what is said; NaN: nothing is. */
double lw_about_room_frac(const lw_about *about, int64_t day);
/* The first reason why it is no use to come on a day: closed, or its road is shut by the season; NULL: none is known. Gives buf. */
const char *lw_about_shut(const lw_about *about, int64_t day, char *buf, size_t n);

typedef struct lw_travel {
    double length_m, height_m, width_m, weight_kg; /* NaN: not said */
    double use_l100km, power_w, speed_ms;
    int is_diesel, has_fuel; /* has_fuel 0: not said */
    int is_turbo;
    lw_clearance clearance;
    int has_clearance;
} lw_travel;

/* A place as the book has it. */
typedef struct lw_place_facts {
    char name[LW_NAME];
    lw_spot spot;
    double elevation_m; /* NaN: not said */
    char manager[LW_NAME];
    int has_rule;
    lw_stay_rule rule;
    char rule_words[192], rule_source[192];
    lw_permission outdoor_water;
    int has_quiet;
    uint32_t quiet[7];
    char quiet_words[64]; /* as they were written */
    lw_about about;
} lw_place_facts;

LW_MUST_USE lw_code lw_place_read(const char *section, lw_place_facts *out, lw_err *err);

/* The caller's text (free). */
LW_MUST_USE lw_code lw_place_section(const char *name, lw_spot spot, double elevation_m, const char *zone, char **text,
                                     lw_err *err);
LW_MUST_USE lw_code lw_place_change(const char *section, const char *const *change, int count, int64_t now_s,
                                    char **text, lw_err *err);
/* What `kept` says under place.about and `section` does not say at all, added to it. */
LW_MUST_USE lw_code lw_place_keep_about(const char *section, const char *kept, char **text, lw_err *err);

const char *lw_place_service_word(lw_place_service service);
const char *lw_surface_word(lw_surface surface);       /* "gravel"; "" for unknown */
const char *lw_clearance_word(lw_clearance clearance); /* "any", "high", "four-wheel" */

#endif
