#include "core/power/battery.h"

#include <math.h>

#include "core/base/exp.h"
#include "core/base/hot.h"
#include "core/base/num.h"

enum { LAST = LW_BATTERY_KNOTS - 2 };

/* A charge seen on the grid: its interval and its open-circuit voltage. Beyond either end the outer interval goes on.
 */
typedef struct spot {
    int i;
    double over_ah, open_v;
} spot;

static inline spot spot_of(const lw_battery *b, double q_ah)
{
    const double above_ah = q_ah - b->empty_ah, x = above_ah * b->per_grid_ah;
    const int i = x >= LAST ? LAST : x > 0.0 ? (int)x : 0;
    const double over_ah = above_ah - i * b->grid_ah;
    return (spot){.i = i, .over_ah = over_ah, .open_v = b->rest_v[i] + b->rise_v_ah[i] * over_ah};
}

/* The spot a little further on: mostly in the same interval. */
static inline spot spot_after(const lw_battery *b, spot from, double q_ah, double change_ah)
{
    const double over_ah = from.over_ah + change_ah;
    if (LW_MOSTLY(over_ah >= 0.0 && over_ah < b->grid_ah))
        return (spot){.i = from.i, .over_ah = over_ah, .open_v = b->rest_v[from.i] + b->rise_v_ah[from.i] * over_ah};
    return spot_of(b, q_ah + change_ah);
}

static inline double energy_at(const lw_battery *b, spot at)
{
    return b->energy_wh[at.i] + at.over_ah * 0.5 * (b->rest_v[at.i] + at.open_v);
}

/* Stored energy gained on the way from one spot to another, change_ah apart; inside one interval without the cancellation of
 * two large sums. */
static inline double gain_wh(const lw_battery *b, spot from, spot to, double change_ah)
{
    if (LW_MOSTLY(from.i == to.i))
        return change_ah * 0.5 * (from.open_v + to.open_v);
    return energy_at(b, to) - energy_at(b, from);
}

double lw_battery_ocv_v(const lw_battery *b, double q_ah)
{
    return spot_of(b, q_ah).open_v;
}

double lw_battery_energy_wh(const lw_battery *b, double q_ah)
{
    return energy_at(b, spot_of(b, q_ah));
}

double lw_battery_q_at_ocv(const lw_battery *b, double open_v)
{
    int i = 0;
    while (i < LAST && open_v >= b->rest_v[i + 1])
        i++;
    const double q_ah = b->empty_ah + i * b->grid_ah + (open_v - b->rest_v[i]) / b->rise_v_ah[i];
    return lw_least(lw_most(q_ah, 0.0), b->wells.qmax_ah);
}

static inline const lw_kibam_phase *phase_for(const lw_battery *b, double dt_h, lw_kibam_phase *odd)
{
    if (LW_MOSTLY(dt_h >= b->step.dt_h && dt_h <= b->step.dt_h))
        return &b->step;
    *odd = lw_kibam_phase_of(&b->wells, dt_h);
    return odd;
}

static lw_battery_flow idle(const lw_battery *b, double q_ah, double dt_h)
{
    return (lw_battery_flow){.dt_h = dt_h, .steady_h = dt_h, .end_v = lw_battery_ocv_v(b, q_ah)};
}

/* A step at a constant current: where it ends, its power at the terminals, and how that grows with the current. */
typedef struct trial {
    double power_w, slope_v;
} trial;

static inline trial try_draw(const lw_battery *b, spot from, double q_ah, double current_a, const lw_kibam_phase *phase)
{
    const double change_ah = -current_a * phase->dt_h, drop_v = current_a * b->resistance_ohm;
    const spot to = spot_after(b, from, q_ah, change_ah);
    return (trial){.power_w = -gain_wh(b, from, to, change_ah) * phase->per_dt_h - current_a * drop_v,
                   .slope_v = to.open_v - 2.0 * drop_v};
}

/* The current of most power, beyond which the voltage collapses faster than the current grows. The slope falls all the
 * way from 0 to high_a, where it is negative. */
static LW_RARE double peak_a(const lw_battery *b, spot from, double q_ah, double high_a, const lw_kibam_phase *phase)
{
    double low_a = 0.0;
    for (int n = 0; n < 60; n++) {
        const double mid_a = 0.5 * (low_a + high_a);
        if (try_draw(b, from, q_ah, mid_a, phase).slope_v > 0.0)
            low_a = mid_a;
        else
            high_a = mid_a;
    }
    return low_a;
}

