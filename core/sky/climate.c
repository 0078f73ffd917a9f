#include "core/sky/climate.h"

#include <math.h>

#include "core/base/num.h"
#include "core/sky/climate_fit_internal.h"

static const double RAD = 0.017453292519943295, TURN = 6.283185307179586; /* pi / 180, 2 pi */
static const double KM_PER_DEG = 111.2;
static const double LEAST_RANGE_K = 4.0;
static const double BELL_DEG = 4.5;
static const double HIGHEST_STATION_M = 2807.0, COAST_KM = 200.0;
static const double STATION_KM = 400.0, FADE_KM = 50.0, FADE_M = 500.0, PULL = 0.2;
/* What is left of the error near stations, held out: data/climate/errors.csv gives the error without. West: tmax 1.38 to
 * 1.12, tmin 1.69 to 1.53; wet days one station left out at a time, 0.053 to 0.037. */
static const double LEFT_TMAX = 0.81, LEFT_TMIN = 0.905, LEFT_WET = 0.70;

static const struct {
    const char *field;
    double low, high;
} DOMAIN[3] = {{"latitude_deg", 24.0, 66.0}, {"longitude_deg", -165.0, -60.0}, {"elevation_m", -100.0, 4000.0}};

lw_code lw_climate_check(const lw_climate_place *place, lw_fault *fault)
{
    const lw_want wants[] = {
        {DOMAIN[0].field, place->latitude_deg, DOMAIN[0].low, DOMAIN[0].high},
        {DOMAIN[1].field, place->longitude_deg, DOMAIN[1].low, DOMAIN[1].high},
        {DOMAIN[2].field, place->elevation_m, DOMAIN[2].low, DOMAIN[2].high},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

static double within(double value, double low, double high)
{
    return value > low ? lw_least(value, high) : low; /* NaN: low */
}

/* ---- the terms of a place ---- */

/* On a plane centred at the place; the nearest point of each stretch of the coast. */
static double coast_km(const lw_climate_place *place, const lw_climate_point *line, int count)
{
    const double east = cos(place->latitude_deg * RAD) * KM_PER_DEG;
    double best_km = HUGE_VAL;
    for (int i = 0; i + 1 < count; i++) {
        const double x = (line[i].longitude_deg - place->longitude_deg) * east,
                     y = (line[i].latitude_deg - place->latitude_deg) * KM_PER_DEG;
        const double dx = (line[i + 1].longitude_deg - line[i].longitude_deg) * east,
                     dy = (line[i + 1].latitude_deg - line[i].latitude_deg) * KM_PER_DEG;
        const double foot = within(-(x * dx + y * dy) / (dx * dx + dy * dy), 0.0, 1.0);
        best_km = lw_least(best_km, hypot(x + foot * dx, y + foot * dy));
    }
    return best_km;
}

static double bell(const lw_climate_place *place, const lw_climate_point *centre)
{
    const double north = place->latitude_deg - centre->latitude_deg,
                 east = (place->longitude_deg - centre->longitude_deg) * cos(centre->latitude_deg * RAD);
    return exp(-(north * north + east * east) / (2.0 * BELL_DEG * BELL_DEG));
}

static double pacific_km(const lw_climate_place *place)
{
    return coast_km(place, lw_climate_table.pacific, lw_climate_table.pacific_count);
}

static void fill_terms(const lw_climate_place *place, double t[LW_TERM_COUNT])
{
    const lw_climate_fit *fit = &lw_climate_table;
    const double u = (place->latitude_deg - 40.0) / 10.0, v = (place->longitude_deg + 105.0) / 15.0,
                 z = place->elevation_m / 1000.0;
    const double coast = pacific_km(place), p1 = exp(-coast / 50.0), p2 = exp(-coast / 300.0);
    const double a1 = exp(-coast_km(place, fit->atlantic, fit->atlantic_count) / 200.0);
    t[LW_TERM_ONE] = 1.0;
    t[LW_TERM_U] = u;
    t[LW_TERM_V] = v;
    t[LW_TERM_Z] = z;
    t[LW_TERM_P1] = p1;
    t[LW_TERM_P2] = p2;
    t[LW_TERM_A1] = a1;
    t[LW_TERM_B1] = exp(-coast_km(place, fit->bering, fit->bering_count) / 200.0);
    t[LW_TERM_UU] = u * u;
    t[LW_TERM_UV] = u * v;
    t[LW_TERM_VV] = v * v;
    t[LW_TERM_UZ] = within(u, -1.0, 1.0) * z;
    t[LW_TERM_VZ] = within(v, -1.2, 1.7) * z;
    t[LW_TERM_Z1] = lw_most(z - 1.0, 0.0);
    t[LW_TERM_P1U] = p1 * u;
    t[LW_TERM_P2U] = p2 * u;
    t[LW_TERM_P2Z] = p2 * z;
    t[LW_TERM_A1U] = a1 * u;
    for (int i = 0; i < fit->centre_count; i++)
        t[LW_TERM_CENTRE + i] = bell(place, &fit->centre[i]);
}

/* Alaska: west of the border at 141 W, and the coast down to 54.5 N. */
static int is_alaska(const lw_climate_place *place)
{
    return place->longitude_deg < -141.0 || (place->latitude_deg > 54.5 && place->longitude_deg < -130.0 &&
                                             place->latitude_deg < 60.0 && pacific_km(place) < 150.0);
}

static lw_climate_region region_of(const lw_climate_place *place)
{
    const int is_east = place->longitude_deg > -100.0;
    if (place->latitude_deg > 52.0)
        return LW_CLIMATE_NORTH;
    if (place->latitude_deg > 49.0 || place->longitude_deg > -66.9)
        return is_east ? LW_CLIMATE_CANADA_EAST : LW_CLIMATE_CANADA_WEST;
    if (is_east)
        return LW_CLIMATE_EAST;
    return pacific_km(place) < COAST_KM ? LW_CLIMATE_PACIFIC : LW_CLIMATE_INTERIOR;
}

void lw_climate_site_make(const lw_climate_place *place, lw_climate_site *site)
{
    double t[LW_TERM_COUNT];
    *site = (lw_climate_site){.place = {within(place->latitude_deg, DOMAIN[0].low, DOMAIN[0].high),
                                        within(place->longitude_deg, DOMAIN[1].low, DOMAIN[1].high),
                                        within(place->elevation_m, DOMAIN[2].low, DOMAIN[2].high)}};
    fill_terms(&site->place, t);
    site->region = region_of(&site->place);
    site->u = t[LW_TERM_U];
    site->v = t[LW_TERM_V];
    for (int x = 0; x < LW_CLIMATE_COUNT; x++)
        for (int j = 0; j < LW_TERM_COUNT; j++)
            for (int k = 0; k < LW_CLIMATE_PARTS; k++)
                site->season[x][k] += t[j] * lw_climate_table.coefficient[x][j][k];
}

/* ---- a day ---- */

static double value_of(const lw_climate_site *site, lw_climate_variable x, const double h[LW_CLIMATE_PARTS])
{
    double y = 0.0;
    for (int k = 0; k < lw_climate_table.of[x].parts; k++)
        y += site->season[x][k] * h[k];
    if (lw_climate_table.of[x].link == LW_LINK_EXP)
        y = exp(y);
    else if (lw_climate_table.of[x].link == LW_LINK_LOGISTIC)
        y = 1.0 / (1.0 + exp(-y));
    return within(y, lw_climate_table.of[x].least, lw_climate_table.of[x].most);
}

/* Twelve values that hold at the middle of their months, and pass over in between. */
static double between_months(const double of_month[12], double season_rad)
{
    const double at = season_rad / TURN * 12.0 + 11.5, whole = floor(at);
    const int before = (int)whole % 12;
    return of_month[before] + (at - whole) * (of_month[(before + 1) % 12] - of_month[before]);
}

static void of_season(const lw_climate_site *site, double season_rad, lw_climate_day *out)
{
    const double c = cos(season_rad), s = sin(season_rad);
    const double h[LW_CLIMATE_PARTS] = {1.0, c, s, c * c - s * s, 2.0 * s * c};
    *out = (lw_climate_day){
#define LW_CLIMATE_VALUE(id, name, field) .field = value_of(site, LW_CLIMATE_##id, h),
        LW_CLIMATE_VARIABLES(LW_CLIMATE_VALUE)
#undef LW_CLIMATE_VALUE
    };
    if (site->station_frac > 0.0) {
        out->tmax_c += between_months(site->tmax_k, season_rad);
        out->tmin_c += between_months(site->tmin_k, season_rad);
        out->kt = within(out->kt + between_months(site->kt, season_rad), lw_climate_table.of[LW_CLIMATE_KT].least,
                         lw_climate_table.of[LW_CLIMATE_KT].most);
        out->wet_frac = within(out->wet_frac + between_months(site->wet_frac, season_rad),
                               lw_climate_table.of[LW_CLIMATE_WET].least, lw_climate_table.of[LW_CLIMATE_WET].most);
    }
    if (out->tmax_c - out->tmin_c < LEAST_RANGE_K) {
        const double mean_c = 0.5 * (out->tmax_c + out->tmin_c);
        out->tmax_c = mean_c + 0.5 * LEAST_RANGE_K;
        out->tmin_c = mean_c - 0.5 * LEAST_RANGE_K;
    }
}

static double season_of_day(double day_of_year)
{
    return TURN * (day_of_year - 0.5) / 365.25;
}

void lw_climate_of_day(const lw_climate_site *site, double day_of_year, lw_climate_day *out)
{
    of_season(site, season_of_day(day_of_year), out);
}

void lw_climate_of_month(const lw_climate_site *site, int month, lw_climate_day *out)
{
    of_season(site, TURN * (month - 0.5) / 12.0, out);
}

double lw_climate_wet_again_frac(const lw_climate_site *site, double day_of_year, double wet_frac)
{
    const double y = lw_climate_table.wet_again.mean +
                     lw_climate_table.wet_again.logit_wet * log(wet_frac / (1.0 - wet_frac)) +
                     lw_climate_table.wet_again.u * site->u + lw_climate_table.wet_again.v * site->v +
                     lw_climate_table.wet_again.cos1 * cos(season_of_day(day_of_year));
    return 1.0 / (1.0 + exp(-y));
}

/* ---- stations ---- */

typedef struct lw_residual {
    double sum[12], weight[12];
} lw_residual;

static void add_residual(lw_residual *to, int month, double weight, double station, double model)
{
    if (isnan(station))
        return;
    to->sum[month] += weight * (station - model);
    to->weight[month] += weight;
}

static void finish_residual(const lw_residual *from, double shift[12])
{
    for (int m = 0; m < 12; m++)
        shift[m] = from->sum[m] / (PULL + from->weight[m]);
}

static double station_weight(const lw_climate_place *at, const lw_climate_place *station)
{
    const double north_km = (station->latitude_deg - at->latitude_deg) * KM_PER_DEG;
    const double east_km = (station->longitude_deg - at->longitude_deg) * KM_PER_DEG *
                           cos(0.5 * (station->latitude_deg + at->latitude_deg) * RAD);
    const double away_km = hypot(north_km, east_km), rise = (station->elevation_m - at->elevation_m) / FADE_M;
    return away_km <= STATION_KM ? exp(-away_km / FADE_KM) * exp(-rise * rise) : 0.0;
}

void lw_climate_correct(lw_climate_site *site, const lw_climate_station *station, int count)
{
    lw_residual tmax = {.sum = {0.0}}, tmin = tmax, kt = tmax, wet = tmax;
    double weights = 0.0;
    for (int s = 0; s < count; s++) {
        const double weight = station_weight(&site->place, &station[s].place);
        lw_climate_site there;
        if (!(weight > 0.0))
            continue;
        weights += weight;
        lw_climate_site_make(&station[s].place, &there);
        for (int m = 0; m < 12; m++) {
            lw_climate_day model;
            lw_climate_of_month(&there, m + 1, &model);
            add_residual(&tmax, m, weight, station[s].tmax_c[m], model.tmax_c);
            add_residual(&tmin, m, weight, station[s].tmin_c[m], model.tmin_c);
            add_residual(&kt, m, weight, station[s].kt[m], model.kt);
            add_residual(&wet, m, weight, station[s].wet_frac[m], model.wet_frac);
        }
    }
    site->station_frac = weights / (PULL + weights);
    finish_residual(&tmax, site->tmax_k);
    finish_residual(&tmin, site->tmin_k);
    finish_residual(&kt, site->kt);
    finish_residual(&wet, site->wet_frac);
}

/* ---- how sure ---- */

static lw_climate_judged band_of(double elevation_m)
{
    const int step = elevation_m < 500.0 ? 0 : (int)(elevation_m / 500.0);
    return step < 5 ? (lw_climate_judged)(LW_ERROR_BAND_0 + step) : LW_ERROR_BAND_2500;
}

static double error_of(const lw_climate_site *site, lw_climate_variable x)
{
    static const lw_climate_judged JUDGED[] = {
        [LW_CLIMATE_PACIFIC] = LW_ERROR_PACIFIC,
        [LW_CLIMATE_INTERIOR] = LW_ERROR_INTERIOR,
        [LW_CLIMATE_EAST] = LW_ERROR_EAST,
        [LW_CLIMATE_NORTH] = LW_ERROR_NORTH,
        [LW_CLIMATE_CANADA_WEST] = LW_ERROR_CANADA_WEST,
        [LW_CLIMATE_CANADA_EAST] = LW_ERROR_CANADA,
    };
    const double of_region = lw_climate_table.error[JUDGED[site->region]][x];
    if (site->region == LW_CLIMATE_INTERIOR)
        return lw_most(of_region, lw_climate_table.error[band_of(site->place.elevation_m)][x]);
    return of_region > 0.0 ? of_region : lw_climate_table.error[LW_ERROR_NORTH][x];
}

static double error_of_month(const lw_climate_site *site, lw_climate_variable x, int month)
{
    static const lw_climate_judged LIKE[] = {
        [LW_CLIMATE_PACIFIC] = LW_ERROR_PACIFIC,
        [LW_CLIMATE_INTERIOR] = LW_ERROR_INTERIOR,
        [LW_CLIMATE_EAST] = LW_ERROR_EAST,
        [LW_CLIMATE_NORTH] = LW_ERROR_NORTH,
        [LW_CLIMATE_CANADA_WEST] = LW_ERROR_INTERIOR,
        [LW_CLIMATE_CANADA_EAST] = LW_ERROR_EAST,
    };
    return error_of(site, x) * lw_climate_table.error_of_month[LIKE[site->region]][x][month - 1];
}

void lw_climate_error(const lw_climate_site *site, int month, lw_climate_rms *out)
{
    const double near = site->region == LW_CLIMATE_NORTH ? 0.0 : site->station_frac; /* there it hardly helps */
    *out = (lw_climate_rms){
        .tmax_k = error_of_month(site, LW_CLIMATE_TMAX, month) * (1.0 - near * (1.0 - LEFT_TMAX)),
        .tmin_k = error_of_month(site, LW_CLIMATE_TMIN, month) * (1.0 - near * (1.0 - LEFT_TMIN)),
        .sd_k = error_of(site, LW_CLIMATE_SD),
        .kt = error_of(site, LW_CLIMATE_KT),
        .wet_frac = error_of(site, LW_CLIMATE_WET) * (1.0 - near * (1.0 - LEFT_WET)),
        .wind_ms = error_of(site, LW_CLIMATE_WIND),
    };
}

/* The southern border of the stations, to a tenth of a degree (from memory): the United States' with Mexico, then the sea. */
static double southern_edge_deg(double longitude_deg)
{
    static const lw_climate_point EDGE[] = {
        {32.5, -117.2}, {32.7, -114.7}, {31.3, -111.1}, {31.3, -108.2}, {31.8, -106.5}, {29.6, -104.4}, {29.0, -103.2},
        {29.8, -101.4}, {27.5, -99.6},  {25.8, -97.1},  {28.8, -94.5},  {28.8, -85.0},  {24.4, -82.5},  {24.4, -60.0}};
    const int count = (int)(sizeof EDGE / sizeof EDGE[0]);
    if (longitude_deg <= EDGE[0].longitude_deg)
        return EDGE[0].latitude_deg;
    for (int i = 0; i + 1 < count; i++)
        if (longitude_deg <= EDGE[i + 1].longitude_deg) {
            const double t =
                (longitude_deg - EDGE[i].longitude_deg) / (EDGE[i + 1].longitude_deg - EDGE[i].longitude_deg);
            return EDGE[i].latitude_deg + t * (EDGE[i + 1].latitude_deg - EDGE[i].latitude_deg);
        }
    return EDGE[count - 1].latitude_deg;
}

unsigned lw_climate_doubts(const lw_climate_site *site, int month)
{
    const lw_climate_place *p = &site->place;
    const int is_winter = month >= 11 || month <= 2, is_alaska_here = is_alaska(p);
    const int is_inland = site->region == LW_CLIMATE_INTERIOR || site->region == LW_CLIMATE_CANADA_WEST;
    unsigned doubts = 0;
    if (is_winter && is_inland && p->elevation_m >= 1500.0 && p->elevation_m <= 2500.0)
        doubts |= LW_CLIMATE_COLD_POOL;
    if (p->elevation_m > HIGHEST_STATION_M)
        doubts |= LW_CLIMATE_HIGH;
    if (is_alaska_here)
        doubts |= LW_CLIMATE_ROUGH_NORTH;
    else if (p->latitude_deg > 49.0 || p->longitude_deg > -66.9)
        doubts |= LW_CLIMATE_FEW_NORTH;
    if (p->latitude_deg < southern_edge_deg(p->longitude_deg))
        doubts |= LW_CLIMATE_SOUTH;
    return doubts;
}
