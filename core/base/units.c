#include "core/base/units.h"

static const lw_dim_row DIMS[] = {
#define ROW(id, word, suffix, symbol, bare, cased) {word, suffix, symbol, bare, cased},
    LW_DIMS(ROW)
#undef ROW
};

/* The figures that NIST SP 811 states; all others follow from them by arithmetic. */
#define GAL_L      3.785411784
#define LB_KG      0.45359237
#define FT_M       0.3048
#define MI_M       1609.344
#define BTU_J      1055.05585262
#define G0_MS2     9.80665
#define WH_J       3600.0
#define BTU_WH     (BTU_J / WH_J)
#define HP_W       (550.0 * FT_M * LB_KG * G0_MS2)
#define PSI_PA     (LB_KG * G0_MS2 / (FT_M / 12.0 * (FT_M / 12.0)))
#define FT3_L      (FT_M * FT_M * FT_M * 1000.0)
#define DAY_S      86400.0
#define MPG_L100KM (100000.0 * GAL_L / MI_M)

#define U(dim, symbol, aliases, factor)                                                                                \
    {                                                                                                                  \
        LW_DIM_##dim, symbol, aliases, factor, 0.0, 0                                                                  \
    }
#define U_OFF(dim, symbol, aliases, factor, plus)                                                                      \
    {                                                                                                                  \
        LW_DIM_##dim, symbol, aliases, factor, plus, 0                                                                 \
    }
#define U_REC(dim, symbol, aliases, factor)                                                                            \
    {                                                                                                                  \
        LW_DIM_##dim, symbol, aliases, factor, 0.0, 1                                                                  \
    }

