#include "book/book_internal.h"

#include <stdio.h>

#include "text/say.h"

/* Every change of a row of a table adds one to the count of changes. */
#define COUNT_ONE " BEGIN UPDATE changes SET count = count + 1; END;"
#define COUNTED(table)                                                                                                 \
    "CREATE TRIGGER " table "_added AFTER INSERT ON " table COUNT_ONE "CREATE TRIGGER " table                          \
    "_changed AFTER UPDATE ON " table COUNT_ONE "CREATE TRIGGER " table "_gone AFTER DELETE ON " table COUNT_ONE

/* Migration n brings a book from schema n to n + 1, in one transaction. What stands here is never changed: books made by
 * it exist. tests/book/schema_N.sql are old ones with rows in them. */
static const char *const MIGRATION[LW_BOOK_SCHEMA] = {
    "CREATE TABLE setting (key TEXT PRIMARY KEY NOT NULL CHECK (key <> ''), value TEXT NOT NULL) STRICT, WITHOUT ROWID;"
    "CREATE TABLE rig (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE CHECK (name <> ''),"
    " doc TEXT NOT NULL) STRICT;"
    "CREATE TABLE crew (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE CHECK (name <> ''),"
    " doc TEXT NOT NULL) STRICT;"
    "CREATE TABLE place (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE CHECK (name <> ''),"
    " latitude_deg REAL NOT NULL CHECK (latitude_deg BETWEEN -90 AND 90),"
    " longitude_deg REAL NOT NULL CHECK (longitude_deg BETWEEN -180 AND 180),"
    " elevation_m REAL CHECK (elevation_m BETWEEN -430 AND 9000), zone TEXT, manager TEXT, doc TEXT NOT NULL) STRICT;"
    "CREATE TABLE stay (id INTEGER PRIMARY KEY AUTOINCREMENT,"
    " place INTEGER NOT NULL REFERENCES place (id), rig INTEGER NOT NULL REFERENCES rig (id),"
    " crew INTEGER NOT NULL REFERENCES crew (id), arrival_s INTEGER NOT NULL,"
    " departure_s INTEGER CHECK (departure_s >= arrival_s), left_s INTEGER CHECK (left_s >= arrival_s),"
    " doc TEXT NOT NULL) STRICT;"
    "CREATE TABLE entry (seq INTEGER PRIMARY KEY AUTOINCREMENT, id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),"
    " device TEXT NOT NULL CHECK (device <> ''), stay INTEGER REFERENCES stay (id), stated_s INTEGER NOT NULL,"
    " device_s INTEGER NOT NULL, server_s INTEGER NOT NULL, kind TEXT NOT NULL CHECK (kind <> ''), target TEXT,"
    " low REAL, high REAL, unit TEXT, amount REAL, said TEXT, note TEXT,"
    " undoes BLOB UNIQUE REFERENCES entry (id),"
    " is_clock_doubted INTEGER NOT NULL DEFAULT 0 CHECK (is_clock_doubted IN (0, 1)),"
    " CHECK (low <= high), CHECK ((low IS NULL) = (high IS NULL)), CHECK ((kind = 'undo') = (undoes IS NOT NULL)))"
    " STRICT;"
    "CREATE TRIGGER entry_stays BEFORE DELETE ON entry BEGIN SELECT raise(ABORT, 'an entry is never deleted'); END;"
    "CREATE TRIGGER entry_is_fixed BEFORE UPDATE OF seq, id, device, stay, device_s, server_s, kind, target, low, high,"
    " unit, amount, said, note, undoes ON entry BEGIN SELECT raise(ABORT, 'an entry is never changed'); END;",

    /* What more a kind has; weather that was; outlooks kept for scoring; what the questions of every day search by. */
    "ALTER TABLE entry ADD COLUMN detail TEXT;"
    "CREATE TRIGGER entry_detail_is_fixed BEFORE UPDATE OF detail ON entry"
    " BEGIN SELECT raise(ABORT, 'an entry is never changed'); END;"
    "CREATE INDEX entry_by_time ON entry (stated_s, seq);"
    "CREATE INDEX entry_by_stay ON entry (stay, stated_s, seq) WHERE stay IS NOT NULL;"
    "CREATE INDEX entry_by_target ON entry (kind, target, stated_s, seq);"
    "CREATE INDEX entry_by_stay_target ON entry (stay, kind, target, stated_s, seq) WHERE stay IS NOT NULL;"
    "CREATE INDEX entry_doubted ON entry (device) WHERE is_clock_doubted = 1;"
    "CREATE INDEX stay_by_arrival ON stay (arrival_s);"
    "CREATE TABLE past_weather (place INTEGER NOT NULL REFERENCES place (id),"
    " hour_s INTEGER NOT NULL CHECK (hour_s % 3600 = 0), air_c REAL, wind_ms REAL CHECK (wind_ms >= 0),"
    " humidity_frac REAL CHECK (humidity_frac BETWEEN 0 AND 1), ghi_wm2 REAL CHECK (ghi_wm2 >= 0),"
    " precip_mm REAL CHECK (precip_mm >= 0), snow_mm REAL CHECK (snow_mm >= 0), source TEXT NOT NULL,"
    " PRIMARY KEY (place, hour_s)) STRICT, WITHOUT ROWID;"
    "CREATE TABLE forecast (id BLOB PRIMARY KEY NOT NULL CHECK (length(id) = 16), made_s INTEGER NOT NULL,"
    " stay INTEGER REFERENCES stay (id), program_version TEXT NOT NULL, table_hash TEXT NOT NULL, seed INTEGER NOT "
    "NULL,"
    " draws INTEGER NOT NULL CHECK (draws >= 0), input TEXT NOT NULL, result TEXT NOT NULL) STRICT;"
    "CREATE INDEX forecast_by_stay ON forecast (stay, made_s);"
    "CREATE INDEX forecast_by_time ON forecast (made_s);",

    /* What a stay was like, once it is over. */
    "ALTER TABLE stay ADD COLUMN summary TEXT;",

    /* What was learned of a stay (book/learned.h): no more than a cache. */
    ("CREATE TABLE learned (stay INTEGER PRIMARY KEY REFERENCES stay (id), key INTEGER NOT NULL,"
     " moment_s INTEGER NOT NULL, draws BLOB NOT NULL) STRICT;"),

    /* Places and services from map files (book/spots.h), by where they are. */
    ("CREATE TABLE map_source (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE CHECK (name <> ''),"
     " credit TEXT, imported_s INTEGER NOT NULL) STRICT;"
     "CREATE TABLE spot (id INTEGER PRIMARY KEY AUTOINCREMENT, source INTEGER NOT NULL REFERENCES map_source (id),"
     " key TEXT NOT NULL CHECK (key <> ''), name TEXT, kinds INTEGER NOT NULL CHECK (kinds > 0),"
     " fit INTEGER NOT NULL CHECK (fit BETWEEN 0 AND 2),"
     " latitude_deg REAL NOT NULL CHECK (latitude_deg BETWEEN -90 AND 90),"
     " longitude_deg REAL NOT NULL CHECK (longitude_deg BETWEEN -180 AND 180), detail TEXT,"
     " imported_s INTEGER NOT NULL, UNIQUE (source, key)) STRICT;"
     "CREATE VIRTUAL TABLE spot_box USING rtree (id, west, east, south, north);"),

    /* Devices of the household's network, what they were answered first, and a count of changes for those who look again. */
    ("CREATE TABLE device (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL CHECK (name <> ''),"
     " token_hash BLOB NOT NULL UNIQUE CHECK (length(token_hash) = 32), paired_s INTEGER NOT NULL, seen_s INTEGER) "
     "STRICT;"
     "CREATE TABLE answered (id BLOB PRIMARY KEY NOT NULL CHECK (length(id) = 16), server_s INTEGER NOT NULL,"
     " answer TEXT NOT NULL) STRICT, WITHOUT ROWID;"
     "CREATE TABLE changes (one INTEGER PRIMARY KEY CHECK (one = 1), count INTEGER NOT NULL) STRICT;"
     "INSERT INTO changes VALUES (1, 0);" COUNTED("setting") COUNTED("rig") COUNTED("crew") COUNTED("place")
         COUNTED("stay") COUNTED("entry")),

    /* When the data of a map is of; areas of land managers (book/lands.h); kinds that are rare are found without their box. */
    ("ALTER TABLE map_source ADD COLUMN data_s INTEGER;"
     "CREATE INDEX spot_by_kinds ON spot (kinds);"
     "CREATE TABLE land (id INTEGER PRIMARY KEY AUTOINCREMENT, source INTEGER NOT NULL REFERENCES map_source (id),"
     " key TEXT NOT NULL CHECK (key <> ''), name TEXT, manager TEXT, said TEXT, access TEXT, designation TEXT,"
     " shape BLOB NOT NULL, imported_s INTEGER NOT NULL, UNIQUE (source, key)) STRICT;"
     "CREATE VIRTUAL TABLE land_box USING rtree (id, west, east, south, north);"),

    /* Published mobile coverage, and lists of cells (book/signal_maps.h). */
    ("CREATE TABLE coverage (id INTEGER PRIMARY KEY AUTOINCREMENT, source INTEGER NOT NULL REFERENCES map_source (id),"
     " key TEXT NOT NULL CHECK (key <> ''), who TEXT NOT NULL CHECK (who <> ''), technology INTEGER NOT NULL,"
     " is_in_vehicles INTEGER NOT NULL CHECK (is_in_vehicles IN (0, 1)), down_mbit REAL, up_mbit REAL,"
     " shape BLOB NOT NULL, imported_s INTEGER NOT NULL, UNIQUE (source, key)) STRICT;"
     "CREATE INDEX coverage_by_who ON coverage (who);"
     "CREATE VIRTUAL TABLE coverage_box USING rtree (id, west, east, south, north);"
     "CREATE TABLE cell (id INTEGER PRIMARY KEY AUTOINCREMENT, source INTEGER NOT NULL REFERENCES map_source (id),"
     " key TEXT NOT NULL CHECK (key <> ''), mcc INTEGER NOT NULL, net INTEGER NOT NULL,"
     " radio INTEGER NOT NULL CHECK (radio IN (0, 1)), mast INTEGER NOT NULL,"
     " latitude_deg REAL NOT NULL CHECK (latitude_deg BETWEEN -90 AND 90),"
     " longitude_deg REAL NOT NULL CHECK (longitude_deg BETWEEN -180 AND 180), samples REAL NOT NULL,"
     " is_exact INTEGER NOT NULL CHECK (is_exact IN (0, 1)), imported_s INTEGER NOT NULL, UNIQUE (source, key)) STRICT;"
     "CREATE VIRTUAL TABLE cell_box USING rtree (id, west, east, south, north);"),

    /* Trips kept by name; how long a load lasts at places and dates, no more than a cache (book/trips.h). */
    ("CREATE TABLE trip (name TEXT PRIMARY KEY NOT NULL CHECK (name <> ''), made_s INTEGER NOT NULL, camp TEXT NOT "
     "NULL,"
     " input TEXT NOT NULL, result TEXT NOT NULL) STRICT, WITHOUT ROWID;" COUNTED(
         "trip") "CREATE TABLE trip_lasting (id INTEGER PRIMARY KEY AUTOINCREMENT, form INTEGER NOT NULL, key INTEGER "
                 "NOT NULL,"
                 " nights BLOB NOT NULL, UNIQUE (form, key)) STRICT;"),

    /* The index of spots knows their kinds too, as a third side of its boxes: from the lowest bit to half a step above the highest. */
    ("CREATE VIRTUAL TABLE spot_kind_box USING rtree (id, west, east, south, north, kind_low, kind_high);"
     "WITH RECURSIVE step (bit) AS (SELECT 0 UNION ALL SELECT bit + 1 FROM step WHERE bit < 31),"
     " span (kinds, low, high) AS MATERIALIZED (SELECT kinds, min(bit), max(bit) + 0.5"
     " FROM (SELECT DISTINCT kinds FROM spot) JOIN step ON kinds >> bit & 1 GROUP BY kinds)"
     " INSERT INTO spot_kind_box SELECT s.id, s.longitude_deg, s.longitude_deg, s.latitude_deg, s.latitude_deg,"
     " span.low, span.high FROM spot_box b CROSS JOIN spot s ON s.id = b.id JOIN span ON span.kinds = s.kinds;"
     "DROP TABLE spot_box;"
     "DROP INDEX spot_by_kinds;"),

    /* Roads of map files (book/road_map.h); their class is a side of the boxes. */
    ("CREATE TABLE road (id INTEGER PRIMARY KEY AUTOINCREMENT, source INTEGER NOT NULL REFERENCES map_source (id),"
     " key TEXT NOT NULL CHECK (key <> ''), name TEXT, class INTEGER NOT NULL CHECK (class >= 0), surface TEXT,"
     " paved INTEGER NOT NULL CHECK (paved BETWEEN 0 AND 2), needs INTEGER NOT NULL CHECK (needs >= 0),"
     " grade_frac REAL CHECK (grade_frac BETWEEN 0 AND 1), season TEXT,"
     " dry_only INTEGER NOT NULL CHECK (dry_only BETWEEN 0 AND 2), access TEXT, detail TEXT, shape BLOB NOT NULL,"
     " imported_s INTEGER NOT NULL, UNIQUE (source, key)) STRICT;"
     "CREATE VIRTUAL TABLE road_box USING rtree (id, west, east, south, north, class_low, class_high);"
     /* The chance of a work day that was reckoned for a spot (book/signal_maps.h): no more than a cache. */
     "CREATE TABLE signal_seen (latitude_e6 INTEGER NOT NULL, longitude_e6 INTEGER NOT NULL, key INTEGER NOT NULL,"
     " frac REAL, PRIMARY KEY (latitude_e6, longitude_e6)) STRICT, WITHOUT ROWID;"),
};

