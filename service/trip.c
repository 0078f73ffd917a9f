#include "service/trip.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "exchange/yaml_tree.h"
#include "service/household.h"
#include "service/stays.h"
#include "service/trip_internal.h"
#include "service/words_internal.h"
#include "text/moment.h"
#include "text/say.h"

enum {
    WIDTH = 4096,
    SIFT_DRAWS = 2000,
    KNOWN_ELSEWHERE_PARTS = 5,
    ELSEWHERE_PARTS = 2,
    TIGHTENED_MOST = 5,
    NEAR_DAYS = 7,
    NAMED_MOST = 6
};

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* ---- how far it is: tables, then each plan's searches and its measuring, told as one ---- */

enum { WHOLE = 1000, TABLES = 300 };
static const double TELL_S = 0.05;

typedef struct pace {
    const lw_trip_ask *outer;
    int from, until; /* of the whole: the part that is worked on */
    int told;
    double told_s;
} pace;

static int tell_part(void *with, int done, int of)
{
    pace *p = with;
    const int at = p->from + (of > 0 ? (int)((int64_t)(p->until - p->from) * (done < of ? done : of) / of) : 0);
    const double now = now_s();
    if (at <= p->told && now - p->told_s < TELL_S)
        return 1;
    p->told = at > p->told ? at : p->told;
    p->told_s = now;
    return p->outer->progress(p->outer->with, p->told, WHOLE);
}

static int enough_of_part(void *with)
{
    const pace *p = with;
    return p->outer->is_enough(p->outer->with);
}

static lw_trip_ask paced(const lw_trip_ask *ask, pace *p)
{
    lw_trip_ask inner = *ask;
    *p = (pace){.outer = ask, .until = TABLES, .told = -1};
    inner.progress = ask->progress ? tell_part : NULL;
    inner.is_enough = ask->is_enough ? enough_of_part : NULL;
    inner.with = p;
    return inner;
}

static void pace_to(pace *p, int until)
{
    p->from = p->until;
    p->until = until;
}

int lw_trip_is_enough(const lw_trip_ask *ask)
{
    return ask->is_enough && ask->is_enough(ask->with);
}

/* ---- the solver ---- */

typedef struct timer {
    const lw_trip_ask *ask;
    double began_s, seconds;
    int is_stopped;
} timer;

static int has_time(void *with, const lw_trip_out *so_far)
{
    timer *t = with;
    const double gone_s = now_s() - t->began_s;
    if (t->ask->progress && !t->ask->progress(t->ask->with, (int)(gone_s / t->seconds * WHOLE), WHOLE))
        t->is_stopped = 1;
    return !t->is_stopped && gone_s < t->seconds && !(so_far->is_found && lw_trip_is_enough(t->ask));
}

lw_code lw_trip_solve(const lw_trip_ask *ask, const lw_trip_tables *t, double seconds, int is_any_enough,
                      lw_trip_out *out, lw_err *err)
{
    timer time = {.ask = ask, .began_s = now_s(), .seconds = seconds};
    lw_fault fault = {0};
    lw_arena arena = {.cap = lw_trip_bytes(&t->in, WIDTH)};
    const lw_trip_how how = {.go_on = has_time, .with = &time, .is_any_enough = is_any_enough};
    if (lw_trip_check(&t->in, &fault))
        return lw_fault_say(&fault, err);
    arena.base = malloc(arena.cap);
    if (!arena.base)
        return lw_fail(err, LW_E_FULL, "no memory to plan a trip");
    const lw_code code = lw_trip_plan(&t->in, &how, &arena, out, &fault) ? lw_fault_say(&fault, err) : LW_OK;
    free(arena.base);
    return !code && time.is_stopped ? lw_fail(err, LW_E_CONFLICT, "stopped while the trip was planned") : code;
}

int64_t lw_trip_date_s(const lw_trip_planned *planned, int day, int hour)
{
    return lw_utc_of(&planned->zone, planned->file.from_day + day, hour * 3600);
}

/* ---- what each stop is like ---- */

static void find_fallback(const lw_trip_tables *t, lw_trip_stop *s)
{
    s->fallback = lw_trip_fallback(t, s->place, s->arrive);
    s->fallback_min = s->fallback < 0 ? 0 : t->leg[s->place * t->in.place_count + s->fallback].road_min;
}

static int64_t dusk_s(const lw_trip_planned *to, const lw_trip_tables *t, int place, int day)
{
    return lw_trip_date_s(to, day, 0) + 60 * (int64_t)t->dusk_min[place * t->in.days + day];
}

