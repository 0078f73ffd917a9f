#include "text/quantity.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "text/decimal.h"
#include "text/say.h"

typedef struct reader {
    const char *text, *at, *end; /* the whole, where we are, where it stops */
    lw_dim dim;
    lw_err *err;
} reader;

static void skip_blanks(reader *r)
{
    while (r->at < r->end && (*r->at == ' ' || *r->at == '\t'))
        r->at++;
}

static int is_number_start(const reader *r)
{
    if (r->at >= r->end)
        return 0;
    const char c = *r->at;
    return (c >= '0' && c <= '9') || (c == '.' && r->at + 1 < r->end && r->at[1] >= '0' && r->at[1] <= '9');
}

static lw_quoted_text whole(const reader *r)
{
    return lw_quoted(r->text, (size_t)(r->end - r->text));
}

char *lw_quantity_units(char *buf, size_t n, lw_dim dim)
{
    size_t used = 0;
    if (n > 0)
        buf[0] = '\0';
    for (size_t i = 0; i < lw_units_count && used < n; i++)
        if (lw_units[i].dim == dim) {
            const int put = snprintf(buf + used, n - used, "%s%s", used ? ", " : "", lw_units[i].symbol);
            used += put > 0 ? (size_t)put : 0;
        }
    return buf;
}

/* "write 40 gal or 151 L (of L, gal, ...)": the same number with the first unit, and the same quantity in the second.
 */
static lw_code refuse_bare(const reader *r, double number)
{
    const lw_unit *first = LW_UNIT_NONE, *second = LW_UNIT_NONE;
    for (size_t i = 0; i < lw_units_count && !second; i++)
        if (lw_units[i].dim == r->dim) {
            second = first ? &lw_units[i] : LW_UNIT_NONE;
            first = first ? first : &lw_units[i];
        }
    char list[160], one[LW_QUANTITY_BYTES] = "", other[LW_QUANTITY_BYTES] = "";
    lw_quantity_units(list, sizeof list, r->dim);
    if (first)
        snprintf(one, sizeof one, "%s %s", lw_num(number).text, first->symbol);
    if (first && second && r->dim != LW_DIM_FRACTION)
        lw_quantity_print_in(other, sizeof other, lw_unit_to_si(first, number), second, 3);
    return lw_fail(r->err, LW_E_UNIT, "%s has no unit; write %s%s%s (%s is given in %s)", whole(r).text, one,
                   r->dim == LW_DIM_FRACTION ? " or a part such as 2/3"
                   : other[0]                ? " or "
                                             : "",
                   r->dim == LW_DIM_FRACTION ? "" : other, lw_dim_of(r->dim)->word, list);
}

static lw_code refuse_unit(const reader *r, const char *spelling, size_t n)
{
    char list[160];
    lw_quantity_units(list, sizeof list, r->dim);
    const char *word = lw_dim_of(r->dim)->word;
    const lw_unit *other = lw_unit_find_any(spelling, n);
    if (list[0] == '\0')
        return lw_fail(r->err, LW_E_UNIT, "%s has a unit; give the number alone", whole(r).text);
    if (other && !lw_dim_of(r->dim)->is_case_strict) /* "Mb" is no pressure to one who means data */
        return lw_fail(r->err, LW_E_UNIT, "%s is %s; %s is needed here, in %s", whole(r).text,
                       lw_dim_of(other->dim)->word, word, list);
    return lw_fail(r->err, LW_E_UNIT, "%s: %s is not a unit of %s; use %s", whole(r).text, lw_quoted(spelling, n).text,
                   word, list);
}

/* The first that is written for it; NULL: a plain number. */
static const lw_unit *first_unit(lw_dim dim)
{
    for (size_t i = 0; i < lw_units_count; i++)
        if (lw_units[i].dim == dim)
            return &lw_units[i];
    return NULL;
}

/* A quantity of the kind that is wanted: "40 gal", "2.5 ft". */
static const char *example(lw_dim dim, char *buf, size_t n)
{
    const char *number = dim == LW_DIM_VOLUME        ? "40"
                         : dim == LW_DIM_FRACTION    ? "80"
                         : dim == LW_DIM_TEMPERATURE ? "68"
                                                     : "2.5";
    const lw_unit *unit = first_unit(dim);
    snprintf(buf, n, "%s%s%s", number, unit ? " " : "", unit ? unit->symbol : "");
    return buf;
}

