#include "core/sky/snow_cover.h"

#include "core/base/num.h"

static const double COVERS_MM = 1.0;                       /* water; 1 cm fresh */
static const double SLIDES_WM2K = -80.0;                   /* Marion et al. 2013 */
static const double SLIDE_PERH = 0.197;                    /* the same, of the whole face */
static const double MELTS_ABOVE_C = 1.0;                   /* Pellicciotti et al. 2005, as the next two */
static const double MELT_AIR_MMPHK = 0.05;                 /* of air above 0 C */
static const double MELT_SUN_MMPHWM2 = 0.0094 * (1 - 0.8); /* of light on the snow */

lw_code lw_snow_cover_check(const lw_snow_cover_in *in, lw_fault *fault)
{
    const lw_want wants[] = {{"cover_frac", in->before.cover_frac, 0.0, 1.0},
                             {"lying_mm", in->before.snow_mm, 0.0, 1e4},
                             {"step_h", in->step_h, 0.0, 1.0},
                             {"snow_mm", in->snow_mm, 0.0, 100.0},
                             {"air_c", in->air_c, -60.0, 60.0},
                             {"plane_wm2", in->plane_wm2, 0.0, 2000.0},
                             {"sin_tilt", in->sin_tilt, 0.0, 1.0}};
    return lw_want_all(fault, LW_WANTS(wants));
}

static double melt_mm(const lw_snow_cover_in *in)
{
    return in->air_c > MELTS_ABOVE_C ? in->step_h * (MELT_AIR_MMPHK * in->air_c + MELT_SUN_MMPHWM2 * in->plane_wm2)
                                     : 0.0;
}

lw_snow_cover lw_snow_cover_next(const lw_snow_cover_in *in)
{
    /* What falls lies all over, on glass and on snow: means are over the face here, over what is covered in the state. */
    double lying_mm = in->before.cover_frac * in->before.snow_mm + in->snow_mm;
    double cover =
        in->snow_mm > 0.0 ? lw_least(in->before.cover_frac + in->snow_mm / COVERS_MM, 1.0) : in->before.cover_frac;
    if (cover > 0.0 && in->air_c > in->plane_wm2 / SLIDES_WM2K) {
        const double left = lw_most(cover - SLIDE_PERH * in->sin_tilt * in->step_h, 0.0);
        lying_mm *= left / cover;
        cover = left;
    }
    lying_mm -= cover * melt_mm(in);
    /* Thin remains let the glass show. */
    cover = lw_least(cover, lying_mm / COVERS_MM);
    if (!(lying_mm > 1e-6) || !(cover > 1e-6))
        return (lw_snow_cover){0.0, 0.0};
    return (lw_snow_cover){cover, lying_mm / cover};
}