/* The beginning of the first work hour behind a moment; INT64_MAX: nobody works. */
static int64_t next_work_s(const lw_trip_planned *to, int day, int hour)
{
    for (int d = day; d < day + 8; d++) {
        const uint32_t hours = to->work_hours[lw_weekday_of(to->file.from_day + d)];
        for (int h = d == day ? hour : 0; h < 24; h++)
            if (hours >> h & 1u)
                return lw_trip_date_s(to, d, h);
    }
    return INT64_MAX;
}

/* At the latest: to find the place, or the one near it, by daylight, and to be online when work begins again. */
static void set_out(const lw_trip_planned *to, const lw_trip_tables *t, lw_trip_stop *s)
{
    const uint32_t hours = to->work_hours[lw_weekday_of(to->file.from_day + s->arrive)];
    const int64_t here_s = dusk_s(to, t, s->place, s->arrive);
    int ends = 24;
    while (ends > 0 && !(hours >> (ends - 1) & 1u))
        ends--;
    const int64_t work_s = next_work_s(to, s->arrive, ends);
    const int64_t on_s =
        s->fallback < 0 ? here_s : dusk_s(to, t, s->fallback, s->arrive) - 60 * (int64_t)s->fallback_min;
    const int64_t near_s = on_s < here_s ? on_s : here_s;
    s->work_until_s = ends > 0 ? lw_trip_date_s(to, s->arrive, ends) : 0;
    s->leave_by_s = (near_s < work_s ? near_s : work_s) - 60 * (int64_t)s->drive_min;
}

static void note(lw_trip_stop *s, const char *text)
{
    if (s->note_count < LW_TRIP_STAY_NOTES)
        snprintf(s->note[s->note_count++], LW_SENTENCE, "%s", text);
}

/* Passes on the way that close or open within a week of the drive, and those that close soon behind a stay beyond them. */
static void note_passes(const lw_trip_planned *to, const lw_trip_tables *t, int from, lw_trip_stop *s)
{
    char text[LW_SENTENCE], date[40];
    const int64_t arrive = to->file.from_day + s->arrive, leave = to->file.from_day + s->leave;
    for (int k = 0; k < to->file.pass_count; k++) {
        const lw_trip_file_pass *pass = &to->file.pass[k];
        const int is_crossed = !s->is_start && ((t->place[from].beyond ^ t->place[s->place].beyond) >> k & 1);
        if (is_crossed && pass->opens_day && pass->opens_day <= arrive && arrive - pass->opens_day <= NEAR_DAYS)
            snprintf(text, sizeof text, "The way goes over %s, which opens on %s: ask whether it is open.", pass->what,
                     lw_date_print(date, sizeof date, lw_date_of(pass->opens_day)));
        else if ((is_crossed || (t->place[s->place].beyond >> k & 1)) && pass->closes_day &&
                 pass->closes_day >= arrive && pass->closes_day - leave <= NEAR_DAYS)
            snprintf(text, sizeof text,
                     "%s closes on %s, and earlier with the first snow: ask before you set out, and be back over it in "
                     "time.",
                     pass->what, lw_date_print(date, sizeof date, lw_date_of(pass->closes_day)));
        else
            continue;
        note(s, text);
    }
}

static void write_notes(const lw_trip_planned *to, const lw_trip_tables *t, lw_trip_stop *s)
{
    const lw_trip_file_place *p = &to->file.place[s->place];
    char text[LW_SENTENCE];
    if (p->caution[0]) {
        snprintf(text, sizeof text, "Caution: %s.", p->caution);
        note(s, text);
    }
    for (int w = 0; w < to->file.wish_count; w++) {
        const lw_trip_file_wish *wish = &to->file.wish[w];
        if (!(wish->drive_s > 0.0) || !(wish->of[s->place / 64] >> (s->place % 64) & 1u))
            continue;
        snprintf(text, sizeof text, "From here by car: %s, %d min each way.", wish->what,
                 (int)lround(wish->drive_s / 60.0));
        note(s, text);
    }
    if (p->is_dry_only) {
        lw_climate_day day;
        const lw_date date = lw_date_of(to->file.from_day + s->arrive);
        lw_climate_of_month(&t->site[s->place], date.month, &day);
        snprintf(
            text, sizeof text,
            "The way in is for dry weather, and about %d in ten of its days are wet: leave before rain, or stay with "
            "supplies for "
            "days more.",
            (int)lround(fmax(1.0, 10.0 * day.wet_frac)));
        note(s, text);
    }
    if (p->until_day && p->until_day - to->file.from_day - s->leave <= NEAR_DAYS) {
        char date[40];
        snprintf(text, sizeof text, "Closes on %s: ask whether it closes early.",
                 lw_date_print(date, sizeof date, lw_date_of(p->until_day)));
        note(s, text);
    }
    if (s->fallback < 0 && !p->has_everything && !s->is_start)
        note(s, "No other place is near enough should it be full: ask before you set out.");
    if (s->work_until_s > s->leave_by_s && s->leave_by_s)
        note(s, "Work that day ends too late for this drive: take the day off, or leave that day out of drive_days.");
}

