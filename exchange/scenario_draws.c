/* What a scenario was loaded with, as the frame of draws wants it. */
#include "exchange/scenario.h"

static lw_weather_known known_of(const lw_weather *w)
{
    return (lw_weather_known){.air_c = w->air_c,
                              .clear_frac = w->clear_frac,
                              .ghi_wm2 = w->ghi_wm2,
                              .wind_ms = w->wind_ms,
                              .precip_mm = w->precip_mm};
}

int lw_loaded_draws(const lw_loaded *loaded, lw_draw_known *to)
{
    const lw_scenario *scenario = loaded->scenario;
    const lw_before_forecast *before = loaded->before_forecast;
    const int has_forecast = before && loaded->forecast_until_s > 0;
    if (!loaded->has_climate)
        return 0;
    to->usual = known_of(has_forecast ? &before->usual : &scenario->weather);
    if (has_forecast)
        to->said = (lw_weather_said){
            .known = known_of(&scenario->weather),
            .wet_frac = before->wet_frac,
            .from = (int)((loaded->forecast_from_s - scenario->calendar.start_s) / 3600),
            .until = (int)((loaded->forecast_until_s - scenario->calendar.start_s) / 3600),
            .issued_s = loaded->weather_made_s,
        };
    to->in = (lw_weather_frame_in){
        .site = &loaded->climate,
        .start_s = scenario->calendar.start_s,
        .hours = scenario->calendar.hours,
        .linke_turbidity = scenario->place.linke_turbidity,
        .usual = loaded->weather_is_climate ? NULL : &to->usual,
        .usual_is_one_year = loaded->weather_is_one_year,
        .said = has_forecast ? &to->said : NULL,
    };
    return 1;
}
