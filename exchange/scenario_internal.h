/* exchange/scenario_internal.h: what the files scenario*.c share: the table of keys, and the reader that types values by it. */
#ifndef LW_EXCHANGE_SCENARIO_INTERNAL_H
#define LW_EXCHANGE_SCENARIO_INTERNAL_H

#include "core/base/units.h"
#include "core/sky/climate.h"
#include "exchange/scenario.h"
#include "exchange/tables.h"
#include "exchange/yaml_tree.h"
#include "text/moment.h"

typedef enum lw_key_kind {
    LW_KEY_MAP = 0,
    LW_KEY_LIST, /* of maps; one map or one plain value stands for a list of one */
    LW_KEY_QUANTITY,
    LW_KEY_LEVEL, /* an amount, a share ("2/3", "40 %"), "full" or "empty" */
    LW_KEY_WORD,
    LW_KEY_WORDS, /* some of the words: a list, or one text with commas */
    LW_KEY_YESNO,
    LW_KEY_TEXT,
    LW_KEY_MOMENT, /* civil date and time at the place */
    LW_KEY_DATE,
    LW_KEY_HOURS,    /* weekly: "Mon-Fri 9:00-17:00" */
    LW_KEY_SPANS,    /* "2026-06-03 10:00 to 2026-06-03 16:00", one or a list */
    LW_KEY_BEARING,  /* "180 deg", "S", "southwest" */
    LW_KEY_LATITUDE, /* "37.5", "37.5 N" */
    LW_KEY_LONGITUDE,
} lw_key_kind;

enum {
    LW_KEY_NONE_FITS = 1,
    LW_KEY_REQUIRED = 2,
    LW_KEY_UNSURE_FITS = 4, /* QUANTITY: "unknown", which is the default with a doubt, and "about 40 gal" */
};

/* How sure a value is; what comes from a table is as good as unknown. */
typedef enum lw_sureness { LW_SURE = 0, LW_ABOUT, LW_UNKNOWN } lw_sureness;

typedef struct lw_key {
    const char *path; /* "rig.solar[].tilt": [] stands for an item of the list */
    lw_key_kind kind;
    int flags;
    const char *brief;     /* MAP, LIST: the key that a plain value in its place stands for */
    lw_dim dim, other_dim; /* QUANTITY, LEVEL: other_dim too, where it is not NUMBER */
    double low, high;      /* in storage units of dim */
    const char *words;     /* WORD, WORDS: "adult/adults|child/children", the first spelling of each is printed */
    const char *example;   /* a value that fits, as written in a file */
    const char *what;
    const char *items; /* LIST: path of its items, where it is not its own path and "[]" */
} lw_key;

extern const lw_key lw_keys[];
extern const int lw_key_count;

const lw_key *lw_key_at(const char *path);                     /* NULL: no such key */
const lw_key *lw_key_under(const char *path, const char *key); /* of a map, or of the items of a list ("rig.solar[]") */
void lw_key_items(const lw_key *list, char *buf, size_t size); /* path of a list's items */

/* ---- one value (scenario_value.c) ---- */

typedef struct lw_value {
    double si;  /* QUANTITY, LEVEL, BEARING, LATITUDE, LONGITUDE, in the storage unit of dim */
    lw_dim dim; /* LEVEL: FRACTION for a share */
    lw_sureness sureness;
    int word;       /* WORD: place in the list; YESNO: 1 for yes */
    unsigned words; /* WORDS: bit per word */
    uint32_t hours[7];
    lw_moment at, until; /* MOMENT, DATE: at; SPANS: one span */
} lw_value;

/* Types one text by its key and holds it to the key's bounds. On failure err has the sentence, not yet the place. */
LW_MUST_USE lw_code lw_value_read(const lw_key *key, const char *text, lw_value *value, lw_err *err);

/* The n-th word of a list of words, without its other spellings; NULL past the end. Gives buf. */
const char *lw_word_at(const char *words, int n, char *buf, size_t size);

/* ---- reading by the table (scenario_read.c) ---- */

enum { LW_ITEMS = 192 /* as many events as a stay may have */, LW_TEXT_BYTES = 64, LW_LABEL_BYTES = 96 };