/* Within a dimension the units that people meet first come first: refusals list them in this order. */
const lw_unit lw_units[] = {
    U(FRACTION, "%", "percent|pct", 0.01),
    U(FRACTION, "thirds", "third", 1.0 / 3.0),
    U(FRACTION, "quarters", "quarter", 0.25),
    U(VOLUME, "gal", "gallon|gallons|gals|US gal", GAL_L),
    U(VOLUME, "L", "l|liter|liters|litre|litres", 1.0),
    U(VOLUME, "qt", "quart|quarts|qts", GAL_L / 4.0),
    U(VOLUME, "pt", "pint|pints", GAL_L / 8.0),
    U(VOLUME, "cup", "cups", GAL_L / 16.0),
    U(VOLUME, "floz", "fl oz|fl. oz|fluid ounce|fluid ounces", GAL_L / 128.0),
    U(VOLUME, "mL", "ml|milliliter|milliliters|millilitre|millilitres", 0.001),
    U(VOLUME, "m3", "cubic meter|cubic meters|cubic metre|cubic metres", 1000.0),
    U(VOLUME, "ft3", "cu ft|cubic foot|cubic feet|cf", FT3_L),
    U(MASS, "lb", "lbs|pound|pounds", LB_KG),
    U(MASS, "kg", "kilogram|kilograms|kilo|kilos", 1.0),
    U(MASS, "oz", "ounce|ounces", LB_KG / 16.0),
    U(MASS, "g", "gram|grams", 0.001),
    U(MASS, "ton", "tons|short ton|short tons", 2000.0 * LB_KG),
    U(MASS, "t", "tonne|tonnes", 1000.0),
    U(POWER, "W", "watt|watts", 1.0),
    U(POWER, "kW", "kilowatt|kilowatts", 1000.0),
    U(POWER, "BTU/h", "BTU/hr|BTUH|BTU per hour", BTU_WH),
    U(POWER, "kBTU/h", "kBTU/hr|kBTUH", 1000.0 * BTU_WH),
    U(POWER, "hp", "horsepower", HP_W),
    U(ENERGY, "Wh", "W h|watt-hour|watt-hours|watt hour|watt hours", 1.0),
    U(ENERGY, "kWh", "kW h|kilowatt-hour|kilowatt-hours", 1000.0),
    U(ENERGY, "BTU", "BTUs", BTU_WH),
    U(ENERGY, "kBTU", "", 1000.0 * BTU_WH),
    U(ENERGY, "MJ", "megajoule|megajoules", 1.0e6 / WH_J),
    U(ENERGY, "kJ", "kilojoule|kilojoules", 1.0e3 / WH_J),
    U(ENERGY, "J", "joule|joules", 1.0 / WH_J),
    U(CHARGE, "Ah", "A h|amp-hour|amp-hours|amp hour|amp hours", 1.0),
    U(CHARGE, "mAh", "", 0.001),
    U(CURRENT, "A", "amp|amps|ampere|amperes", 1.0),
    U(CURRENT, "mA", "milliamp|milliamps", 0.001),
    U(VOLTAGE, "V", "volt|volts", 1.0),
    U(VOLTAGE, "mV", "", 0.001),
    U(RESISTANCE, "ohm", "ohms|Ohm|\xCE\xA9|\xE2\x84\xA6", 1.0),
    U(RESISTANCE, "mohm", "mOhm|milliohm|milliohms|m\xCE\xA9|m\xE2\x84\xA6", 0.001),
    U_OFF(TEMPERATURE, "F", "degF|deg F|fahrenheit", 5.0 / 9.0, -160.0 / 9.0),
    U(TEMPERATURE, "C", "degC|deg C|celsius", 1.0),
    U_OFF(TEMPERATURE, "K", "kelvin", 1.0, -273.15),
    U(TEMPERATURE_STEP, "F", "degF|deg F", 5.0 / 9.0),
    U(TEMPERATURE_STEP, "K", "kelvin", 1.0),
    U(TEMPERATURE_STEP, "C", "degC|deg C", 1.0),
    U(LENGTH, "ft", "foot|feet|'", FT_M),
    U(LENGTH, "m", "meter|meters|metre|metres", 1.0),
    U(LENGTH, "in", "inch|inches|\"", FT_M / 12.0),
    U(LENGTH, "cm", "", 0.01),
    U(LENGTH, "mm", "", 0.001),
    U(LENGTH, "mi", "mile|miles", MI_M),
    U(LENGTH, "km", "kilometer|kilometers|kilometre|kilometres", 1000.0),
    U(LENGTH, "yd", "yard|yards", 3.0 * FT_M),
    U(AREA, "ft2", "sq ft|sqft|square feet|square foot", FT_M *FT_M),
    U(AREA, "m2", "sq m|square meter|square meters|square metre|square metres", 1.0),
    U(SPEED, "mph", "mi/h", MI_M / 3600.0),
    U(SPEED, "m/s", "", 1.0),
    U(SPEED, "km/h", "kmh|kph", 1.0 / 3.6),
    U(SPEED, "kt", "kn|kts|knot|knots", 1852.0 / 3600.0),
    U(PRESSURE, "psi", "lbf/in2", PSI_PA),
    U(PRESSURE, "kPa", "", 1000.0),
    U(PRESSURE, "inHg", "in Hg", 3386.389),
    U(PRESSURE, "hPa", "", 100.0),
    U(PRESSURE, "mbar", "mb|millibar|millibars", 100.0),
    U(PRESSURE, "bar", "", 100000.0),
    U(PRESSURE, "inH2O", "in H2O|in WC|in w.c.|inWC", 249.0889),
    U(PRESSURE, "Pa", "pascal|pascals", 1.0),
    U(TIME, "h", "hr|hrs|hour|hours", 3600.0),
    U(TIME, "min", "mins|minute|minutes", 60.0),
    U(TIME, "d", "day|days", DAY_S),
    U(TIME, "week", "weeks|wk|wks", 7.0 * DAY_S),
    U(TIME, "s", "sec|secs|second|seconds", 1.0),
    U(ANGLE, "deg", "degree|degrees", 1.0),
    U(DATA, "GB", "gb|gigabyte|gigabytes", 1000.0),
    U(DATA, "MB", "mb|megabyte|megabytes", 1.0),
    U(DATA, "TB", "tb|terabyte|terabytes", 1.0e6),
    U(DATA, "kB", "kb|KB|kilobyte|kilobytes", 0.001),
    U(DATA_RATE, "Mbit/s", "Mbps|mbps|Mb/s|Mbit", 1.0),
    U(DATA_RATE, "kbit/s", "kbps|Kbps|kb/s|kbit", 0.001),
    U(DATA_RATE, "Gbit/s", "Gbps|gbps", 1000.0),
    U(MONEY, "USD", "$|usd|dollar|dollars", 1.0),
    U(FLOW, "gpm", "gal/min", GAL_L / 60.0),
    U(FLOW, "L/min", "lpm", 1.0 / 60.0),
    U(FLOW, "gal/h", "gal/hr|gph", GAL_L / 3600.0),
    U(FLOW, "L/h", "L/hr", 1.0 / 3600.0),
    U(FLOW, "L/s", "", 1.0),
    U_REC(FUEL_USE, "mpg", "miles per gallon|mi/gal", MPG_L100KM),
    U(FUEL_USE, "L/100 km", "L/100km|l/100 km", 1.0),
    U_REC(FUEL_USE, "km/L", "", 100.0),
    U(CONDUCTANCE, "BTU/h/F", "BTU/(h F)|BTU/hr/F", BTU_WH * 9.0 / 5.0),
    U(CONDUCTANCE, "W/K", "W/C", 1.0),
    U(HEAT_CAPACITY, "kJ/K", "kJ/C", 1.0),
    U(HEAT_CAPACITY, "MJ/K", "MJ/C", 1000.0),
    U(HEAT_CAPACITY, "BTU/F", "", BTU_J / 1000.0 * 9.0 / 5.0),
    U(HEAT_CAPACITY, "Wh/K", "", WH_J / 1000.0),
    U(IRRADIANCE, "W/m2", "", 1.0),
    U(PEOPLE, "people", "person|persons", 1.0),
    U(BAGS, "bags", "bag", 1.0),
    U(FLUSHES, "flushes", "flush", 1.0),
    U(PERSON_DAYS, "person-days", "person-day|person days|person day", 1.0),
    U(COUNT_PER_DAY, "/d", "/day|a day|per day|times a day|x/day", 1.0),
    U(COUNT_PER_DAY, "/week", "a week|per week|times a week|x/week", 1.0 / 7.0),
    U(VOLUME_PER_DAY, "gal/d", "gal/day|gal a day|gpd", GAL_L),
    U(VOLUME_PER_DAY, "L/d", "L/day|L a day", 1.0),
    U(VOLUME_PER_DAY, "qt/d", "qt/day", GAL_L / 4.0),
    U(MASS_PER_DAY, "lb/d", "lb/day|lb a day", LB_KG),
    U(MASS_PER_DAY, "kg/d", "kg/day|kg a day", 1.0),
    U(MASS_PER_DAY, "g/d", "g/day", 0.001),
    U(ENERGY_PER_DAY, "Wh/d", "Wh/day|Wh a day", 1.0),
    U(ENERGY_PER_DAY, "kWh/d", "kWh/day|kWh a day", 1000.0),
    U(CHARGE_PER_DAY, "Ah/d", "Ah/day|Ah a day", 1.0),
    U(DATA_PER_DAY, "GB/d", "GB/day|GB a day", 1000.0),
    U(DATA_PER_DAY, "MB/d", "MB/day|MB a day", 1.0),
    U(DATA_PER_DAY, "GB/month", "GB a month", 12000.0 / 365.25),
    U(MONEY_PER_DAY, "USD/d", "USD/day|$/day|$/night|USD/night|USD a day|USD a night", 1.0),
    U(PRICE_PER_VOLUME, "USD/gal", "$/gal|$ a gallon|USD a gallon", 1.0 / GAL_L),
    U(PRICE_PER_VOLUME, "USD/L", "$/L", 1.0),
    U(PRICE_PER_MASS, "USD/lb", "$/lb", 1.0 / LB_KG),
    U(PRICE_PER_MASS, "USD/kg", "$/kg", 1.0),
    U(PRICE_PER_ENERGY, "USD/kWh", "$/kWh", 0.001),
    U(PRICE_PER_ENERGY, "USD/Wh", "$/Wh", 1.0),
    U(PRICE_PER_LENGTH, "USD/mi", "$/mi", 1.0 / MI_M),
    U(PRICE_PER_LENGTH, "USD/km", "$/km", 0.001),
    U(PRICE_PER_LENGTH, "USD/m", "$/m", 1.0),
};
const size_t lw_units_count = sizeof lw_units / sizeof lw_units[0];