/* number, "a/b" or "w a/b"; the sign is the caller's. */
static lw_code read_number(reader *r, double *number)
{
    char such[LW_QUANTITY_BYTES];
    const char *stop = is_number_start(r) ? lw_decimal_scan(r->at, r->end, number) : NULL;
    if (!stop && is_number_start(r))
        return lw_fail(r->err, LW_E_RANGE, "%s is too large to be meant", whole(r).text);
    if (!stop)
        return lw_fail(r->err, LW_E_SYNTAX, "%s is not a quantity; write a number%s, such as %s",
                       r->text == r->end ? "nothing" : whole(r).text, first_unit(r->dim) ? " and its unit" : "",
                       example(r->dim, such, sizeof such));
    r->at = stop;
    if (r->at < r->end && *r->at == ',')
        return lw_fail(r->err, LW_E_SYNTAX,
                       "%s has a comma in its number; write a point for decimals and no mark for thousands",
                       whole(r).text);
    double part = 0.0, whole_part = 0.0;
    reader ahead = *r;
    skip_blanks(&ahead);
    if (ahead.at > r->at && is_number_start(&ahead)) { /* "1 1/2": only a fraction may follow without a unit */
        const char *numerator = lw_decimal_scan(ahead.at, ahead.end, &part);
        if (numerator && numerator < r->end && *numerator == '/') {
            whole_part = *number;
            *number = part;
            r->at = numerator;
        }
    }
    if (r->at + 1 < r->end && *r->at == '/' && r->at[1] >= '0' && r->at[1] <= '9') {
        double below = 0.0;
        stop = lw_decimal_scan(r->at + 1, r->end, &below);
        if (!stop || !(below > 0.0))
            return lw_fail(r->err, LW_E_RANGE, "%s divides by nothing; write a part such as 2/3", whole(r).text);
        r->at = stop;
        *number = whole_part + *number / below;
    }
    return LW_OK;
}

/* The unit runs to the next number or the end; digits inside it (m2, "L/100 km") belong to it. */
static size_t unit_length(const reader *r)
{
    const char *p = r->at;
    while (p < r->end) {
        const int is_after_blank = p > r->at && (p[-1] == ' ' || p[-1] == '\t');
        if (is_after_blank && ((*p >= '0' && *p <= '9') || *p == '.' || *p == '-' || *p == '+'))
            break;
        p++;
    }
    while (p > r->at && (p[-1] == ' ' || p[-1] == '\t'))
        p--;
    return (size_t)(p - r->at);
}

/* "5h30min": where the whole run is no unit, the longest start of it that is one and has a digit behind it. */
static const lw_unit *find_unit(const reader *r, size_t *n)
{
    const lw_unit *unit = lw_unit_find(r->dim, r->at, *n);
    for (size_t shorter = *n; !unit && shorter-- > 1;)
        if (r->at[shorter] >= '0' && r->at[shorter] <= '9') {
            unit = lw_unit_find(r->dim, r->at, shorter);
            *n = unit ? shorter : *n;
        }
    return unit;
}

static int is_summable(lw_dim dim)
{
    return dim == LW_DIM_VOLUME || dim == LW_DIM_MASS || dim == LW_DIM_LENGTH || dim == LW_DIM_TIME;
}

static lw_code accept_bare(const reader *r, double number, double *value_si)
{
    if (lw_dim_of(r->dim)->is_bare_allowed || (r->dim == LW_DIM_FRACTION && number >= 0.0 && number <= 1.0)) {
        *value_si = number;
        return LW_OK;
    }
    return refuse_bare(r, number);
}

static lw_code check_sense(const reader *r, double value_si)
{
    if (!isfinite(value_si))
        return lw_fail(r->err, LW_E_RANGE, "%s gives no finite %s", whole(r).text, lw_dim_of(r->dim)->word);
    if (r->dim == LW_DIM_TEMPERATURE && value_si < -273.15 - 1e-9)
        return lw_fail(r->err, LW_E_RANGE, "%s is below absolute zero (-459.67 F, -273.15 C)", whole(r).text);
    return LW_OK;
}

