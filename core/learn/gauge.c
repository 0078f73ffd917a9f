#include "core/learn/gauge.h"

#include <math.h>

static const double SAME_FRAC = 0.01; /* of capacity, or of a step: 33 % is 1/3 */
static const double EYE_FRAC = 0.25; /* of capacity: what an eye is trusted to, where nothing is said (our judgement) */
static const double MOST_LIE_FRAC = 0.5;  /* a gauge that lies oftener is none */
static const double MOST_STEP_FRAC = 0.5; /* of a PERCENT gauge */

static int is_number(lw_gauge_kind kind)
{
    return kind != LW_GAUGE_PROBES && kind != LW_GAUGE_NONE;
}

lw_code lw_gauge_check(const lw_gauge *gauge, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "kind", gauge->kind, 0, LW_GAUGE_KIND_COUNT - 1);
    if (!bad)
        bad = lw_want_range(fault, "rule", gauge->rule, LW_GAUGE_REACHED, LW_GAUGE_NEAREST);
    if (!bad)
        bad = lw_want_range(fault, "lie_frac", gauge->lie_frac, 0.0, MOST_LIE_FRAC);
    if (!bad && gauge->kind == LW_GAUGE_PROBES)
        bad = lw_want_range(fault, "probe_count", gauge->probe_count, 1, LW_PROBES);
    for (int i = 0; i < gauge->probe_count && !bad && gauge->kind == LW_GAUGE_PROBES; i++)
        bad = lw_want_range(fault, "probe_frac", gauge->probe_frac[i],
                            i ? gauge->probe_frac[i - 1] + 2.0 * SAME_FRAC : 2.0 * SAME_FRAC,
                            LW_GAUGE_FULL_FRAC - 2.0 * SAME_FRAC);
    if (!bad && is_number(gauge->kind))
        bad = lw_want_range(fault, "step", gauge->step, 1e-6, gauge->kind == LW_GAUGE_PERCENT ? MOST_STEP_FRAC : 1e6);
    if (!bad && gauge->kind == LW_GAUGE_NONE)
        bad = lw_want_range(fault, "step", gauge->step, 0.0, 1e6);
    return bad;
}

/* ---- lamps: mark 0 is "none lit", the last "full" ---- */

static int last_mark(const lw_gauge *gauge)
{
    return gauge->probe_count + 1;
}

/* What people call a mark: its share of the capacity. */
static double mark_frac(const lw_gauge *gauge, int mark)
{
    return mark == 0 ? 0.0 : mark == last_mark(gauge) ? 1.0 : gauge->probe_frac[mark - 1];
}

/* From which level on mark `mark` is shown, 1 .. last. */
static double mark_edge(const lw_gauge *gauge, int mark)
{
    if (gauge->rule == LW_GAUGE_NEAREST)
        return 0.5 * (mark_frac(gauge, mark - 1) + mark_frac(gauge, mark));
    return mark == last_mark(gauge) ? LW_GAUGE_FULL_FRAC : gauge->probe_frac[mark - 1];
}

static int nearest_mark(const lw_gauge *gauge, double shown_frac)
{
    int best = 0;
    for (int i = 1; i <= last_mark(gauge); i++)
        if (fabs(mark_frac(gauge, i) - shown_frac) < fabs(mark_frac(gauge, best) - shown_frac))
            best = i;
    return best;
}

/* ---- numbers ---- */

static int is_of_level(lw_gauge_kind kind)
{
    return kind != LW_GAUGE_VOLTS && kind != LW_GAUGE_HOURS;
}

/* In the unit of what is shown. */
static double step_of(const lw_gauge *gauge, double capacity)
{
    return gauge->kind == LW_GAUGE_NONE && !(gauge->step > 0.0) ? EYE_FRAC * capacity : gauge->step;
}

/* What is shown, as a level. */
static double scale_of(const lw_gauge *gauge, double capacity)
{
    return gauge->kind == LW_GAUGE_PERCENT ? capacity : 1.0;
}

/* How far below what is shown the level may be. */
static double below_of(const lw_gauge *gauge, double step)
{
    return gauge->rule == LW_GAUGE_NEAREST ? 0.5 * step : 0.0;
}

void lw_gauge_says(const lw_gauge *gauge, double shown, double capacity, double *low, double *high)
{
    if (gauge->kind == LW_GAUGE_PROBES) {
        const int mark = nearest_mark(gauge, shown);
        *low = mark == 0 ? -INFINITY : mark_edge(gauge, mark) * capacity;
        *high = mark == last_mark(gauge) ? INFINITY : mark_edge(gauge, mark + 1) * capacity;
        return;
    }
    const double step = step_of(gauge, capacity), scale = scale_of(gauge, capacity);
    *low = (shown - below_of(gauge, step)) * scale;
    *high = (shown - below_of(gauge, step) + step) * scale;
    if (is_of_level(gauge->kind)) {
        *low = *low <= 0.0 ? -INFINITY : *low;
        *high = *high >= capacity ? INFINITY : *high;
    }
}

double lw_gauge_shows(const lw_gauge *gauge, double level, double capacity)
{
    if (gauge->kind == LW_GAUGE_PROBES) {
        int mark = 0;
        while (mark < last_mark(gauge) && level >= mark_edge(gauge, mark + 1) * capacity)
            mark++;
        return mark_frac(gauge, mark);
    }
    const double step = step_of(gauge, capacity);
    return step * floor((level / scale_of(gauge, capacity) + below_of(gauge, step)) / step);
}

int lw_gauge_can_show(const lw_gauge *gauge, double shown, double capacity, double *nearest)
{
    if (gauge->kind == LW_GAUGE_PROBES) {
        *nearest = mark_frac(gauge, nearest_mark(gauge, shown));
        return fabs(*nearest - shown) <= SAME_FRAC;
    }
    const double most = is_of_level(gauge->kind) ? capacity / scale_of(gauge, capacity) : INFINITY;
    *nearest = shown < 0.0 ? 0.0 : shown > most ? most : shown;
    return shown >= -SAME_FRAC * gauge->step && shown <= most * (1.0 + SAME_FRAC);
}

double lw_gauge_edge(const lw_gauge *gauge, double shown, int is_above, double capacity)
{
    if (gauge->kind == LW_GAUGE_PROBES) {
        const int mark = nearest_mark(gauge, shown) + (is_above ? 1 : 0);
        return mark < 1 || mark > last_mark(gauge) ? NAN : mark_edge(gauge, mark) * capacity;
    }
    double low, high;
    lw_gauge_says(gauge, shown, capacity, &low, &high);
    const double edge = is_above ? high : low;
    return isfinite(edge) ? edge : NAN;
}
