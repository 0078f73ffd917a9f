#include "book/weather_kept.h"

#include <stdlib.h>

#include "book/book_internal.h"
#include "text/say.h"

void lw_kept_hours_clear(lw_kept_hours *hours)
{
    free(hours->hour);
    *hours = (lw_kept_hours){0};
}

static lw_code want_hour(const lw_kept_hour *h, lw_err *err)
{
    /* Wider than any record: what is refused is a wrong unit or column, not a hard winter. */
    const lw_want WANT[] = {
        {"air_c", h->air_c, -90.0, 70.0},          {"wind_ms", h->wind_ms, 0.0, 120.0},
        {"humidity_frac", h->humidity_frac, 0, 1}, {"ghi_wm2", h->ghi_wm2, 0.0, 2000.0},
        {"precip_mm", h->precip_mm, 0.0, 500.0},   {"snow_mm", h->snow_mm, 0.0, 1000.0},
    };
    lw_code code = lw_want_time("the hour", h->hour_s, 0, err);
    if (!code && h->hour_s % 3600 != 0)
        code = lw_fail(err, LW_E_RANGE, "the hour: %lld s is no whole hour", (long long)h->hour_s);
    for (size_t i = 0; i < sizeof WANT / sizeof WANT[0] && !code; i++) {
        lw_fault fault = {0};
        const int is_known = WANT[i].value == WANT[i].value;
        if (is_known && lw_want_all(&fault, &WANT[i], 1))
            code = lw_fault_say(&fault, err);
    }
    return code;
}

static lw_code put_hours(lw_book *book, sqlite3_stmt *stmt, int64_t place, const char *source, const lw_kept_hour *hour,
                         size_t count, lw_err *err)
{
    lw_code code = LW_OK;
    for (size_t i = 0; i < count && !code; i++) {
        sqlite3_clear_bindings(stmt);
        sqlite3_bind_int64(stmt, 1, place);
        sqlite3_bind_int64(stmt, 2, hour[i].hour_s);
        lw_bind_real(stmt, 3, hour[i].air_c);
        lw_bind_real(stmt, 4, hour[i].wind_ms);
        lw_bind_real(stmt, 5, hour[i].humidity_frac);
        lw_bind_real(stmt, 6, hour[i].ghi_wm2);
        lw_bind_real(stmt, 7, hour[i].precip_mm);
        lw_bind_real(stmt, 8, hour[i].snow_mm);
        lw_bind_text(stmt, 9, source);
        code = lw_book_finish(book, stmt, err);
    }
    return code;
}

lw_code lw_book_put_weather(lw_book *book, int64_t place, const char *source, const lw_kept_hour *hour, size_t count,
                            lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_want_text("the source of the weather", source, LW_BOOK_TEXT_BYTES, 1, err);
    for (size_t i = 0; i < count && !code; i++)
        code = want_hour(&hour[i], err);
    code = code ? code : lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(book,
                           "INSERT INTO past_weather (place, hour_s, air_c, wind_ms, humidity_frac, ghi_wm2, precip_mm,"
                           " snow_mm, source) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)"
                           " ON CONFLICT DO UPDATE SET air_c = excluded.air_c, wind_ms = excluded.wind_ms,"
                           " humidity_frac = excluded.humidity_frac, ghi_wm2 = excluded.ghi_wm2,"
                           " precip_mm = excluded.precip_mm, snow_mm = excluded.snow_mm, source = excluded.source",
                           &stmt, err);
    code = code ? code : put_hours(book, stmt, place, source, hour, count, err);
    sqlite3_finalize(stmt);
    return lw_book_end(book, code, err);
}

lw_code lw_book_weather(lw_book *book, int64_t place, int64_t from_s, int64_t to_s, lw_kept_hours *hours, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_kept_hours made = {0};
    int has_row = 0;
    lw_code code = lw_book_prepare(book,
                                   "SELECT hour_s, air_c, wind_ms, humidity_frac, ghi_wm2, precip_mm, snow_mm"
                                   " FROM past_weather WHERE place = ?1 AND hour_s >= ?2 AND hour_s < ?3"
                                   " ORDER BY hour_s",
                                   &stmt, err);
    if (!code) {
        sqlite3_bind_int64(stmt, 1, place);
        sqlite3_bind_int64(stmt, 2, from_s);
        sqlite3_bind_int64(stmt, 3, to_s);
    }
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row) {
        lw_kept_hour *hour = lw_grow((void **)&made.hour, &made.count, sizeof *hour);
        if (!hour) {
            code = lw_no_memory(err);
            break;
        }
        *hour = (lw_kept_hour){.hour_s = sqlite3_column_int64(stmt, 0),
                               .air_c = lw_column_real(stmt, 1),
                               .wind_ms = lw_column_real(stmt, 2),
                               .humidity_frac = lw_column_real(stmt, 3),
                               .ghi_wm2 = lw_column_real(stmt, 4),
                               .precip_mm = lw_column_real(stmt, 5),
                               .snow_mm = lw_column_real(stmt, 6)};
    }
    sqlite3_finalize(stmt);
    if (code)
        lw_kept_hours_clear(&made);
    else
        *hours = made;
    return code;
}
