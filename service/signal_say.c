/* Signal in sentences. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/signal.h"
#include "text/decimal.h"
#include "text/quantity.h"

static const char *const WINDS[] = {"north", "northeast", "east", "southeast",
                                    "south", "southwest", "west", "northwest"};

static char *whole(char buf[LW_DECIMAL_BYTES], double value)
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, value, 0, 0);
    return buf;
}

static char *digits(char buf[LW_DECIMAL_BYTES], double value)
{
    lw_decimal_print_digits(buf, LW_DECIMAL_BYTES, value, 2);
    return buf;
}

/* Two places, never quite 0 or 1. */
static char *chance(char buf[LW_DECIMAL_BYTES], double frac)
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, fmin(0.99, fmax(0.01, frac)), 2, 1);
    return buf;
}

char *lw_signal_headline(const lw_signal_answer *a, char buf[LW_SIGNAL_TEXT])
{
    char number[LW_DECIMAL_BYTES];
    int known = 0;
    for (int i = 0; i < a->carrier_count; i++)
        known += (a->carrier[i].is_line || !a->ask.line_count) && !isnan(a->carrier[i].frac);
    if (isnan(a->any_frac))
        snprintf(buf, LW_SIGNAL_TEXT, "Nothing is known of the signal here.");
    else
        snprintf(buf, LW_SIGNAL_TEXT, "A work day is possible: %s, %s.", chance(number, a->any_frac),
                 !a->ask.line_count ? "with whichever carrier is best here"
                 : known == 1       ? "with the one line of yours that is known"
                                    : "with the lines you have");
    return buf;
}

char *lw_signal_say_own(const lw_carrier_signal *c, lw_unit_system units, char buf[LW_SIGNAL_TEXT])
{
    char dbm[LW_DECIMAL_BYTES], way[LW_QUANTITY_BYTES], tries[80] = "";
    if (c->tried)
        snprintf(tries, sizeof tries, "; enough for a work day %d of %d times", c->worked, c->tried);
    if (c->here_count)
        snprintf(buf, LW_SIGNAL_TEXT, "you measured %s dBm here, %d time%s%s", whole(dbm, c->here_dbm), c->here_count,
                 c->here_count == 1 ? "" : "s", tries);
    else if (c->own_count)
        snprintf(buf, LW_SIGNAL_TEXT, "you measured %d time%s near, the nearest %s away%s", c->own_count,
                 c->own_count == 1 ? "" : "s", lw_quantity_print(way, sizeof way, c->nearest_m, LW_DIM_LENGTH, units),
                 tries);
    else if (c->tried)
        snprintf(buf, LW_SIGNAL_TEXT, "no dBm of yours%s", tries);
    else
        snprintf(buf, LW_SIGNAL_TEXT, "nothing measured within %s", units == LW_UNITS_SI ? "10 km" : "6 mi");
    return buf;
}

static const char *technology_word(int technology)
{
    return technology == 300 ? "3G" : technology == 400 ? "4G LTE" : technology == 500 ? "5G" : "service";
}

char *lw_signal_say_published(const lw_signal_answer *a, const lw_carrier_signal *c, char buf[LW_SIGNAL_TEXT])
{
    char down[LW_DECIMAL_BYTES], up[LW_DECIMAL_BYTES], rate[3 * LW_DECIMAL_BYTES] = "";
    if (c->claim == LW_CLAIM_UNKNOWN) {
        snprintf(buf, LW_SIGNAL_TEXT, "%s",
                 a->has_coverage ? "not in the map of coverage" : "no map of coverage reaches here");
        return buf;
    }
    if (!isnan(c->coverage.down_mbit) && !isnan(c->coverage.up_mbit))
        snprintf(rate, sizeof rate, " of %s and %s Mbit/s", digits(down, c->coverage.down_mbit),
                 digits(up, c->coverage.up_mbit));
    if (c->claim == LW_CLAIM_YES)
        snprintf(buf, LW_SIGNAL_TEXT, "claims %s%s here, %s; three claims of five held when they were driven (2019)",
                 technology_word(c->coverage.technology), rate,
                 c->coverage.is_in_vehicles ? "in vehicles too" : "outdoors");
    else
        snprintf(buf, LW_SIGNAL_TEXT, "claims nothing here");
    return buf;
}

char *lw_signal_say_predicted(const lw_signal_answer *a, const lw_carrier_signal *c, lw_unit_system units,
                              char buf[LW_SIGNAL_TEXT])
{
    char dbm[LW_DECIMAL_BYTES], way[LW_QUANTITY_BYTES], hill[LW_DECIMAL_BYTES], ground[64];
    if (!c->masts) {
        snprintf(buf, LW_SIGNAL_TEXT, "%s",
                 a->tower_count ? "no mast of this network within 40 km" : "no list of masts reaches here");
        return buf;
    }
    const double hills_db = c->loss_db - c->free_db;
    if (!a->has_terrain)
        snprintf(ground, sizeof ground, "over ground taken as level");
    else if (hills_db < 6.0)
        snprintf(ground, sizeof ground, "in sight");
    else
        snprintf(ground, sizeof ground, "%s ground that takes %s dB", hills_db < 20.0 ? "over" : "behind",
                 whole(hill, hills_db));
    snprintf(buf, LW_SIGNAL_TEXT, "%s dBm, give or take %s: the strongest of %d mast%s, %s to the %s, %s%s",
             whole(dbm, c->predicted_dbm), a->has_terrain ? "12" : "15", c->masts, c->masts == 1 ? "" : "s",
             lw_quantity_print(way, sizeof way, c->best.way_m, LW_DIM_LENGTH, units),
             WINDS[(int)floor(c->toward_deg / 45.0 + 0.5) % 8], ground,
             c->best.is_exact ? "" : "; its place is a guess from phones");
    return buf;
}

char *lw_signal_say_together(const lw_carrier_signal *c, char buf[LW_SIGNAL_TEXT])
{
    char dbm[LW_DECIMAL_BYTES], sigma[LW_DECIMAL_BYTES], wanted[LW_DECIMAL_BYTES], down[LW_DECIMAL_BYTES],
        up[LW_DECIMAL_BYTES], frac[LW_DECIMAL_BYTES], rate[96];
    if (isnan(c->frac)) {
        snprintf(buf, LW_SIGNAL_TEXT, "nothing is known");
        return buf;
    }
    if (!c->belief.has_any) {
        snprintf(buf, LW_SIGNAL_TEXT, "chance %s, by what worked here alone", chance(frac, c->frac));
        return buf;
    }
    if (isinf(c->wanted_dbm))
        snprintf(rate, sizeof rate, "more than such a mast gives is needed");
    else
        snprintf(rate, sizeof rate, "%s dBm are needed", whole(wanted, c->wanted_dbm));
    snprintf(buf, LW_SIGNAL_TEXT, "chance %s: %s dBm, give or take %s, where %s; about %s down, %s up Mbit/s",
             chance(frac, c->frac), whole(dbm, c->belief.dbm), digits(sigma, c->belief.sigma_db), rate,
             digits(down, c->rate.down_mbit), digits(up, c->rate.up_mbit));
    return buf;
}
