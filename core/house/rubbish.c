#include "core/house/rubbish.h"

double lw_rubbish_loose_l(double kg)
{
    return kg / LW_RUBBISH_KGPL;
}

double lw_rubbish_kg(double loose_l)
{
    return loose_l * LW_RUBBISH_KGPL;
}

double lw_rubbish_pressed_l(double loose_l)
{
    return loose_l * LW_RUBBISH_PRESSED;
}

double lw_rubbish_age_rate_perh(double air_c)
{
    /* a day takes a fifth of the age at 10 C and a hundredth more a kelvin: both ends of the practice lie on the line */
    const double aday = 0.2 + 0.01 * (air_c - 10.0);
    const double least_aday = 0.05, most_aday = 0.5;
    const double held = aday < least_aday ? least_aday : aday > most_aday ? most_aday : aday;
    return held * (1.0 / 24.0);
}

double lw_rubbish_kind_factor(lw_rubbish_kind kind)
{
    switch (kind) {
    case LW_RUBBISH_KIND_MIXED:
        return 0.7;
    case LW_RUBBISH_KIND_DRY:
        return 0.0;
    case LW_RUBBISH_KIND_FOOD:
    case LW_RUBBISH_KIND_TOILET:
    default:
        return 1.0;
    }
}

int lw_rubbish_is_allowed(lw_rubbish_place place, int has_animals)
{
    return place != LW_RUBBISH_RACK || !has_animals;
}