static void fill_stop(const lw_trip_planned *to, const lw_trip_tables *t, lw_trip_made *plan, lw_trip_stop *s,
                      int *used, int from)
{
    const lw_trip_leg *leg = &t->leg[from * t->in.place_count + s->place];
    const uint8_t *act = plan->out.chain.act;
    plan->used[s->arrive] = *used;
    if (!s->is_start) {
        s->is_served = act[s->arrive] == LW_TRIP_DRIVES_SERVED;
        s->drive_min = s->is_served ? leg->served_min : leg->road_min;
        s->drive_km = t->road_km[from * t->in.place_count + s->place];
        *used = s->is_served ? 0 : *used;
    }
    find_fallback(t, s);
    if (!s->is_start)
        set_out(to, t, s);
    s->cold_frac = isnan(to->file.coldest_c) ? NAN : 1.0;
    for (int d = s->arrive; d < s->leave; d++) {
        if (act[d] == LW_TRIP_STAYS_RUN) {
            s->run_day[s->runs++] = d;
            *used = 0;
        }
        *used += t->cell[s->place * t->in.days + d].use;
        plan->used[d + 1] = *used;
        if (!isnan(s->cold_frac))
            s->cold_frac =
                fmin(s->cold_frac, lw_trip_warm_frac(&t->site[s->place], to->file.from_day + d, to->file.coldest_c));
    }
    s->used_frac = (double)*used / LW_TRIP_FULL;
    note_passes(to, t, from, s);
    write_notes(to, t, s);
}

void lw_trip_fill_stops(lw_trip_planned *to, const lw_trip_tables *t, lw_trip_made *plan)
{
    int used = t->in.start_used, from = t->in.start;
    plan->work_frac = NAN;
    for (int w = 0; w < t->in.wish_count; w++) {
        plan->wishes_asked |= UINT32_C(1) << t->wish_of[w];
        plan->wishes_kept |= (plan->sum.wishes >> w & 1u) << t->wish_of[w];
    }
    for (int d = 0; d < t->in.days;) {
        lw_trip_stop *s = &plan->stop[plan->stop_count++];
        *s = (lw_trip_stop){.place = plan->out.chain.place[d], .arrive = d, .leave = d + 1};
        s->is_start = d == 0 && s->place == t->in.start;
        while (s->leave < t->in.days && plan->out.chain.place[s->leave] == s->place)
            s->leave++;
        fill_stop(to, t, plan, s, &used, from);
        for (int k = s->arrive; k < s->leave; k++)
            if (k > 0 && (t->work_days >> lw_weekday_of(to->file.from_day + k) & 1u))
                plan->work_frac =
                    fmin(isnan(plan->work_frac) ? 1.0 : plan->work_frac, to->file.place[s->place].signal_frac);
        from = s->place;
        d = s->leave;
    }
    const int last = plan->out.chain.act[t->in.days];
    if (last != LW_TRIP_STAYS) {
        const lw_trip_leg *leg = &t->leg[from * t->in.place_count + t->in.end];
        plan->end_min = last == LW_TRIP_DRIVES_SERVED ? leg->served_min : leg->road_min;
        plan->end_km = t->road_km[from * t->in.place_count + t->in.end];
    }
}

/* ---- plans that differ ---- */

static void cap_places(lw_trip_tables *t, const lw_trip_made *plan)
{
    lw_trip_cap *cap = &t->cap[t->in.cap_count++];
    *cap = (lw_trip_cap){.nights = t->in.days -
                                   (t->in.days * ELSEWHERE_PARTS + KNOWN_ELSEWHERE_PARTS - 1) / KNOWN_ELSEWHERE_PARTS};
    for (int d = 0; d < t->in.days; d++) {
        const int p = plan->out.chain.place[d];
        cap->of[p / 64] |= UINT64_C(1) << (p % 64);
    }
}

