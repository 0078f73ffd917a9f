/* core/heat/envelope.h: what the camper's skin lets through.
 *
 * Computes  heat conductance UA of the rig: skin (sum of U A) plus infiltration, which grows with wind.
 * Inputs    skin_wk; volume_m3 of air inside; air changes an hour in calm and per m/s of wind; wind_ms 0-60 at the rig;
 *           density_ratio of the air to 1.225 kg/m3 (1 at sea level, 0.82 at 2,000 m).
 * Results   W/K; m2; m3.
 * Errors    LW_E_RANGE from lw_envelope_check.
 * Source    ASHRAE Handbook Fundamentals, heating load (sum U A + 0.335 n V rho/rho0; 1.2 kg/m3 x 1.006
 *           kJ/(kg K)). Wall: ISO 6946 surface resistances 0.13 (wall), 0.10 (up), 0.17 (down) inside, 0.04 outside;
 *           framing adds 10-30 % (practice). Air changes 0.3-0.6 calm, 1-2 in wind: trade practice. UA by kind of rig:
 *           trade practice, consistent with the formula.
 * Limits    wind acts through infiltration only: at 8 m/s it adds some 12 % to a plain 7 m box, within the 10-25 % that
 *           practice counts; do not add that factor again. */
#ifndef LW_CORE_HEAT_ENVELOPE_H
#define LW_CORE_HEAT_ENVELOPE_H

#include "core/base/err.h"

#define LW_AIR_CHANGES_CALM_PH   0.5   /* trade practice 0.3-0.6, vents shut */
#define LW_AIR_CHANGES_PER_MS_PH 0.1   /* reaches the 1-2 of "in wind" from 5 m/s; trade practice */
#define LW_GLASS_SINGLE_U_WM2K   5.8   /* ASHRAE Fundamentals, fenestration: 5.6-6.0 */
#define LW_ACRYLIC_DOUBLE_U_WM2K 2.75  /* trade practice 2.5-3.0 */
#define LW_ROOF_VENT_U_WM2K      5.0   /* trade practice 4-6 */
#define LW_FOUR_SEASON_FRAC      0.72  /* of a three-season UA; trade practice 0.65-0.80 */
#define LW_SLIDE_OUT_FRAC        0.075 /* added to UA by each; trade practice 0.05-0.10 */

typedef struct lw_envelope {
    double skin_wk, volume_m3;
    double air_changes_ph, air_changes_per_ms_ph;
} lw_envelope;

typedef enum lw_facing { LW_FACING_WALL = 0, LW_FACING_UP, LW_FACING_DOWN } lw_facing;

typedef struct lw_panel_in {
    double thickness_m, conductivity_wmk; /* foam: 0.035 */
    double framing_frac;                  /* added to U, 0.1-0.3 */
    lw_facing facing;
} lw_panel_in;

/* Rows of trade practice, three-season build, calm: low and high end. */
#define LW_RIG_KINDS(X)                                                                                                \
    X(VAN_6M, "van-6m", 70.0, 110.0)                                                                                   \
    X(TRAILER_6M, "trailer-6m", 100.0, 150.0)                                                                          \
    X(TRAILER_8M, "trailer-8.5m", 150.0, 220.0)                                                                        \
    X(CLASS_C, "class-c-8.5m", 160.0, 240.0)                                                                           \
    X(CLASS_A, "class-a-11m", 220.0, 330.0)

typedef enum lw_rig_kind {
#define LW_RIG_ID(id, word, low_wk, high_wk) LW_RIG_##id,
    LW_RIG_KINDS(LW_RIG_ID) LW_RIG_COUNT
#undef LW_RIG_ID
} lw_rig_kind;

typedef struct lw_box {
    double length_m, width_m, height_m;
} lw_box;

LW_MUST_USE lw_code lw_envelope_check(const lw_envelope *envelope, lw_fault *fault);
double lw_envelope_ua_wk(const lw_envelope *envelope, double wind_ms, double density_ratio);

double lw_box_area_m2(const lw_box *box);
double lw_box_volume_m3(const lw_box *box);
double lw_panel_u_wm2k(const lw_panel_in *panel);
double lw_rig_ua_wk(lw_rig_kind kind, int is_four_season, int slide_outs); /* middle of the practice's range */
double lw_air_flow_wk(double flow_lps, double density_ratio);              /* conductance of moved air, dry */

/* Temperature inside with nothing cooling: outside + gains / (ua + moved air). ua_wk + moved_wk > 0. */
double lw_vented_inside_c(double outside_c, double gain_w, double ua_wk, double moved_wk);

#endif