const lw_dim_row *lw_dim_of(lw_dim dim)
{
    return &DIMS[(unsigned)dim < LW_DIM_COUNT ? dim : LW_DIM_NUMBER];
}

double lw_unit_to_si(const lw_unit *unit, double value)
{
    return unit->is_reciprocal ? unit->factor / value : value * unit->factor + unit->offset;
}

double lw_unit_from_si(const lw_unit *unit, double value_si)
{
    return unit->is_reciprocal ? unit->factor / value_si : (value_si - unit->offset) / unit->factor;
}

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c;
}

/* One spelling, pulled through the signs that people's keyboards make: the degree sign is dropped before a letter
 * (it is "deg" when alone), superscripts become digits, a middle dot a blank, runs of blanks one blank. */
typedef struct speller {
    const char *at, *end;
} speller;

static int next_of(speller *s)
{
    while (s->at < s->end) {
        const unsigned char c = (unsigned char)s->at[0], d = s->end - s->at > 1 ? (unsigned char)s->at[1] : 0;
        if (c == ' ') {
            while (s->at < s->end && *s->at == ' ')
                s->at++;
            return ' ';
        }
        if (c != 0xC2) {
            s->at++;
            return c;
        }
        if (d == 0) {
            s->at++;
            return c;
        }
        s->at += 2;
        if (d == 0xB2)
            return '2';
        if (d == 0xB3)
            return '3';
        if (d == 0xB7)
            return ' ';
        if (d != 0xB0)
            return 0x100 + d;
    }
    return 0;
}