/* "$40", "$3.20/gal": the sign stands in front of the number, the rest of its unit behind. */
static const lw_unit *dollar_unit(const reader *r)
{
    char spelling[32] = "$";
    const size_t rest = (size_t)(r->end - r->at);
    if (rest + 1 > sizeof spelling)
        return LW_UNIT_NONE;
    memcpy(spelling + 1, r->at, rest);
    return lw_unit_find(r->dim, spelling, rest + 1);
}

static lw_code read_terms(reader *r, double *value_si)
{
    const int is_negative = r->at < r->end && *r->at == '-';
    if (r->at < r->end && (*r->at == '-' || *r->at == '+'))
        r->at++;
    skip_blanks(r);
    const int is_dollar = r->at < r->end && *r->at == '$';
    r->at += is_dollar;
    double sum = 0.0, last_factor = INFINITY;
    do {
        double number = 0.0;
        const lw_code bad = read_number(r, &number);
        if (bad)
            return bad;
        number = is_negative ? -number : number;
        skip_blanks(r);
        if (is_dollar) {
            const lw_unit *priced = dollar_unit(r);
            if (!priced)
                return refuse_unit(r, "$", 1);
            *value_si = lw_unit_to_si(priced, number);
            return LW_OK;
        }
        if (r->at == r->end && !isinf(last_factor))
            return lw_fail(r->err, LW_E_UNIT, "%s ends in a number without a unit", whole(r).text);
        if (r->at == r->end)
            return accept_bare(r, number, value_si);
        size_t n = unit_length(r);
        const lw_unit *unit = find_unit(r, &n);
        if (!unit)
            return refuse_unit(r, r->at, n);
        r->at += n;
        if (!isinf(last_factor) && !(unit->factor < last_factor))
            return lw_fail(r->err, LW_E_SYNTAX,
                           "%s: in a sum each unit is smaller than the one before it, as in "
                           "12 lb 4 oz",
                           whole(r).text);
        last_factor = unit->factor;
        sum += lw_unit_to_si(unit, number);
        skip_blanks(r);
    } while (r->at < r->end && is_summable(r->dim) && is_number_start(r));
    if (r->at < r->end)
        return lw_fail(r->err, LW_E_SYNTAX, "%s: %s is left over behind the quantity", whole(r).text,
                       lw_quoted(r->at, (size_t)(r->end - r->at)).text);
    const lw_code bad = check_sense(r, sum);
    if (!bad)
        *value_si = sum;
    return bad;
}

lw_code lw_quantity_parse_n(const char *text, size_t n, lw_dim dim, double *value_si, lw_err *err)
{
    reader r = {.text = text, .at = text, .end = text + n, .dim = dim, .err = err};
    skip_blanks(&r);
    r.text = r.at;
    while (r.end > r.text && (r.end[-1] == ' ' || r.end[-1] == '\t'))
        r.end--;
    return read_terms(&r, value_si);
}

lw_code lw_quantity_parse(const char *text, lw_dim dim, double *value_si, lw_err *err)
{
    return lw_quantity_parse_n(text, strlen(text), dim, value_si, err);
}

/* What people use, by system: `from` is the least size in SI for which the row is taken; rows fall within a dimension.
 */
