/* core/sky/weather_internal.h: what the files weather_*.c share. Stays inside core/sky. */
#ifndef LW_CORE_SKY_WEATHER_INTERNAL_H
#define LW_CORE_SKY_WEATHER_INTERNAL_H

#include "core/sky/air.h"
#include "core/sky/sun_table.h"
#include "core/sky/weather_frame.h"

typedef struct lw_frame_sun {
    lw_sun_table table;
    lw_sun_place place;
    lw_air_out air;
} lw_frame_sun;

/* Global irradiance of a cloudless sky; and what falls above the air. */
double lw_frame_clear_wm2(const lw_weather_frame_in *in, const lw_frame_sun *sky, double t_s, double *above_wm2);

/* Weather that takes the climate's place becomes the days' normals; before these are tied together. */
void lw_frame_lay_usual(const lw_weather_frame_in *in, const float *clear_wm2, lw_weather_frame *frame);

/* A forecast, the course of a single outlook, and the hours' own shape; last of all. */
void lw_frame_lay_said(const lw_weather_frame_in *in, const float *clear_wm2, lw_weather_frame *frame);

/* A range of this mean and spread that never falls below 1 K: what is above it is the square of a normal deviate; and back. */
double lw_weather_range_k(double mean_k, double spread_k, double deviate);
double lw_weather_range_deviate(double mean_k, double spread_k, double range_k);

#endif