static int is_spelled(const char *want, size_t want_n, const char *have, size_t have_n, int cased)
{
    speller a = {want, want + want_n}, b = {have, have + have_n};
    for (;;) {
        const int x = next_of(&a), y = next_of(&b);
        if (x != y && (cased || x > 0x7F || y > 0x7F || lower((char)x) != lower((char)y)))
            return 0;
        if (x == 0)
            return 1;
    }
}

static size_t length_to(const char *text, char stop)
{
    size_t n = 0;
    while (text[n] && text[n] != stop)
        n++;
    return n;
}

static int has_spelling(const lw_unit *unit, const char *text, size_t n, int cased)
{
    if (is_spelled(unit->symbol, length_to(unit->symbol, '\0'), text, n, cased))
        return 1;
    for (const char *alias = unit->aliases; *alias;) {
        const size_t alias_n = length_to(alias, '|');
        if (is_spelled(alias, alias_n, text, n, cased))
            return 1;
        alias += alias_n + (alias[alias_n] == '|');
    }
    return 0;
}

static int is_degree_sign(const char *text, size_t n)
{
    return n == 2 && (unsigned char)text[0] == 0xC2 && (unsigned char)text[1] == 0xB0;
}

const lw_unit *lw_unit_find(lw_dim dim, const char *spelling, size_t n)
{
    if (n == 0)
        return LW_UNIT_NONE;
    if (is_degree_sign(spelling, n)) {
        spelling = "deg";
        n = 3;
    }
    const int last_cased = lw_dim_of(dim)->is_case_strict ? 1 : 0;
    for (int cased = 1; cased >= last_cased; cased--)
        for (size_t i = 0; i < lw_units_count; i++)
            if (lw_units[i].dim == dim && has_spelling(&lw_units[i], spelling, n, cased))
                return &lw_units[i];
    return LW_UNIT_NONE;
}

const lw_unit *lw_unit_find_any(const char *spelling, size_t n)
{
    for (int dim = 0; dim < LW_DIM_COUNT; dim++) {
        const lw_unit *unit = lw_unit_find((lw_dim)dim, spelling, n);
        if (unit)
            return unit;
    }
    return LW_UNIT_NONE;
}