/* The most power, and its current, that a cap leaves; where the cap gives more than is asked (the way there led past a
 * kink beyond the peak), the current that gives just that. Rare, so plain halving does. */
static LW_RARE double capped_draw(const lw_battery *b, spot from, double q_ah, double power_w, double cap_a,
                                  const lw_kibam_phase *phase, int *is_limited)
{
    if (try_draw(b, from, q_ah, cap_a, phase).slope_v < 0.0)
        cap_a = peak_a(b, from, q_ah, cap_a, phase);
    *is_limited = try_draw(b, from, q_ah, cap_a, phase).power_w < power_w;
    if (*is_limited)
        return cap_a;
    double low_a = 0.0;
    for (int n = 0; n < 60; n++) {
        const double mid_a = 0.5 * (low_a + cap_a);
        if (try_draw(b, from, q_ah, mid_a, phase).power_w < power_w)
            low_a = mid_a;
        else
            cap_a = mid_a;
    }
    return cap_a;
}

/* The current that gives power_w, at most cap_a. On one line of the grid, V = open_v at the start, the power is
 * I V - I^2 bend. Where the step ends on the next line down, that line drawn back to the start does the same, but for a
 * constant: half the difference of slopes times the square of the way to the knot. So each line is one exact quadratic. */
static double draw_current(const lw_battery *b, spot from, double q_ah, double power_w, double cap_a,
                           const lw_kibam_phase *phase, int *is_limited)
{
    double open_v = from.open_v, way_ah = from.over_ah, line_w = power_w;
    *is_limited = 0;
    for (int i = from.i;; i--) {
        const double rise_v_ah = b->rise_v_ah[i], bend_ohm = b->resistance_ohm + 0.5 * rise_v_ah * phase->dt_h;
        const double root = open_v * open_v - 4.0 * line_w * bend_ohm;
        if (LW_SELDOM(!(root > 0.0)))
            break;
        const double current_a = 2.0 * line_w / (open_v + sqrt(root));
        if (LW_MOSTLY(i == 0 || lw_least(current_a, cap_a) * phase->dt_h <= way_ah)) {
            if (LW_MOSTLY(current_a < cap_a))
                return current_a;
            break;
        }
        const double steeper_v_ah = b->rise_v_ah[i - 1] - rise_v_ah;
        open_v += steeper_v_ah * way_ah;
        line_w += 0.5 * way_ah * way_ah * steeper_v_ah * phase->per_dt_h;
        way_ah += b->grid_ah;
    }
    return capped_draw(b, from, q_ah, power_w, cap_a, phase, is_limited);
}

void lw_battery_draw_above(const lw_battery *b, const lw_kibam_state *s, double power_w, double least_ah, double dt_h,
                           lw_battery_flow *flow)
{
    const double q_ah = lw_battery_charge_ah(s);
    if (LW_SELDOM(!(power_w > 0.0) || !(dt_h > 0.0))) {
        *flow = idle(b, q_ah, dt_h);
        return;
    }
    lw_kibam_phase odd;
    const lw_kibam_phase *phase = phase_for(b, dt_h, &odd);
    double cap_a = lw_kibam_max_discharge_a(phase, *s);
    const double to_floor_a = (q_ah - (least_ah > 0.0 ? least_ah : 0.0)) * phase->per_dt_h;
    cap_a = to_floor_a < cap_a ? to_floor_a : cap_a;
    if (LW_SELDOM(!(cap_a > 0.0))) {
        *flow = idle(b, q_ah, dt_h);
        flow->is_limited = 1;
        return;
    }
    const spot from = spot_of(b, q_ah);
    int is_limited;
    const double current_a = draw_current(b, from, q_ah, power_w, cap_a, phase, &is_limited);
    const double change_ah = -current_a * dt_h, drop_v = current_a * b->resistance_ohm;
    const spot to = spot_after(b, from, q_ah, change_ah);
    const double stored_w = gain_wh(b, from, to, change_ah) * phase->per_dt_h;
    *flow = (lw_battery_flow){
        .dt_h = dt_h,
        .current_a = -current_a,
        .terminal_w = is_limited ? stored_w + current_a * drop_v : -power_w,
        .stored_w = stored_w,
        .ohmic_w = current_a * drop_v,
        .end_v = to.open_v - drop_v,
        .change_ah = change_ah,
        .steady_a = -current_a,
        .steady_h = dt_h,
        .is_limited = is_limited,
    };
}

