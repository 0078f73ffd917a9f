/* The days of a station, counted: see exchange/ghcn.h. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "exchange/ghcn_internal.h"
#include "text/decimal.h"
#include "text/say.h"

static const double TURN = 2.0 * 3.14159265358979323846;
static const double YEAR_DAYS = 365.25;

enum { HARMONICS = 3, TERMS = 1 + 2 * HARMONICS, WET_TENTHS = 3 /* 0.25 mm, 0.01 inch */ };

static int value_at(const lw_ghcn_days *days, int element, int year, int month, int day)
{
    return days->tenths[element][lw_ghcn_slot(year, month, day)];
}

/* Both extremes of a day in degC. */
static int extremes_at(const lw_ghcn_days *days, int year, int month, int day, double *tmax_c, double *tmin_c)
{
    const int high = value_at(days, LW_GHCN_TMAX, year, month, day),
              low = value_at(days, LW_GHCN_TMIN, year, month, day);
    if (high == LW_GHCN_NONE || low == LW_GHCN_NONE)
        return 0;
    *tmax_c = high / 10.0;
    *tmin_c = low / 10.0;
    return 1;
}

static void drop_turned_pairs(lw_ghcn_days *days)
{
    for (int i = 0; i < LW_GHCN_SLOTS; i++) {
        int16_t *high = &days->tenths[LW_GHCN_TMAX][i], *low = &days->tenths[LW_GHCN_TMIN][i];
        if (*high != LW_GHCN_NONE && *low != LW_GHCN_NONE && *high < *low) {
            *high = *low = LW_GHCN_NONE;
            days->dropped_as_wrong += 2;
        }
    }
}

static int year_has_any(const lw_ghcn_days *days, int year)
{
    const int from = lw_ghcn_slot(year, 1, 1), to = lw_ghcn_slot(year, 12, 31);
    for (int e = 0; e < LW_GHCN_ELEMENTS; e++)
        for (int i = from; i <= to; i++)
            if (days->tenths[e][i] != LW_GHCN_NONE)
                return 1;
    return 0;
}

/* ---- the smooth normal of each day ---- */

typedef struct normal {
    double high[TERMS], low[TERMS];
} normal;

static void terms_of(int year, int month, int day, double x[TERMS])
{
    const double day_of_year =
        (double)(lw_day_of((lw_date){year, month, day}) - lw_day_of((lw_date){year, 1, 1})) + 0.5;
    x[0] = 1.0;
    for (size_t k = 1; k <= HARMONICS; k++) {
        x[2 * k - 1] = cos(TURN * (double)k * day_of_year / YEAR_DAYS);
        x[2 * k] = sin(TURN * (double)k * day_of_year / YEAR_DAYS);
    }
}

static double sum_of(const double coef[TERMS], const double x[TERMS])
{
    double sum = 0.0;
    for (int i = 0; i < TERMS; i++)
        sum += coef[i] * x[i];
    return sum;
}

/* Gauss with the largest pivot, two right sides at once; 0 when the days do not settle the coefficients. */
static int solve(double a[TERMS][TERMS + 2], normal *out)
{
    for (int c = 0; c < TERMS; c++) {
        int pivot = c;
        for (int r = c + 1; r < TERMS; r++)
            pivot = fabs(a[r][c]) > fabs(a[pivot][c]) ? r : pivot;
        if (!(fabs(a[pivot][c]) > 1e-6))
            return 0;
        for (int k = 0; k < TERMS + 2; k++) {
            const double kept = a[c][k];
            a[c][k] = a[pivot][k];
            a[pivot][k] = kept;
        }
        for (int r = 0; r < TERMS; r++) {
            const double part = r == c ? 0.0 : a[r][c] / a[c][c];
            for (int k = c; k < TERMS + 2; k++)
                a[r][k] -= part * a[c][k];
        }
    }
    for (int c = 0; c < TERMS; c++) {
        out->high[c] = a[c][TERMS] / a[c][c];
        out->low[c] = a[c][TERMS + 1] / a[c][c];
    }
    return 1;
}

static int fit_normal(const lw_ghcn_days *days, int first_year, int last_year, normal *out)
{
    double a[TERMS][TERMS + 2] = {{0.0}};
    for (int year = first_year; year <= last_year; year++)
        for (int month = 1; month <= LW_MONTHS; month++)
            for (int day = 1; day <= lw_days_in_month(year, month); day++) {
                double x[TERMS], high, low;
                if (!extremes_at(days, year, month, day, &high, &low))
                    continue;
                terms_of(year, month, day, x);
                for (int i = 0; i < TERMS; i++) {
                    for (int k = 0; k < TERMS; k++)
                        a[i][k] += x[i] * x[k];
                    a[i][TERMS] += x[i] * high;
                    a[i][TERMS + 1] += x[i] * low;
                }
            }
    return solve(a, out);
}

/* ---- sums by month ---- */

typedef struct sums {
    int days, pairs, rain_days, wet_days;
    double high, low, anomaly2, range2, lag, lag_first2, lag_second2, rain_mm;
} sums;

static void add_rain(const lw_ghcn_days *days, int year, int month, int day, sums *s)
{
    const int tenths = value_at(days, LW_GHCN_PRCP, year, month, day);
    if (tenths == LW_GHCN_NONE)
        return;
    s->rain_days++;
    if (tenths < WET_TENTHS)
        return;
    s->wet_days++;
    s->rain_mm += tenths / 10.0;
}