typedef struct lw_reader {
    const lw_scenario_from *from;
    const lw_yaml *tree;
    lw_loaded *out;
    lw_err *err;
    lw_code code; /* the first failure; after it every getter gives "nothing" */
    lw_table defaults, rigs, rig_columns, unsure;
    int rig_row;
    int64_t now_s;     /* 0: not said */
    int64_t begin_s;   /* 0: at the arrival */
    int64_t arrived_s; /* the arrival itself, once it is read */
} lw_reader;

/* A map of the schema, an item of a list, or the plain value that stands for one key of it. Absent: node NULL. */
typedef struct lw_scope {
    const lw_yaml_node *node;
    const lw_key *key;          /* of the map or list */
    char path[LW_TEXT_BYTES];   /* in the schema: "rig.solar[]" */
    char label[LW_LABEL_BYTES]; /* for people: "rig.solar.2" */
    char text[LW_TEXT_BYTES];   /* the plain value where it is a part of node's ("20 lb" of "2 x 20 lb") */
} lw_scope;

/* The three tables of defaults; r->code says whether they could be read. */
void lw_read_open_tables(lw_reader *r);
void lw_read_close_tables(lw_reader *r);

void lw_read_version(lw_reader *r); /* a map, and of a version that is known */

/* Holds the whole tree to the table: unknown keys, kinds, units, bounds, required keys. */
void lw_read_check(lw_reader *r);
void lw_read_check_key(lw_reader *r,
                       const char *key); /* only what stands under one key of the root, which must be there */

lw_scope lw_read_root(lw_reader *r);
lw_scope lw_read_map(lw_reader *r, const lw_scope *in, const char *key);
int lw_read_is_given(lw_reader *r, const lw_scope *in, const char *key); /* "none" is not given */

/* Is there such a thing: given and not "none", or else by the rig's row. What the row decides is an assumption. */
int lw_read_has(lw_reader *r, const lw_scope *in, const char *key);

/* Items of a list as scopes; at most LW_ITEMS. An absent list is read from its own default, or gives one absent item where
 * its brief key has one. */
int lw_read_items(lw_reader *r, const lw_scope *in, const char *key, lw_scope items[LW_ITEMS]);

/* Value of a key, else its default, which is then listed as an assumption. 0: neither is there. */
int lw_read_value(lw_reader *r, const lw_scope *in, const char *key, lw_value *value);

double lw_read_si(lw_reader *r, const lw_scope *in, const char *key); /* NaN: nothing */
/* Of a key that may be unsure, with how far off it may be by data/unsure.csv, whose rows of `what` these are; 0: sure. */
double lw_read_unsure(lw_reader *r, const lw_scope *in, const char *key, const char *what, double *sd_frac);
int lw_read_word(lw_reader *r, const lw_scope *in, const char *key);         /* -1: nothing */
int lw_read_yes(lw_reader *r, const lw_scope *in, const char *key);          /* 0: nothing */
const char *lw_read_text(lw_reader *r, const lw_scope *in, const char *key); /* NULL: nothing */
int lw_read_hours(lw_reader *r, const lw_scope *in, const char *key, uint32_t hours[7]);
int lw_read_spans(lw_reader *r, const lw_scope *in, const char *key, lw_span *spans, int most);

/* The UTC second of a moment that stands at a key. One that the clock of the place skips is refused; of one that it shows
 * twice the first is taken, and listed as an assumption. */
int64_t lw_read_instant(lw_reader *r, const lw_scope *in, const char *key, const lw_moment *at);

/* Amount in a vessel of this capacity, by `capacity` of the same scope: refuses more than it holds. NaN: nothing. */
double lw_read_level(lw_reader *r, const lw_scope *in, const char *key, double capacity);

/* Fails at the key's own line (or the scope's, where the key is absent). */
void lw_read_refuse(lw_reader *r, const lw_scope *in, const char *key, lw_code code, const char *fmt, ...)
    LW_PRINTF(5, 6);
void lw_read_note(lw_reader *r, const lw_scope *in, const char *key, const char *fmt, ...) LW_PRINTF(4, 5);
void lw_read_assume(lw_reader *r, const lw_scope *in, const char *key, const char *value, const char *source,
                    const char *kind);