static const struct {
    lw_dim dim;
    double from_si;
    const char *us, *si;
} USUAL[] = {
    {LW_DIM_FRACTION, 0.0, "%", "%"},
    {LW_DIM_VOLUME, 0.9, "gal", "L"},
    {LW_DIM_VOLUME, 0.0, "floz", "mL"},
    {LW_DIM_MASS, 0.4, "lb", "kg"},
    {LW_DIM_MASS, 0.0, "oz", "g"},
    {LW_DIM_POWER, 10000.0, "kW", "kW"},
    {LW_DIM_POWER, 0.0, "W", "W"},
    {LW_DIM_ENERGY, 10000.0, "kWh", "kWh"},
    {LW_DIM_ENERGY, 0.0, "Wh", "Wh"},
    {LW_DIM_RESISTANCE, 1.0, "ohm", "ohm"},
    {LW_DIM_RESISTANCE, 0.0, "mohm", "mohm"},
    {LW_DIM_TEMPERATURE, 0.0, "F", "C"},
    {LW_DIM_TEMPERATURE_STEP, 0.0, "F", "K"},
    {LW_DIM_LENGTH, 1000.0, "mi", "km"},
    {LW_DIM_LENGTH, 0.3, "ft", "m"},
    {LW_DIM_LENGTH, 0.0, "in", "mm"},
    {LW_DIM_AREA, 0.0, "ft2", "m2"},
    {LW_DIM_SPEED, 0.0, "mph", "km/h"},
    {LW_DIM_PRESSURE, 0.0, "psi", "kPa"},
    {LW_DIM_TIME, 172800.0, "d", "d"},
    {LW_DIM_TIME, 3600.0, "h", "h"},
    {LW_DIM_TIME, 60.0, "min", "min"},
    {LW_DIM_TIME, 0.0, "s", "s"},
    {LW_DIM_DATA, 1.0e6, "TB", "TB"},
    {LW_DIM_DATA, 1000.0, "GB", "GB"},
    {LW_DIM_DATA, 0.0, "MB", "MB"},
    {LW_DIM_DATA_RATE, 1.0, "Mbit/s", "Mbit/s"},
    {LW_DIM_DATA_RATE, 0.0, "kbit/s", "kbit/s"},
    {LW_DIM_FLOW, 0.0, "gpm", "L/min"},
    {LW_DIM_FUEL_USE, 0.0, "mpg", "L/100 km"},
    {LW_DIM_CONDUCTANCE, 0.0, "BTU/h/F", "W/K"},
    {LW_DIM_HEAT_CAPACITY, 0.0, "BTU/F", "kJ/K"},
    {LW_DIM_VOLUME_PER_DAY, 0.0, "gal/d", "L/d"},
    {LW_DIM_MASS_PER_DAY, 0.0, "lb/d", "kg/d"},
    {LW_DIM_DATA_PER_DAY, 1000.0, "GB/d", "GB/d"},
    {LW_DIM_DATA_PER_DAY, 0.0, "MB/d", "MB/d"},
    {LW_DIM_PRICE_PER_VOLUME, 0.0, "USD/gal", "USD/L"},
    {LW_DIM_PRICE_PER_MASS, 0.0, "USD/lb", "USD/kg"},
    {LW_DIM_PRICE_PER_ENERGY, 0.0, "USD/kWh", "USD/kWh"},
    {LW_DIM_PRICE_PER_LENGTH, 0.0, "USD/mi", "USD/km"},
};

const lw_unit *lw_quantity_unit(double value_si, lw_dim dim, lw_unit_system system)
{
    /* Nothing at all is shown in the larger unit of the household: "0 gal", not "0 floz". */
    const double size = fabs(value_si) > 0.0 ? fabs(value_si) : 0.95;
    for (size_t i = 0; i < sizeof USUAL / sizeof USUAL[0]; i++)
        if (USUAL[i].dim == dim && !(size < USUAL[i].from_si)) {
            const char *symbol = system == LW_UNITS_SI ? USUAL[i].si : USUAL[i].us;
            return lw_unit_find(dim, symbol, strlen(symbol));
        }
    const char *storage = lw_dim_of(dim)->symbol;
    return lw_unit_find(dim, storage, strlen(storage));
}

char *lw_quantity_print_in(char *buf, size_t n, double value_si, const lw_unit *unit, int digits)
{
    char number[LW_DECIMAL_BYTES];
    if (unit && unit->dim == LW_DIM_MONEY) /* whole cents */
        lw_decimal_print(number, sizeof number, value_si, 2, fabs(value_si - nearbyint(value_si)) >= 0.005);
    else
        lw_decimal_print_digits(number, sizeof number, unit ? lw_unit_from_si(unit, value_si) : value_si, digits);
    const int is_tight = !unit || unit->symbol[0] == '%' || unit->symbol[0] == '/';
    snprintf(buf, n, "%s%s%s", number, is_tight ? "" : " ", unit ? unit->symbol : "");
    return buf;
}

char *lw_quantity_print(char *buf, size_t n, double value_si, lw_dim dim, lw_unit_system system)
{
    /* A thermometer is read to a degree, a tank to a tenth of a gallon: three digits serve both. */
    return lw_quantity_print_in(buf, n, value_si, lw_quantity_unit(value_si, dim, system), 3);
}