static lw_code make_plan(const lw_trip_ask *ask, lw_trip_planned *to, lw_trip_tables *t, lw_trip_made *plan,
                         lw_err *err)
{
    lw_fault fault;
    lw_code code = lw_trip_solve(ask, t, ask->seconds > 0.0 ? ask->seconds : 5.0, 0, &plan->out, err);
    if (code || !plan->out.is_found)
        return code;
    if (lw_trip_walk(&t->in, &plan->out.chain, &plan->sum, &fault))
        return lw_fail(err, LW_E_CONFLICT, "the planned trip breaks its own rule (%s); please report this",
                       fault.field);
    lw_trip_fill_stops(to, t, plan);
    const int sift = to->fresh_draws < SIFT_DRAWS ? to->fresh_draws : SIFT_DRAWS;
    return lw_trip_live(ask, &to->file, t->camp.zone.name, sift, LW_TRIP_SIFT_FROM, plan, err);
}

/* A plan looks better on the draws it was chosen on: where fresh ones fall short of the wish, more is kept in hand and the plan
 * made again; the surest is kept. */
static lw_code make_sure_plan(const lw_trip_ask *ask, lw_trip_planned *to, lw_trip_tables *t, lw_trip_made *plan,
                              lw_err *err)
{
    lw_trip_tables_aim(t, to->file.supplies_frac); /* the plan before may have been made surer */
    lw_trip_tables_lay(t, &to->file);
    lw_code code = make_plan(ask, to, t, plan, err);
    plan->aim_frac = to->file.supplies_frac;
    lw_trip_made *surer = calloc(1, sizeof *surer);
    double found_frac = to->file.supplies_frac, none_frac = 1.0; /* aimed so, there is a trip, and there is none */
    if (!surer)
        code = code ? code : lw_fail(err, LW_E_FULL, "no memory for a trip");
    for (int i = 0; surer && i < TIGHTENED_MOST && !code && plan->out.is_found &&
                    plan->supplies_frac < to->file.supplies_frac && !lw_trip_is_enough(ask);
         i++) {
        const double aim_frac = (found_frac + none_frac) / 2.0;
        lw_trip_tables_aim(t, aim_frac);
        lw_trip_tables_lay(t, &to->file);
        *surer = (lw_trip_made){.stop_count = 0};
        code = make_plan(ask, to, t, surer, err);
        if (!surer->out.is_found) {
            none_frac = aim_frac;
            continue;
        }
        surer->aim_frac = found_frac = aim_frac;
        if (surer->supplies_frac > plan->supplies_frac)
            *plan = *surer;
    }
    free(surer);
    if (!code && plan->out.is_found) /* the chance that is shown comes from draws that had no part in choosing */
        code = lw_trip_live(ask, &to->file, t->camp.zone.name, to->fresh_draws, LW_TRIP_FRESH_FROM, plan, err);
    return code;
}

static lw_code make_plans(const lw_trip_ask *ask, pace *p, lw_trip_planned *to, lw_trip_tables *t, lw_err *err)
{
    lw_code code = LW_OK;
    for (int i = 0; i < ask->plans && i < LW_TRIP_PLANS && !code && !(i > 0 && lw_trip_is_enough(ask)); i++) {
        pace_to(p, TABLES + (i + 1) * (WHOLE - TABLES) / ask->plans);
        code = make_sure_plan(ask, to, t, &to->plan[i], err);
        if (code || !to->plan[i].out.is_found)
            break;
        to->plan_count++;
        cap_places(t, &to->plan[i]);
    }
    return code;
}

/* ---- what cannot be driven to ---- */

static void say_left_out(lw_trip_planned *to, const lw_trip_tables *t)
{
    lw_line line = lw_line_of(to->left_out, sizeof to->left_out);
    int count = 0;
    for (int p = 0; p < t->in.place_count; p++) {
        int any = to->file.place[p].has_everything || p == t->in.start;
        for (int q = 0; q < t->in.place_count && !any; q++)
            any = q != p && t->leg[p * t->in.place_count + q].road_min <= LW_TRIP_FALLBACK_MIN;
        if (any)
            continue;
        if (++count <= NAMED_MOST)
            lw_line_add(&line, "%s%s",
                        count == 1 ? "Not driven to, as no other place is within 2 h 30 min should it be full: " : ", ",
                        to->file.place[p].name);
    }
    if (count > NAMED_MOST)
        lw_line_add(&line, " and %d more", count - NAMED_MOST);
    lw_line_add(&line, count ? "." : "");
}

/* ---- opening ---- */

const char *lw_trip_camp_name(const lw_trip_file *file)
{
    return file->camp[0] ? file->camp : "the book";
}

