/* What was read and done in a stay, supply by supply, against its first forecast. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "service/entries_apply.h"
#include "service/stay_end_internal.h"
#include "text/say.h"

static const double END_FRAC = 0.05; /* of what a vessel holds: what a gauge calls its end; from judgement */
static const double DAY_S = 86400.0;

/* All vessels of a supply at one moment, as shares of what they hold. */
typedef struct look {
    int64_t at_s;
    double low, high;
} look;

typedef struct course {
    const lw_loaded *rig;
    const lw_log_record *record; /* by time */
    int count;
    const lw_forecast *forecast;
    int64_t left_s;
} course;

static lw_supply supply_of(const lw_loaded *rig, int vessel)
{
    return vessel >= 0 ? rig->scenario->rig.vessel[vessel].supply : LW_SUPPLY_BATTERY;
}

static int is_of(const course *c, const lw_log_record *r, lw_supply supply)
{
    return r->also == 0 && r->vessel >= LW_LOG_BATTERY && supply_of(c->rig, r->vessel) == supply;
}

/* The first fill, dump or gift after the forecast was made, or the leaving. */
static int64_t served_at(const course *c, lw_supply supply)
{
    for (int i = 0; i < c->count; i++) {
        const lw_log_record *r = &c->record[i];
        if (r->kind > LW_LOG_READING && r->kind < LW_LOG_PEOPLE && r->at_s > c->forecast->start_s &&
            is_of(c, r, supply))
            return r->at_s < c->left_s ? r->at_s : c->left_s;
    }
    return c->left_s;
}

static int vessels_of(const lw_rig *rig, lw_supply supply, double *capacity)
{
    int count = 0;
    *capacity = 0.0;
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].supply == supply) {
            *capacity += rig->vessel[v].capacity;
            count++;
        }
    return count;
}

/* The reading at `i` with the others of its moment: 1 where together they are all vessels of the supply. */
static int look_at(const course *c, lw_supply supply, int i, look *to)
{
    const lw_rig *rig = &c->rig->scenario->rig;
    double capacity, low = 0.0, high = 0.0;
    uint32_t seen = 0;
    int vessels = vessels_of(rig, supply, &capacity);
    for (int k = i; k < c->count && c->record[k].at_s == c->record[i].at_s; k++) {
        const lw_log_record *r = &c->record[k];
        if (r->kind != LW_LOG_READING || !is_of(c, r, supply))
            continue;
        if (supply == LW_SUPPLY_BATTERY) {
            if (strcmp(r->unit, "frac") != 0)
                continue;
            *to = (look){r->at_s, fmax(r->low, 0.0), fmin(r->high, 1.0)};
            return 1;
        }
        if (seen >> r->vessel & 1u)
            continue;
        seen |= 1u << r->vessel;
        vessels--;
        low += fmax(r->low, 0.0);
        high += fmin(r->high, rig->vessel[r->vessel].capacity);
    }
    *to = (look){c->record[i].at_s, low / capacity, high / capacity};
    return vessels == 0 && capacity > 0.0;
}

static int is_end(lw_supply supply, const look *l)
{
    return lw_supply_fills(supply) ? l->low >= 1.0 - END_FRAC : l->high <= END_FRAC;
}

static void compare(const lw_forecast *f, const look *l, lw_supply_summary *to, double *off)
{
    double band[LW_QUANTILES];
    if (!lw_forecast_level(f, to->supply, l->at_s, band))
        return;
    to->compared++;
    to->inside += l->low <= band[2] && l->high >= band[0];
    *off += fabs(0.5 * (l->low + l->high) - band[1]);
    memcpy(to->band, band, sizeof band);
    to->read_low = l->low;
    to->read_high = l->high;
}

static double days_or_beyond(double days)
{
    return isinf(days) ? LW_BEYOND_DAYS : days;
}

static void summarise(const course *c, lw_supply supply, lw_supply_summary *to)
{
    const lw_forecast *f = c->forecast;
    const double *days = f->supply[supply].days;
    const int64_t until_s = served_at(c, supply);
    int64_t seen_s = f->start_s;
    double off = 0.0;
    *to = (lw_supply_summary){.supply = supply,
                              .ends = {.p10_days = days_or_beyond(days[0]),
                                       .p50_days = days_or_beyond(days[1]),
                                       .p90_days = days_or_beyond(days[2]),
                                       .is_left_early = 1},
                              .happened_s = until_s,
                              .band = {NAN, NAN, NAN},
                              .read_low = NAN,
                              .read_high = NAN};
    int looks = 0;
    for (int i = 0; i < c->count && to->happened != LW_HAPPENED_ENDED; i++) {
        const lw_log_record *r = &c->record[i];
        look l;
        if (r->kind != LW_LOG_READING || r->at_s <= f->start_s || r->at_s > until_s || !is_of(c, r, supply) ||
            (i > 0 && c->record[i - 1].at_s == r->at_s && is_of(c, &c->record[i - 1], supply)) ||
            !look_at(c, supply, i, &l))
            continue;
        compare(f, &l, to, &off);
        looks++;
        if (is_end(supply, &l)) {
            to->happened = LW_HAPPENED_ENDED;
            to->happened_s = seen_s + (l.at_s - seen_s) / 2;
            to->ends.is_left_early = 0;
        } else
            seen_s = l.at_s;
    }
    if (to->happened != LW_HAPPENED_ENDED) {
        to->happened = until_s < c->left_s ? LW_HAPPENED_SERVED : looks > 0 ? LW_HAPPENED_LASTED : LW_HAPPENED_UNREAD;
        to->ends.happened_days = (double)(seen_s - f->start_s) / DAY_S;
    } else
        to->ends.happened_days = (double)(to->happened_s - f->start_s) / DAY_S;
    to->off_frac = to->compared > 0 ? off / to->compared : (double)NAN;
}

static int first_of(const lw_stay_summary *s)
{
    int first = -1;
    for (int i = 0; i < s->supply_count; i++) {
        const lw_supply_summary *of = &s->supply[i];
        if ((of->happened == LW_HAPPENED_ENDED || of->happened == LW_HAPPENED_SERVED) &&
            (first < 0 || of->happened_s < s->supply[first].happened_s))
            first = i;
    }
    return first < 0 ? -1 : (int)s->supply[first].supply;
}

lw_code lw_stay_compare(const lw_loaded *rig, const lw_entries *entries, const lw_forecast *forecast,
                        lw_stay_summary *summary, lw_err *err)
{
    lw_log_record *record = calloc(entries->count + 1, sizeof *record);
    course c = {.rig = rig, .record = record, .forecast = forecast, .left_s = summary->left_s};
    if (!record)
        return lw_fail(err, LW_E_FULL, "no memory for the summary of a stay");
    for (size_t i = 0; i < entries->count; i++)
        c.count += lw_record_of_entry(rig, &entries->entry[i], &record[c.count]);
    summary->forecast_s = forecast->made_s;
    summary->draws = forecast->draws;
    summary->binding = forecast->binding;
    for (int k = 0; k < LW_SUPPLY_STAY; k++)
        if (forecast->supply[k].is_present)
            summarise(&c, (lw_supply)k, &summary->supply[summary->supply_count++]);
    summary->first = first_of(summary);
    free(record);
    return LW_OK;
}
