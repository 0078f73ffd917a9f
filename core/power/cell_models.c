#include "core/base/model.h"
#include "core/power/cell.h"

enum { CELL_PLANE, CELL_EFFECTIVE, CELL_AIR, CELL_WIND, CELL_RATED, CELL_GAMMA };
static const lw_column CELL_IN[] = {
    {"poa_w_m2", "sunlight in the plane", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"effective_w_m2", "the same behind the glass", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"air_c", "air temperature", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"wind_m_s", "wind", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"rated_w", "power at 1000 W/m2 and 25 C", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"gamma_per_c", "change of power per degree, as a fraction", LW_COLUMN_NUMBER, 0, NULL, 0},
};
static const lw_column CELL_OUT[] = {
    {"t_sapm_insulated_c", "flat on a roof", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"t_sapm_close_c", "on spacers", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"t_sapm_open_c", "on an open rack", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"t_faiman_c", "Faiman", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"t_ross_c", "Ross, NOCT 45 C", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"t_pvsyst_insulated_c", "PVsyst, insulated back", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"dc_w", "power, flat on a roof", LW_COLUMN_NUMBER, 0, NULL, 0},
};

static lw_code cell_apply(const double *in, double *out, lw_fault *fault)
{
    static const double bounds[][2] = {{0.0, 3000.0}, {0.0, 3000.0}, {-80.0, 70.0},
                                       {0.0, 100.0},  {0.0, 1e6},    {-0.02, 0.02}};
    for (size_t i = 0; i < sizeof bounds / sizeof bounds[0]; i++) {
        const lw_code bad = lw_want_range(fault, CELL_IN[i].name, in[i], bounds[i][0], bounds[i][1]);
        if (bad)
            return bad;
    }
    const lw_cell_in cell = {.plane_wm2 = in[CELL_PLANE], .air_c = in[CELL_AIR], .wind_mps = in[CELL_WIND]};
    out[0] = lw_cell_sapm_c(LW_MOUNT_FLAT_ON_ROOF, &cell);
    out[1] = lw_cell_sapm_c(LW_MOUNT_ON_SPACERS, &cell);
    out[2] = lw_cell_sapm_c(LW_MOUNT_OPEN_RACK, &cell);
    out[3] = lw_cell_faiman_c(&cell);
    out[4] = lw_cell_ross_c(&cell);
    out[5] = lw_cell_pvsyst_c(&cell);
    out[6] = lw_cell_power_w(&(lw_cell_power_in){
        .effective_wm2 = in[CELL_EFFECTIVE], .cell_c = out[0], .rated_w = in[CELL_RATED], .gamma_pk = in[CELL_GAMMA]});
    return LW_OK;
}

const lw_model lw_model_cell = {
    .name = "cell",
    .what = "cell temperature and DC power of a panel",
    .source = "King and others 2004; Faiman 2008; Ross 1980; PVWatts, NREL/TP-6A20-62641",
    .in = LW_COLUMNS(CELL_IN),
    .out = LW_COLUMNS(CELL_OUT),
    .apply = cell_apply,
};