static char *copy(const char *text)
{
    const size_t n = strlen(text) + 1;
    char *to = malloc(n);
    if (to)
        memcpy(to, text, n);
    return to;
}

static lw_code find_camp(const lw_trip_ask *ask, lw_trip_planned *to, lw_err *err)
{
    size_t size = 0;
    if (ask->camp) {
        to->camp = copy(ask->camp);
        return to->camp ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a trip");
    }
    if (to->file.camp[0] && ask->has_no_files)
        return lw_fail(err, LW_E_CONFLICT,
                       "a trip from elsewhere cannot name a file; leave camp: out, it is that of the book");
    if (to->file.camp[0])
        return lw_yaml_bytes(to->file.camp, &to->camp, &size, err);
    if (!ask->book)
        return lw_fail(
            err, LW_E_MISSING,
            "the trip names no camp, and there is no book with one; write camp: and a scenario file beside it");
    return lw_household_scenario(ask->book, ask->now_s, &to->camp, err);
}

/* Stays of the book count for its own camp alone: another file's household has been elsewhere. */
static lw_code find_earlier(const lw_trip_ask *ask, const lw_trip_planned *to, lw_trip_ask *with,
                            lw_named_stay **earlier, lw_err *err)
{
    lw_book_stays stays = {0};
    *with = *ask;
    if (ask->camp || to->file.camp[0] || !ask->book)
        return LW_OK;
    const lw_code code = lw_stays_gather(ask->book, ask->now_s, &stays, err);
    if (code)
        return code;
    *earlier = lw_stays_named(&stays, INT64_MAX, 0, NULL, &with->earlier_count);
    with->earlier = *earlier;
    lw_stays_clear(&stays);
    return *earlier ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for the stays of the book");
}

lw_code lw_trip_open(const lw_trip_ask *ask, lw_trip_planned *to, lw_trip_tables *t, lw_err *err)
{
    size_t size = 0;
    lw_trip_ask with;
    lw_named_stay *earlier = NULL;
    *to = (lw_trip_planned){
        .seed = ask->seed, .draws = ask->draws, .fresh_draws = ask->fresh > 0 ? ask->fresh : LW_TRIP_FRESH};
    to->plan = calloc(LW_TRIP_PLANS, sizeof *to->plan);
    lw_code code = to->plan ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a trip");
    if (!code && ask->text)
        to->input = copy(ask->text), code = to->input ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a trip");
    else if (!code)
        code = lw_yaml_bytes(ask->path, &to->input, &size, err);
    code = code ? code : lw_trip_file_read(ask->path, to->input, strlen(to->input), &to->file, err);
    code = code ? code : find_camp(ask, to, err);
    if (!code)
        to->file.camp_text = to->camp;
    code = code ? code : lw_trip_change(ask, &to->file, err);
    code = code ? code : find_earlier(ask, to, &with, &earlier, err);
    const double began_s = now_s();
    code = code ? code : lw_trip_tables_make(&with, &to->file, t, err);
    free(earlier);
    if (code) {
        lw_trip_clear(to);
        return code;
    }
    to->tables_s = now_s() - began_s;
    to->zone = t->camp.zone;
    to->units = t->camp.units;
    to->work_days = t->work_days;
    for (int d = 0; d < 7; d++)
        for (int i = 0; i < t->camp.scenario->crew.person_count; i++)
            to->work_hours[d] |= t->camp.scenario->crew.person[i].work[d];
    snprintf(to->road_note, sizeof to->road_note, "%s", t->road_note);
    say_left_out(to, t);
    return LW_OK;
}

lw_code lw_trip_make(const lw_trip_ask *ask, lw_trip_planned *to, lw_err *err)
{
    lw_trip_tables *t = calloc(1, sizeof *t);
    *to = (lw_trip_planned){.plan = NULL};
    if (!t)
        return lw_fail(err, LW_E_FULL, "no memory for a trip");
    pace p;
    const lw_trip_ask inner = paced(ask, &p);
    lw_code code = lw_trip_open(&inner, to, t, err);
    if (!code) {
        code = make_plans(&inner, &p, to, t, err);
        if (!code && to->plan_count == 0 && !ask->is_without_advice)
            lw_trip_relax(&inner, t, to);
    }
    lw_trip_tables_clear(t);
    free(t);
    if (code)
        lw_trip_clear(to);
    return code;
}

void lw_trip_clear(lw_trip_planned *planned)
{
    free(planned->plan);
    free(planned->input);
    free(planned->camp);
    planned->plan = NULL;
    planned->input = planned->camp = NULL;
    planned->file.camp_text = NULL;
    planned->plan_count = 0;
}