static void add_up(const lw_ghcn_days *days, int first_year, int last_year, const normal *fit, sums month_sums[])
{
    double before = NAN; /* anomaly of the day before */
    for (int year = first_year; year <= last_year; year++)
        for (int month = 1; month <= LW_MONTHS; month++)
            for (int day = 1; day <= lw_days_in_month(year, month); day++) {
                sums *s = &month_sums[month - 1];
                double x[TERMS], high, low, anomaly = NAN;
                add_rain(days, year, month, day, s);
                if (extremes_at(days, year, month, day, &high, &low)) {
                    terms_of(year, month, day, x);
                    const double usual_high = sum_of(fit->high, x), usual_low = sum_of(fit->low, x);
                    const double range = (high - low) - (usual_high - usual_low);
                    anomaly = 0.5 * (high + low) - 0.5 * (usual_high + usual_low);
                    s->days++;
                    s->high += high;
                    s->low += low;
                    s->anomaly2 += anomaly * anomaly;
                    s->range2 += range * range;
                }
                if (!isnan(anomaly) && !isnan(before)) {
                    s->pairs++;
                    s->lag += anomaly * before;
                    s->lag_first2 += before * before;
                    s->lag_second2 += anomaly * anomaly;
                }
                before = anomaly;
            }
}

static void put_month(const sums *s, int month, lw_ghcn_climate *c)
{
    static const double MONTH_DAYS[LW_MONTHS] = {31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    const int is_warmth_known = s->days >= LW_GHCN_DAYS_LEAST, is_rain_known = s->rain_days >= LW_GHCN_DAYS_LEAST;
    lw_station_climate *b = &c->base;
    b->tmax_c[month] = is_warmth_known ? s->high / s->days : NAN;
    b->tmin_c[month] = is_warmth_known ? s->low / s->days : NAN;
    b->wet_frac[month] = is_rain_known ? (double)s->wet_days / s->rain_days : NAN;
    b->precip_mm[month] = is_rain_known ? s->rain_mm / s->rain_days * MONTH_DAYS[month] : NAN;
    c->sd_k[month] = is_warmth_known ? sqrt(s->anomaly2 / s->days) : NAN;
    c->sd_range_k[month] = is_warmth_known ? sqrt(s->range2 / s->days) : NAN;
    const double spread2 = sqrt(s->lag_first2 * s->lag_second2);
    c->r1[month] = s->pairs >= LW_GHCN_DAYS_LEAST / 2 && spread2 > 0.0 ? s->lag / spread2 : NAN;
    c->wet_mm[month] = is_rain_known && s->wet_days > 0 ? s->rain_mm / s->wet_days : NAN;
    const unsigned bit = 1u << month;
    b->has[LW_STATION_TMAX] |= is_warmth_known ? bit : 0u;
    b->has[LW_STATION_TMIN] |= is_warmth_known ? bit : 0u;
    b->has[LW_STATION_WET] |= is_rain_known ? bit : 0u;
    b->has[LW_STATION_PRECIP] |= is_rain_known ? bit : 0u;
}

static int count_pairs(const lw_ghcn_days *days, int first_year, int last_year)
{
    int count = 0;
    const int from = lw_ghcn_slot(first_year, 1, 1), to = lw_ghcn_slot(last_year, 12, 31);
    for (int i = from; i <= to; i++)
        count += days->tenths[LW_GHCN_TMAX][i] != LW_GHCN_NONE && days->tenths[LW_GHCN_TMIN][i] != LW_GHCN_NONE;
    return count;
}

/* The last years with any day in them; years without one in between do not count. */
static int find_years(const lw_ghcn_days *days, int *first_year, int *last_year)
{
    int kept = 0;
    for (int year = LW_GHCN_LAST_YEAR; year >= LW_GHCN_FIRST_YEAR && kept < LW_GHCN_YEARS_KEPT; year--)
        if (year_has_any(days, year)) {
            *last_year = kept ? *last_year : year;
            *first_year = year;
            kept++;
        }
    return kept;
}

lw_code lw_ghcn_climate_of(lw_ghcn_days *days, lw_ghcn_climate *out, lw_err *err)
{
    int first_year = 0, last_year = 0;
    normal fit;
    drop_turned_pairs(days);
    const int kept = find_years(days, &first_year, &last_year);
    const double years = kept ? count_pairs(days, first_year, last_year) / YEAR_DAYS : 0.0;
    if (years < LW_GHCN_YEARS_LEAST)
        return lw_fail(err, LW_E_MISSING,
                       "station %s has %s years of days with maximum and minimum; a climate needs %d at the least",
                       lw_quoted(days->id, strlen(days->id)).text, lw_num(floor(years * 10.0) / 10.0).text,
                       LW_GHCN_YEARS_LEAST);
    if (!fit_normal(days, first_year, last_year, &fit))
        return lw_fail(err, LW_E_MISSING, "the days of station %s are all of one part of the year",
                       lw_quoted(days->id, strlen(days->id)).text);
    sums month_sums[LW_MONTHS] = {{0}};
    add_up(days, first_year, last_year, &fit, month_sums);
    *out = (lw_ghcn_climate){.first_year = first_year,
                             .last_year = last_year,
                             .years = years,
                             .dropped_by_flag = days->dropped_by_flag,
                             .dropped_as_wrong = days->dropped_as_wrong};
    lw_station_climate *b = &out->base;
    snprintf(b->id, sizeof b->id, "%.31s", lw_quoted(days->id, strlen(days->id)).text);
    snprintf(b->name, sizeof b->name, "%s", days->name);
    snprintf(b->period, sizeof b->period, "%d-%d", first_year, last_year);
    b->latitude_deg = days->place[0], b->longitude_deg = days->place[1], b->elevation_m = days->place[2];
    for (int month = 0; month < LW_MONTHS; month++)
        put_month(&month_sums[month], month, out);
    return LW_OK;
}