typedef struct marks {
    int64_t application, schema, tables;
} marks;

/* All in one look: another program may be making the book at this moment. */
static lw_code read_marks(lw_book *book, marks *m, lw_err *err)
{
    lw_code code = lw_book_run(book, "SAVEPOINT look", err);
    if (code)
        return code;
    code = lw_book_count(book, "PRAGMA application_id", &m->application, err);
    code = code ? code : lw_book_count(book, "PRAGMA user_version", &m->schema, err);
    code = code ? code : lw_book_count(book, "SELECT count(*) FROM sqlite_schema", &m->tables, err);
    (void)sqlite3_exec(book->db, "RELEASE look", NULL, NULL, NULL);
    return code;
}

static int is_empty(const marks *m)
{
    return m->application == 0 && m->schema == 0 && m->tables == 0;
}

static lw_code want_ours(const lw_book *book, const marks *m, lw_err *err)
{
    if (m->application != LW_BOOK_APPLICATION || m->schema < 1)
        lw_fail(err, LW_E_SYNTAX, "is the database of another program, not a book of Leeway; name another file");
    else if (m->schema > LW_BOOK_SCHEMA)
        lw_fail(err, LW_E_CONFLICT,
                "was written by a newer Leeway (schema %lld; this one knows up to %d); update Leeway to open it",
                (long long)m->schema, (int)LW_BOOK_SCHEMA);
    else
        return LW_OK;
    return lw_err_at(err, book->path, 0, NULL);
}