/* A default from data/defaults.csv or the rig's row. 0: there is none. Value is text with its unit. */
typedef struct lw_default {
    char value[LW_TEXT_BYTES];
    char source[160], kind[24];
    int is_by_rig;
} lw_default;
int lw_default_of(const lw_reader *r, const char *path, lw_default *out);
int lw_default_is_by_rig(const char *path);

/* ---- changes that add (scenario_change.c) ---- */

int lw_change_is_added(const char *change); /* "KEY+=VALUE" */

/* The row of the table of keys that a path means: items of lists are named in it. NULL: none. */
const lw_key *lw_key_of_path(const lw_yaml *tree, const char *path);

/* One change to a tree, short forms on its way opened. */
LW_MUST_USE lw_code lw_scenario_apply(lw_yaml *tree, const char *change, lw_err *err);
/* Holds a tree to all that a scenario must keep for its place and stay, and gives one of its sections as text (the caller's). */
LW_MUST_USE lw_code lw_scenario_section(const lw_yaml *tree, const lw_scenario_from *from, const char *key, char **text,
                                        lw_err *err);

/* One more item of a list, or so much more of a quantity or a level; what the file does not say counts from its default. */
LW_MUST_USE lw_code lw_change_add(lw_yaml *tree, const char *change, lw_err *err);

/* ---- sections, in the order in which they are read ---- */
void lw_read_zone(lw_reader *r, const lw_scope *root);
void lw_read_place(lw_reader *r, const lw_scope *root);
void lw_read_terrain(lw_reader *r, const lw_scope *root); /* needs place, whose height and skyline it sets */
void lw_read_stay(lw_reader *r, const lw_scope *root);    /* arrival, departure, calendar */
void lw_read_crew(lw_reader *r, const lw_scope *root);    /* people */
void lw_read_rig(lw_reader *r, const lw_scope *root);     /* needs people; the next three are parts of it */
void lw_read_power(lw_reader *r, const lw_scope *rig);
void lw_read_cabin(lw_reader *r, const lw_scope *rig);
void lw_read_appliances(lw_reader *r, const lw_scope *rig);
/* What a vessel, the battery or the generator is read by: `in` is its scope, `supply` LW_SUPPLY_COUNT for the generator. */
void lw_read_gauges(lw_reader *r, const lw_scope *in, lw_supply supply, double capacity, lw_gauges *gauges);
void lw_read_habits(lw_reader *r, const lw_scope *root);                   /* needs people, rig and place */
void lw_read_course(lw_reader *r, const lw_scope *root);                   /* levels at arrival, events, renewals */
void lw_read_limits(lw_reader *r, const lw_scope *root);                   /* stay rule, permits and deadline */
void lw_read_land(lw_reader *r, const lw_scope *root);                     /* of them rule, permits and earlier stays */
int lw_read_rule(lw_reader *r, const lw_scope *place, lw_stay_rule *rule); /* 1: there is a rule, in *rule */
int lw_season_of(const char *text, lw_season *season);                     /* "09-15 to 04-15"; 0: it is none */
void lw_read_about(lw_reader *r, const lw_scope *root);
void lw_read_travel(lw_reader *r, const lw_scope *root);
void lw_read_weather(lw_reader *r, const lw_scope *root);
void lw_read_climate(lw_reader *r, const lw_scope *root, int is_asked); /* the weather that the place usually has */

void lw_fill_climate(lw_scenario *to,
                     const lw_weather_frame *frame);      /* the hours of the calendar as they usually are */
void lw_fill_snow(const lw_loaded *out, lw_scenario *to); /* what of the precipitation falls as snow */

enum { LW_STATION_SAID = 105 };

/* The climate of the place into `climate`, drawn to a station where one is given, of which `station` then says a few words. */
void lw_find_climate(lw_reader *r, const lw_scope *in, char *station, size_t size);

/* weather.normals, weather.ghcn: draws the site to that station, if either is given. */
void lw_read_station(lw_reader *r, const lw_scope *in, lw_climate_site *site, char *said, size_t size);
void lw_read_forecast(lw_reader *r, const lw_scope *in, const char *name); /* over the usual weather, read before */

#endif