void lw_battery_draw(const lw_battery *b, const lw_kibam_state *s, double power_w, double dt_h, lw_battery_flow *flow)
{
    lw_battery_draw_above(b, s, power_w, 0.0, dt_h, flow);
}

/* The constant current at the terminals whose mean power over the step is power_w, at most cap_a; line by line upwards, as
 * for a draw. */
static double fill_current(const lw_battery *b, spot from, double power_w, double cap_a, const lw_kibam_phase *phase,
                           int *is_capped)
{
    const double well_h = b->coulombic_frac * phase->dt_h, per_well_h = b->per_coulombic * phase->per_dt_h;
    double open_v = from.open_v, way_ah = b->grid_ah - from.over_ah, line_w = power_w;
    for (int i = from.i;; i++) {
        const double rise_v_ah = b->rise_v_ah[i], bend_ohm = b->charge_resistance_ohm + 0.5 * rise_v_ah * well_h;
        const double current_a = 2.0 * line_w / (open_v + sqrt(open_v * open_v + 4.0 * line_w * bend_ohm));
        *is_capped = !(current_a < cap_a);
        if (i == LAST || lw_least(current_a, cap_a) * well_h <= way_ah)
            return *is_capped ? cap_a : current_a;
        const double steeper_v_ah = b->rise_v_ah[i + 1] - rise_v_ah;
        open_v -= steeper_v_ah * way_ah;
        line_w -= 0.5 * way_ah * way_ah * steeper_v_ah * per_well_h;
        way_ah += b->grid_ah;
    }
}

static double taper_left(const lw_battery *b, double taper_h)
{
    const int is_step = taper_h >= b->step.dt_h && taper_h <= b->step.dt_h;
    return is_step ? b->step_taper : lw_exp(-b->accept_per_h * taper_h);
}

void lw_battery_fill(const lw_battery *b, const lw_kibam_state *s, double power_w, double cap_a, double dt_h,
                     lw_battery_flow *flow)
{
    const double q_ah = lw_battery_charge_ah(s), room_ah = b->wells.qmax_ah - q_ah;
    if (LW_SELDOM(!(power_w > 0.0) || !(dt_h > 0.0))) {
        *flow = idle(b, q_ah, dt_h);
        return;
    }
    const double eta = b->coulombic_frac, per_eta = b->per_coulombic, r_ohm = b->charge_resistance_ohm;
    const double accept = b->accept_per_h;
    lw_kibam_phase odd;
    const lw_kibam_phase *phase = phase_for(b, dt_h, &odd);
    if (phase->share < 1.0) { /* one well has no limit but its room, and the taper keeps to that */
        const double wells_a = lw_kibam_max_charge_a(&b->wells, phase, *s) * per_eta;
        cap_a = wells_a < cap_a ? wells_a : cap_a;
    }
    if (LW_SELDOM(!(cap_a > 0.0) || !(room_ah > 0.0))) {
        *flow = idle(b, q_ah, dt_h);
        flow->is_limited = 1;
        return;
    }
    const spot from = spot_of(b, q_ah);
    const double accept_a = accept * room_ah * per_eta;
    const int is_all_taper = accept_a <= cap_a && accept_a * (b->rest_v[LAST + 1] + accept_a * r_ohm) <= power_w;
    int is_capped = 1;
    double first_a = accept_a;
    if (LW_MOSTLY(!is_all_taper))
        first_a = fill_current(b, from, power_w, cap_a, phase, &is_capped);

    const double net_a = eta * first_a; /* into the wells */
    double steady_h = net_a > 0.0 ? room_ah / net_a - b->accept_h : dt_h;
    steady_h = is_all_taper || steady_h < 0.0 ? 0.0 : steady_h < dt_h ? steady_h : dt_h;
    const double taper_h = dt_h - steady_h;
    double change_ah = net_a * steady_h, square_a2h = first_a * first_a * steady_h, end_a = first_a, taper_ah = 0.0;
    if (taper_h > 0.0) {
        taper_ah = room_ah - change_ah;
        const double left = taper_left(b, taper_h), start_a = accept * taper_ah * per_eta;
        change_ah += taper_ah * (1.0 - left);
        square_a2h += start_a * start_a * (1.0 - left * left) * 0.5 * b->accept_h;
        end_a = start_a * left;
    }
    const spot to = spot_after(b, from, q_ah, change_ah);
    const double gained_wh = gain_wh(b, from, to, change_ah), per_dt_h = phase->per_dt_h;
    const double ohmic_w = r_ohm * square_a2h * per_dt_h;
    const int is_limited = is_capped || taper_h > 0.0;
    *flow = (lw_battery_flow){
        .dt_h = dt_h,
        .current_a = change_ah * per_eta * per_dt_h,
        .terminal_w = is_limited ? gained_wh * per_eta * per_dt_h + ohmic_w : power_w,
        .stored_w = gained_wh * per_dt_h,
        .ohmic_w = ohmic_w,
        .coulombic_w = (1.0 - eta) * per_eta * gained_wh * per_dt_h,
        .end_v = to.open_v + end_a * r_ohm,
        .change_ah = change_ah,
        .steady_a = net_a,
        .steady_h = steady_h,
        .taper_ah = taper_ah,
        .is_limited = is_limited,
    };
}