static lw_code migrate(lw_book *book, int64_t from, lw_err *err)
{
    char sql[64];
    /* With SQLite's usual 2 MB an index of many spots is read and written over and over. */
    lw_code code = lw_book_run(book, "PRAGMA cache_size = -65536", err);
    code = code ? code : lw_book_run(book, MIGRATION[from], err);
    snprintf(sql, sizeof sql, "PRAGMA user_version = %lld", (long long)from + 1);
    code = code ? code : lw_book_run(book, sql, err);
    snprintf(sql, sizeof sql, "PRAGMA application_id = %d", (int)LW_BOOK_APPLICATION);
    return code ? code : lw_book_run(book, sql, err);
}

/* One step up inside a transaction: another program may have been first, so the marks are read there again. */
static lw_code step_up(lw_book *book, int *is_done, lw_err *err)
{
    marks m = {0};
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = read_marks(book, &m, err);
    if (!code && !is_empty(&m))
        code = want_ours(book, &m, err);
    *is_done = !code && m.schema == LW_BOOK_SCHEMA;
    if (!code && !*is_done)
        code = migrate(book, m.schema, err);
    return lw_book_end(book, code, err);
}

lw_code lw_schema_settle(lw_book *book, lw_err *err)
{
    marks m = {0};
    lw_code code = read_marks(book, &m, err);
    if (!code && !is_empty(&m))
        code = want_ours(book, &m, err);
    int is_done = !code && m.schema == LW_BOOK_SCHEMA;
    while (!code && !is_done)
        code = step_up(book, &is_done, err);
    return code;
}

lw_code lw_schema_want_ours(lw_book *book, lw_err *err)
{
    marks m = {0};
    const lw_code code = read_marks(book, &m, err);
    return code || is_empty(&m) ? code : want_ours(book, &m, err);
}

lw_code lw_schema_look(lw_book *book, lw_err *err)
{
    marks m = {0};
    const lw_code code = read_marks(book, &m, err);
    if (code || want_ours(book, &m, err))
        return err->code;
    if (m.schema == LW_BOOK_SCHEMA)
        return LW_OK;
    lw_fail(err, LW_E_IO,
            "is of an earlier Leeway (schema %lld) and must be brought up to date, but takes no writes: %s",
            (long long)m.schema, book->why);
    return lw_err_at(err, book->path, 0, NULL);
}
