#include "core/heat/envelope.h"

/* ASHRAE Fundamentals: 1.2 kg/m3 x 1.006 kJ/(kg K), dry air at sea level. */
static const double AIR_JM3K = 1.2 * 1006.0;
static const double OUTSIDE_M2KW = 0.04; /* ISO 6946 */

lw_code lw_envelope_check(const lw_envelope *envelope, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "skin_wk", envelope->skin_wk, 0.0, 1e4);
    if (!bad)
        bad = lw_want_range(fault, "volume_m3", envelope->volume_m3, 0.0, 1000.0);
    if (!bad)
        bad = lw_want_range(fault, "air_changes_ph", envelope->air_changes_ph, 0.0, 100.0);
    if (!bad)
        bad = lw_want_range(fault, "air_changes_per_ms_ph", envelope->air_changes_per_ms_ph, 0.0, 10.0);
    return bad;
}

double lw_envelope_ua_wk(const lw_envelope *envelope, double wind_ms, double density_ratio)
{
    const double changes_ph = envelope->air_changes_ph + envelope->air_changes_per_ms_ph * wind_ms;
    return envelope->skin_wk + AIR_JM3K / 3600.0 * changes_ph * envelope->volume_m3 * density_ratio;
}

double lw_box_area_m2(const lw_box *box)
{
    return 2.0 * (box->length_m * box->width_m + box->length_m * box->height_m + box->width_m * box->height_m);
}

double lw_box_volume_m3(const lw_box *box)
{
    return box->length_m * box->width_m * box->height_m;
}

double lw_panel_u_wm2k(const lw_panel_in *panel)
{
    const double inside_m2kw = panel->facing == LW_FACING_UP ? 0.10 : panel->facing == LW_FACING_DOWN ? 0.17 : 0.13;
    return (1.0 + panel->framing_frac) / (inside_m2kw + panel->thickness_m / panel->conductivity_wmk + OUTSIDE_M2KW);
}

double lw_rig_ua_wk(lw_rig_kind kind, int is_four_season, int slide_outs)
{
    static const struct {
        double low_wk, high_wk;
    } row[] = {
#define RANGE(id, word, low_wk, high_wk) {low_wk, high_wk},
        LW_RIG_KINDS(RANGE)
#undef RANGE
    };
    const size_t i = (size_t)kind < LW_RIG_COUNT ? (size_t)kind : 0;
    const double middle_wk = 0.5 * (row[i].low_wk + row[i].high_wk);
    return middle_wk * (is_four_season ? LW_FOUR_SEASON_FRAC : 1.0) * (1.0 + LW_SLIDE_OUT_FRAC * slide_outs);
}

double lw_air_flow_wk(double flow_lps, double density_ratio)
{
    return AIR_JM3K * 1e-3 * flow_lps * density_ratio;
}

double lw_vented_inside_c(double outside_c, double gain_w, double ua_wk, double moved_wk)
{
    return outside_c + gain_w / (ua_wk + moved_wk);
}