double lw_battery_hours_to(const lw_battery *b, const lw_battery_flow *flow, double q_ah, double target_ah)
{
    const double way_ah = target_ah - q_ah;
    if (!(way_ah < 0.0 || way_ah > 0.0))
        return 0.0;
    const double straight_h = way_ah / flow->steady_a; /* infinite or negative where the charge goes elsewhere */
    if (straight_h >= 0.0 && straight_h <= flow->steady_h)
        return straight_h;
    const double left_ah = b->wells.qmax_ah - target_ah;
    if (way_ah < 0.0 || !(flow->taper_ah > 0.0) || !(left_ah > 0.0))
        return INFINITY;
    const double hours = flow->steady_h + log(flow->taper_ah / left_ah) / b->accept_per_h;
    return hours <= flow->dt_h ? hours : INFINITY;
}

void lw_battery_apply(const lw_battery *b, lw_kibam_state *s, const lw_battery_flow *flow)
{
    if (LW_SELDOM(!(flow->dt_h > 0.0)))
        return;
    lw_kibam_phase odd;
    const lw_kibam_phase *phase = phase_for(b, flow->dt_h, &odd);
    /* The limits were kept: below, only rounding is clipped. */
    const double q_ah = lw_least(lw_most(lw_battery_charge_ah(s) + flow->change_ah, 0.0), b->wells.qmax_ah);
    if (phase->share >= 1.0) { /* one well holds it all */
        *s = (lw_kibam_state){.q1_ah = q_ah, .q2_ah = 0.0};
        return;
    }
    const double brim_ah = phase->share * b->wells.qmax_ah, bound_ah = b->wells.qmax_ah - brim_ah;
    double q1_ah = lw_kibam_step(phase, *s, -flow->change_ah * phase->per_dt_h).q1_ah;
    q1_ah = lw_least(lw_most(q1_ah, lw_most(0.0, q_ah - bound_ah)), lw_least(brim_ah, q_ah));
    *s = (lw_kibam_state){.q1_ah = q1_ah, .q2_ah = q_ah - q1_ah};
}

/* 2^x to 6e-9 of it by the series of the exponential, for the powers that temperatures ask for: -8 to 7. */
static double power_of_two(double x)
{
    static const double WHOLE[] = {0x1p-8, 0x1p-7, 0x1p-6, 0x1p-5, 0x1p-4, 0x1p-3, 0x1p-2, 0x1p-1,
                                   0x1p0,  0x1p1,  0x1p2,  0x1p3,  0x1p4,  0x1p5,  0x1p6,  0x1p7};
    const double held = lw_least(lw_most(x, -8.0), 7.0);
    const int i = (int)(held + 8.5);
    const double y = 0.693147180559945309 * (held + 8.0 - i); /* at most 0.35 */
    const double y2 = y * y;
    return WHOLE[i] * LW_POWER_SERIES(y, y2, y2 * y2);
}

double lw_battery_rest(const lw_battery *b, lw_kibam_state *s, double temp_c, double dt_h)
{
    const double x = b->self_discharge_per_h * power_of_two((temp_c - 25.0) * 0.1) * dt_h; /* doubles per 10 K */
    if (LW_SELDOM(!(x > 0.0)))
        return 0.0;
    /* An hour loses 1e-5 to 1e-3 or so, where the series is exact to the last figure. */
    const double lost = LW_MOSTLY(x < LW_SLOW_DISCHARGE) ? x * LW_LOSS_SERIES(x, x * x) : -expm1(-x);
    const double q_ah = lw_battery_charge_ah(s), lost_ah = q_ah * lost;
    const spot from = spot_of(b, q_ah);
    s->q1_ah -= s->q1_ah * lost;
    s->q2_ah -= s->q2_ah * lost;
    return -gain_wh(b, from, spot_after(b, from, q_ah, -lost_ah), -lost_ah);
}
