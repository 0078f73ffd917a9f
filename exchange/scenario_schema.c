#include <stdio.h>
#include <string.h>

#include "core/house/habit.h"
#include "exchange/scenario_internal.h"

/* The keys of a scenario, once, in the order of the file. Bounds are in the storage unit of the dimension and wide: they
 * catch slips of the pen (a decimal point, a wrong unit), they are no opinion about rigs. */
#define MAP(path, brief, flags, what)                                                                                  \
    {                                                                                                                  \
        path, LW_KEY_MAP, flags, brief, 0, 0, 0, 0, NULL, NULL, what, NULL                                             \
    }
#define LIST(path, brief, flags, what)                                                                                 \
    {                                                                                                                  \
        path, LW_KEY_LIST, flags, brief, 0, 0, 0, 0, NULL, NULL, what, NULL                                            \
    }
#define QTY(path, dim, low, high, example, what)                                                                       \
    {                                                                                                                  \
        path, LW_KEY_QUANTITY, 0, NULL, LW_DIM_##dim, 0, low, high, NULL, example, what, NULL                          \
    }
#define QTY_OR(path, dim, other, low, high, example, what)                                                             \
    {                                                                                                                  \
        path, LW_KEY_QUANTITY, 0, NULL, LW_DIM_##dim, LW_DIM_##other, low, high, NULL, example, what, NULL             \
    }
#define NEED(path, dim, low, high, example, what)                                                                      \
    {                                                                                                                  \
        path, LW_KEY_QUANTITY, LW_KEY_REQUIRED, NULL, LW_DIM_##dim, 0, low, high, NULL, example, what, NULL            \
    }
#define QTY_UNSURE(path, dim, flags, low, high, example, what)                                                         \
    {                                                                                                                  \
        path, LW_KEY_QUANTITY, LW_KEY_UNSURE_FITS | (flags), NULL, LW_DIM_##dim, 0, low, high, NULL, example, what,    \
            NULL                                                                                                       \
    }
#define LEVEL(path, dim, high, example, what)                                                                          \
    {                                                                                                                  \
        path, LW_KEY_LEVEL, 0, NULL, LW_DIM_##dim, LW_DIM_FRACTION, 0, high, NULL, example, what, NULL                 \
    }
#define WORD(path, words, example, what)                                                                               \
    {                                                                                                                  \
        path, LW_KEY_WORD, 0, NULL, 0, 0, 0, 0, words, example, what, NULL                                             \
    }
#define WORDS(path, words, example, what)                                                                              \
    {                                                                                                                  \
        path, LW_KEY_WORDS, 0, NULL, 0, 0, 0, 0, words, example, what, NULL                                            \
    }
#define YESNO(path, example, what)                                                                                     \
    {                                                                                                                  \
        path, LW_KEY_YESNO, 0, NULL, 0, 0, 0, 0, NULL, example, what, NULL                                             \
    }
#define ANY(path, kind, example, what)                                                                                 \
    {                                                                                                                  \
        path, LW_KEY_##kind, 0, NULL, 0, 0, 0, 0, NULL, example, what, NULL                                            \
    }
#define ONE(path, kind, example, what)                                                                                 \
    {                                                                                                                  \
        path, LW_KEY_##kind, LW_KEY_REQUIRED, NULL, 0, 0, 0, 0, NULL, example, what, NULL                              \
    }
#define TEXT(path, example, what) ANY(path, TEXT, example, what)
#define TEXT_TO(path, letters, example, what)                                                                          \
    {                                                                                                                  \
        path, LW_KEY_TEXT, 0, NULL, 0, 0, 0, letters, NULL, example, what, NULL                                        \
    }
#define HOURS(path, example, what) ANY(path, HOURS, example, what)
#define YES_NO_UNKNOWN             "yes|no|unknown"
#define FIXTURES                   "kitchen|basin|shower|toilet|outdoor"
#define BEINGS                     "adult/adults|teen/teens|child/children|dog/dogs|cat/cats"
#define PLACES                     "bin|locker|rack|vehicle|shower"

/* Gauges of any thing share their keys. */
#define GAUGE(path, example)                                                                                           \
    {                                                                                                                  \
        path, LW_KEY_LIST, 0, "kind", 0, 0, 0, 0, NULL, example,                                                       \
            "what it is read by; left out: what is usual (data/gauges.csv)", "rig.gauge[]"                             \
    }

#define WATER_VESSEL(path)                                                                                             \
    TEXT(path "[].name", "main", "what you call it; events and overrides use the name"),                               \
        QTY_UNSURE(path "[].capacity", VOLUME, LW_KEY_REQUIRED, 0.5, 5000, "40 gal", "what it holds when full")

#define WASTE_TANK(path, word)                                                                                         \
    LIST(path, "capacity", LW_KEY_NONE_FITS, "the " word " tank, or a list of them"), WATER_VESSEL(path),              \
        LEVEL(path "[].level", VOLUME, 5000, "1/3", "what is in it at arrival"),                                       \
        QTY_UNSURE(path "[].residue", VOLUME, 0, 0, 500, "0.5 gal", "what stays in it when it is dumped"),             \
        QTY(path "[].spare", VOLUME, 0, 500, "1 gal", "room that must stay free"),                                     \
        WORDS(path "[].from", FIXTURES, "kitchen, basin",                                                              \
              "what drains into it; leave out for all; a black tank that names kitchen or shower is for all waste"),   \
        QTY(path "[].order", NUMBER, 0, 99, "1", "filled in this order; equal numbers share"),                         \
        TEXT(path "[].owner", "neighbour", "whose it is, when it is not yours"), GAUGE(path "[].gauge", "thirds")

#define WEATHER_KEYS(path)                                                                                             \
    QTY(path ".high", TEMPERATURE, -60, 60, "86 F", "mean daily high"),                                                \
        QTY(path ".low", TEMPERATURE, -70, 50, "52 F", "mean daily low"),                                              \
        QTY(path ".clear", FRACTION, 0, 1.2, "85 %", "sun on the ground as a share of a cloudless day's"),             \
        QTY(path ".wind", SPEED, 0, 60, "7 mph", "mean wind"),                                                         \
        QTY(path ".humidity", FRACTION, 0, 1, "25 %", "mean relative humidity"),                                       \
        QTY(path ".rain", LENGTH, 0, 3, "0.4 in", "rain and melted snow in a month")

#define MONTH(word) MAP("weather.months." word, NULL, 0, "the month"), WEATHER_KEYS("weather.months." word)

const lw_key lw_keys[] = {
    {"leeway", LW_KEY_WORD, LW_KEY_REQUIRED, NULL, 0, 0, 0, 0, "1", "1", "version of this form; always first", NULL},
    WORD("units", "us|si", "us", "units of the answers; in this file every value carries its own"),

    MAP("rig", "kind", 0, "the camper and what it carries"),
    TEXT("rig.name", "Barnacle", "what you call it"),
    TEXT("rig.kind", "class-c", "kind of rig, from the table of rigs; every size left out below comes from its row"),
    MAP("rig.tanks", NULL, 0, "water in and out"),
    LIST("rig.tanks.fresh", "capacity", LW_KEY_NONE_FITS, "fresh water: the tank, or a list with cans and bladders"),
    WATER_VESSEL("rig.tanks.fresh"),
    LEVEL("rig.tanks.fresh[].level", VOLUME, 5000, "full", "what is in it at arrival"),
    QTY("rig.tanks.fresh[].unusable", VOLUME, 0, 500, "1 gal", "what the pump cannot reach"),
    WORDS("rig.tanks.fresh[].feeds", FIXTURES, "kitchen, shower", "which taps it feeds; leave out for all"),
    WORD("rig.tanks.fresh[].potable", YES_NO_UNKNOWN, "yes", "fit to drink"),
    QTY("rig.tanks.fresh[].order", NUMBER, 0, 99, "1", "drawn in this order; equal numbers share"),
    TEXT("rig.tanks.fresh[].owner", "neighbour", "whose it is, when it is not yours"),
    GAUGE("rig.tanks.fresh[].gauge", "thirds"),
    WASTE_TANK("rig.tanks.grey", "grey water"),
    WASTE_TANK("rig.tanks.black", "black water"),

    MAP("rig.drinking", "bottled", LW_KEY_NONE_FITS, "drinking water apart from the taps"),
    QTY("rig.drinking.bottled", VOLUME, 0.1, 2000, "6 gal", "bottles and jugs when all are full"),
    LEVEL("rig.drinking.level", VOLUME, 2000, "4 gal", "what is in them at arrival"),
    GAUGE("rig.drinking.gauge", "none"),
    MAP("rig.drinking.filter", "life", LW_KEY_NONE_FITS, "a cartridge that makes drinking water from fresh"),
    QTY("rig.drinking.filter.life", VOLUME, 1, 100000, "400 gal", "what a new cartridge is good for"),
    LEVEL("rig.drinking.filter.left", VOLUME, 100000, "3/4", "what it is still good for"),
    QTY("rig.drinking.filter.rate", FLOW, 0.0001, 10, "20 gal/h", "its flow"),
    GAUGE("rig.drinking.filter.gauge", "none"),

    MAP("rig.propane", "cylinders", LW_KEY_NONE_FITS, "gas"),
    LIST("rig.propane.cylinders", "capacity", 0, "cylinders or the built-in tank: 2 x 20 lb, or a list"),
    TEXT("rig.propane.cylinders[].name", "left", "what you call it"),
    {"rig.propane.cylinders[].capacity", LW_KEY_QUANTITY, LW_KEY_REQUIRED, NULL, LW_DIM_MASS, LW_DIM_VOLUME, 0.2, 500,
     NULL, "20 lb", "gas in it when filled to its legal limit; gallons mean liquid gas", NULL},
    LEVEL("rig.propane.cylinders[].level", MASS, 500, "full", "what is in it at arrival"),
    QTY("rig.propane.cylinders[].order", NUMBER, 0, 99, "1", "used in this order"),
    TEXT("rig.propane.cylinders[].owner", "neighbour", "whose it is, when it is not yours"),
    GAUGE("rig.propane.cylinders[].gauge", "scale"),
    QTY("rig.propane.open", NUMBER, 1, 8, "1", "cylinders open at the same time"),

    LIST("rig.fuel", "capacity", LW_KEY_NONE_FITS, "fuel for the generator: the vehicle's tank, cans"),
    TEXT("rig.fuel[].name", "tank", "what you call it"),
    NEED("rig.fuel[].capacity", VOLUME, 0.5, 2000, "55 gal", "what it holds when full"),
    LEVEL("rig.fuel[].level", VOLUME, 2000, "3/4", "what is in it at arrival"),
    LEVEL("rig.fuel[].reserve", VOLUME, 2000, "1/4", "what the generator cannot draw or must leave for the drive"),
    QTY("rig.fuel[].order", NUMBER, 0, 99, "1", "used in this order"),
    TEXT("rig.fuel[].owner", "neighbour", "whose it is, when it is not yours"),
    GAUGE("rig.fuel[].gauge", "quarters"),

    LIST("rig.rubbish", "capacity", LW_KEY_NONE_FITS, "places where rubbish may stand"),
    TEXT("rig.rubbish[].name", "rear rack", "what you call it"),
    WORD("rig.rubbish[].place", PLACES, "locker", "what kind of place; a rack is not used where animals come"),
    {"rig.rubbish[].capacity", LW_KEY_QUANTITY, LW_KEY_REQUIRED, NULL, LW_DIM_VOLUME, LW_DIM_BAGS, 0.5, 5000, NULL,
     "3 bags", "room, or a number of bags", NULL},
    LEVEL("rig.rubbish[].level", VOLUME, 5000, "empty", "what stands there at arrival"),
    QTY("rig.rubbish[].order", NUMBER, 0, 99, "1", "filled in this order; from bin to shower when left out"),
    TEXT("rig.rubbish[].owner", "neighbour", "whose it is, when it is not yours"),
    GAUGE("rig.rubbish[].gauge", "bags"),
    QTY("rig.bag", VOLUME, 1, 300, "13 gal", "size of the bags you use"),
    QTY("rig.payload", MASS, 1, 20000, "1800 lb",
        "what may be loaded, by the label at the door or the scale; of a rig that is driven with its people"),
    QTY("rig.gear", MASS, 0, 20000, "400 lb", "what is loaded besides people, food, water, gas and waste"),
    QTY("rig.roof", AREA, 0, 100, "40 ft2", "roof that is free for more panels"),

    MAP("rig.food", "capacity", LW_KEY_NONE_FITS, "food in the fridge and the cupboards"),
    QTY("rig.food.capacity", PERSON_DAYS, 0.5, 5000, "42 person-days", "what one shopping fills"),
    LEVEL("rig.food.level", PERSON_DAYS, 5000, "full", "what is there at arrival"),
    GAUGE("rig.food.gauge", "none"),

    LIST("rig.data", "allowance", LW_KEY_NONE_FITS, "data connections"),
    TEXT("rig.data[].name", "phone plan", "carrier or what you call it"),
    NEED("rig.data[].allowance", DATA, 1, 1e9, "100 GB", "what a period allows at full speed"),
    LEVEL("rig.data[].left", DATA, 1e9, "64 GB", "what is left of it at arrival"),
    QTY("rig.data[].renews", NUMBER, 1, 31, "15", "day of the month on which it begins anew"),
    QTY("rig.data[].work_reserve", DATA, 0, 1e9, "20 GB", "what leisure leaves for work"),
    QTY("rig.data[].slow", DATA_RATE, 0, 10000, "0.6 Mbit/s", "speed once it is used up"),
    QTY("rig.data[].price", MONEY, 0, 10000, "50 USD", "of one more period's allowance"),
    QTY("rig.data[].power", POWER, 0, 500, "9 W", "what its router or dish draws, while you are in camp"),
    TEXT_TO("rig.data[].network", 15, "310-260", "its network's codes, as a list of masts has them: country-network"),
    QTY("rig.data[].order", NUMBER, 0, 99, "1", "used in this order"),
    TEXT("rig.data[].owner", "neighbour", "whose it is, when it is not yours"),
    GAUGE("rig.data[].gauge", "amount"),

    MAP("rig.battery", "capacity", 0, "the house battery"),
    WORD("rig.battery.chemistry", "flooded|agm|lfp", "lfp", "flooded lead-acid, agm (gel too), lithium iron phosphate"),
    QTY_OR("rig.battery.capacity", CHARGE, ENERGY, 5, 20000, "200 Ah", "rated at the 20-hour rate, the whole bank"),
    LEVEL("rig.battery.level", CHARGE, 20000, "full", "what is in it at arrival"),
    QTY("rig.battery.floor", FRACTION, 0, 0.95, "10 %", "you do not want to go below this"),
    QTY("rig.battery.health", FRACTION, 0.1, 1.1, "95 %", "what ageing has left of the capacity"),
    QTY("rig.battery.voltage", VOLTAGE, 6, 96, "12 V", "nominal: 12 V, 24 V or 48 V"),
    YESNO("rig.battery.heated", "no", "the pack warms itself before it charges"),
    YESNO("rig.battery.inside", "yes", "stands in the warm part"),
    QTY("rig.battery.charge_limit", CURRENT, 0.5, 5000, "100 A", "most it may be charged with"),
    QTY("rig.battery.cut_off", VOLTAGE, 5, 90, "11.5 V", "its own cut-out"),
    QTY("rig.battery.load_cut_off", VOLTAGE, 5, 90, "10.5 V", "appliances without a limit of their own stop here"),
    QTY("rig.battery.resistance", RESISTANCE, 0.0001, 1, "20 mohm", "of the bank"),
    GAUGE("rig.battery.gauge", "volts, percent"),

    LIST("rig.solar", "rated", LW_KEY_NONE_FITS, "arrays: 400 W, or a list"),
    TEXT("rig.solar[].name", "roof", "what you call it"),
    NEED("rig.solar[].rated", POWER, 1, 20000, "400 W", "by the label, the whole array"),
    QTY("rig.solar[].tilt", ANGLE, 0, 90, "0 deg", "from flat"),
    ANY("rig.solar[].toward", BEARING, "S", "the way it faces when tilted"),
    WORD("rig.solar[].mount", "flat|spaced/roof|open/ground/rack", "spaced",
         "air behind it: none (glued flat), a hand's width on brackets, or free on the ground or tilted up"),
    WORD("rig.solar[].controller", "mppt|pwm", "mppt", "charge controller"),
    QTY("rig.solar[].vmp", VOLTAGE, 5, 500, "20 V", "voltage at most power, at 25 C"),
    QTY("rig.solar[].wiring", FRACTION, 0, 0.5, "3 %", "lost in the leads"),
    QTY("rig.solar[].soiling", FRACTION, 0, 0.95, "5 %", "lost to dust"),
    QTY("rig.solar[].shade", FRACTION, 0, 1, "0 %", "beam lost to things on the roof"),
    QTY("rig.solar[].moves", NUMBER, 0, 24, "3", "portable: turned to the sun so many times a day"),
    HOURS("rig.solar[].out", "8:00-18:00", "hours in which a portable one stands out"),
    WORD("rig.solar[].snow", "left|cleared", "left",
         "snow on it: left until it slides or melts, or cleared each morning that a grown-up is in camp"),
    QTY("rig.solar[].wind_limit", SPEED, 1, 60, "20 mph", "mean wind above which you do not want it up"),
    WORD("rig.solar[].in_wind", "left|stowed", "left",
         "above that limit: left up, or put away while a grown-up is in camp; it gives nothing then"),

    MAP("rig.awning", "wind_limit", LW_KEY_NONE_FITS, "the awning"),
    QTY("rig.awning.wind_limit", SPEED, 1, 60, "15 mph", "mean wind above which it must be in; your maker's manual"),
    {"rig.slides", LW_KEY_QUANTITY, LW_KEY_NONE_FITS, NULL, LW_DIM_NUMBER, 0, 0, 9, NULL, "1",
     "rooms that slide out: for checklists alone", NULL},

    MAP("rig.generator", "rated", LW_KEY_NONE_FITS, "the generator"),
    QTY("rig.generator.rated", POWER, 100, 50000, "4 kW", "at sea level"),
    WORD("rig.generator.fuel", "gasoline/petrol|diesel|propane/lpg", "gasoline", "what it burns"),
    QTY("rig.generator.idle_use", FLOW, 0, 0.01, "0.3 gal/h", "fuel at no load"),
    QTY("rig.generator.full_use", FLOW, 0, 0.02, "0.7 gal/h", "fuel at full load"),
    WORD("rig.generator.derate", "sheet|j1349|none", "sheet", "loss in thin and hot air: makers' sheets, or SAE J1349"),
    YESNO("rig.generator.automatic", "no", "starts and stops itself by the battery"),
    QTY("rig.generator.start", FRACTION, 0, 1, "30 %", "battery at which it starts"),
    QTY("rig.generator.stop", FRACTION, 0, 1, "80 %", "battery at which it stops"),
    HOURS("rig.generator.run", "17:00-18:00", "hours it runs anyway"),
    HOURS("rig.generator.allowed", "8:00-20:00", "hours it may run; all but the place's quiet hours when left out"),
    YESNO("rig.generator.for_cooling", "no", "also runs for the air conditioner"),
    GAUGE("rig.generator.gauge", "hours"),
    QTY("rig.generator.per_hour", MONEY, 0, 1000, "0.50 USD", "what an hour of running costs you besides fuel"),
    QTY("rig.generator.per_start", MONEY, 0, 1000, "0.25 USD", "what going out to start it costs you"),
    LIST("rig.generator.bother", "hours", LW_KEY_NONE_FITS,
         "hours in which its noise is a cost: calls, lessons, naps, neighbours; for leeway plan generator"),
    TEXT("rig.generator.bother[].what", "calls", "whom or what it bothers"),
    ONE("rig.generator.bother[].hours", HOURS, "Mon-Fri 9:00-11:00", "when"),
    QTY("rig.generator.bother[].per_hour", MONEY, 0, 1000, "4 USD", "what an hour of running weighs then"),
    LIST("rig.generator.needs", "hours", LW_KEY_NONE_FITS,
         "what needs its current anyway: cooking, the air conditioner; for leeway plan generator"),
    TEXT("rig.generator.needs[].what", "cooking", "what for"),
    ONE("rig.generator.needs[].hours", HOURS, "17:00-20:00", "it must run within these hours"),
    QTY("rig.generator.needs[].run", TIME, 3600, 86400, "1 h", "for so long on each such day, in whole hours"),

    MAP("rig.charger", "rated", LW_KEY_NONE_FITS, "charger from 120 V"),
    QTY("rig.charger.rated", CURRENT, 1, 1000, "55 A", "into the battery"),
    QTY("rig.charger.efficiency", FRACTION, 0.3, 1, "85 %", "direct current out to power in"),
    QTY("rig.charger.power_factor", NUMBER, 0.3, 1, "0.7", "limits a small generator"),

    MAP("rig.inverter", "rated", LW_KEY_NONE_FITS, "120 V from the battery"),
    QTY("rig.inverter.rated", POWER, 20, 20000, "2 kW", "continuous"),
    QTY("rig.inverter.idle", POWER, 0, 500, "20 W", "drawn while on with nothing plugged in"),
    QTY("rig.inverter.efficiency", FRACTION, 0.3, 1, "90 %", "power out to power in, idle apart"),
    HOURS("rig.inverter.on", "7:00-22:00", "hours it is switched on"),

    MAP("rig.alternator", "rated", LW_KEY_NONE_FITS, "charging while the rig is driven"),
    QTY("rig.alternator.rated", CURRENT, 1, 500, "30 A", "into the house battery"),
    ANY("rig.alternator.drives", SPANS, "2026-06-10 9:00 to 2026-06-10 11:00", "when the rig itself is driven"),

    MAP("rig.cabin", NULL, 0, "warmth and cold"),
    QTY("rig.cabin.conductance", CONDUCTANCE, 5, 2000, "190 W/K", "heat lost a degree, calm, vents shut"),
    QTY("rig.cabin.wind", FRACTION, 0, 0.5, "2 %", "more of that for each m/s of wind"),
    QTY("rig.cabin.mass", HEAT_CAPACITY, 50, 50000, "2 MJ/K", "heat that its contents hold"),
    QTY("rig.cabin.glass", AREA, 0, 50, "8 ft2", "bare sunlit glass, by the share it lets in"),
    QTY("rig.cabin.skin", AREA, 0, 50, "8 ft2", "roof and sunlit wall, by the share of sun that gets inside"),
    QTY("rig.cabin.vents", CONDUCTANCE, 0, 5000, "300 W/K", "more with windows and vents open"),
    QTY("rig.cabin.vent_above", TEMPERATURE, 5, 45, "77 F", "people open them above this"),
    QTY("rig.cabin.day", TEMPERATURE, -5, 35, "68 F", "kept by day"),
    QTY("rig.cabin.night", TEMPERATURE, -5, 35, "59 F", "kept by night"),
    QTY("rig.cabin.away", TEMPERATURE, -5, 35, "50 F", "kept when nobody is there"),
    HOURS("rig.cabin.day_hours", "7:00-22:00", "when it is day inside"),
    QTY("rig.cabin.start", TEMPERATURE, -40, 55, "68 F", "inside at arrival"),
    MAP("rig.cabin.furnace", "input", LW_KEY_NONE_FITS, "the gas furnace"),
    QTY("rig.cabin.furnace.input", POWER, 200, 50000, "30000 BTU/h", "gas burnt while it runs"),
    QTY("rig.cabin.furnace.efficiency", FRACTION, 0.3, 1, "78 %", "heat inside to gas burnt"),
    QTY("rig.cabin.furnace.blower", POWER, 0, 500, "95 W", "drawn while it runs"),
    QTY("rig.cabin.furnace.cut_off", VOLTAGE, 0, 60, "10.5 V", "below this it locks out"),
    WORD("rig.cabin.furnace.derate", "code|above-2000-ft|none", "code",
         "loss with height; code counts it from sea level"),
    QTY("rig.cabin.electric_heat", POWER, 0, 10000, "1500 W", "heater that runs with the generator only"),
    MAP("rig.cabin.cooling", "output", LW_KEY_NONE_FITS, "air conditioner, with the generator only"),
    QTY("rig.cabin.cooling.output", POWER, 100, 20000, "13500 BTU/h", "heat it takes out"),
    QTY("rig.cabin.cooling.electric", POWER, 50, 10000, "1500 W", "what it draws"),
    QTY("rig.cabin.cooling.above", TEMPERATURE, 10, 45, "80 F", "wanted above this"),
    WORD("rig.cabin.bay", "exposed|enclosed|ducted|pads", "enclosed", "where tanks and pipes hang"),
    QTY("rig.cabin.pads", POWER, 0, 2000, "80 W", "heating pads, all together"),
    MAP("rig.cabin.fridge", "kind", LW_KEY_NONE_FITS, "the fridge"),
    WORD("rig.cabin.fridge.kind", "absorption|compressor", "absorption", "on gas, or with a 12 V compressor"),
    QTY("rig.cabin.fridge.power", POWER, 5, 1000, "380 W", "mean at 25 C: gas burnt, or 12 V power"),
    QTY("rig.cabin.fridge.control", POWER, 0, 100, "7 W", "its board on 12 V"),
    QTY("rig.cabin.fridge.cut_off", VOLTAGE, 0, 60, "10.5 V", "below this it stops"),
    MAP("rig.cabin.water_heater", "efficiency", LW_KEY_NONE_FITS, "the gas water heater"),
    QTY("rig.cabin.water_heater.efficiency", FRACTION, 0.3, 1, "75 %", "heat in the water to gas burnt"),
    QTY("rig.cabin.water_heater.standing", POWER, 0, 500, "55 W", "lost while it is kept hot"),
    QTY("rig.cabin.water_heater.input", POWER, 500, 30000, "10000 BTU/h", "gas it burns at most"),
    QTY("rig.cabin.water_heater.tank", VOLUME, 0, 200, "6 gal", "what it holds; 0 gal: without a tank"),
    QTY("rig.cabin.water_heater.hot", TEMPERATURE, 30, 80, "105 F", "at the tap, mixed"),
    QTY("rig.cabin.tap_water", TEMPERATURE, 0, 40, "57 F", "in the fresh tank"),
    MAP("rig.cabin.pump", "power", 0, "the water pump"),
    QTY("rig.cabin.pump.power", POWER, 1, 1000, "84 W", "drawn while it runs"),
    QTY("rig.cabin.pump.flow", FLOW, 0.005, 2, "3 gpm", "at an open tap"),
    QTY("rig.cabin.pump.cut_off", VOLTAGE, 0, 60, "9 V", "below this it stops"),

    MAP("rig.travel", NULL, 0, "the rig on the road; no outlook stands on it"),
    QTY("rig.travel.length", LENGTH, 2, 40, "28 ft", "with what it tows"),
    QTY("rig.travel.height", LENGTH, 1, 6, "11 ft 2 in", "at its highest"),
    QTY("rig.travel.width", LENGTH, 1, 4, "8 ft 4 in", "at its widest"),
    QTY("rig.travel.weight", MASS, 500, 60000, "13800 lb", "all that moves, loaded"),
    QTY("rig.travel.use", FUEL_USE, 3, 150, "9 mpg", "what it burns on level highway"),
    WORD("rig.travel.fuel", "petrol/gasoline|diesel", "petrol", "of the engine that drives"),
    QTY("rig.travel.power", POWER, 10000, 1e6, "300 hp", "of that engine at the sea's level"),
    YESNO("rig.travel.turbo", "no", "it is charged, and does not mind thin air"),
    QTY("rig.travel.speed", SPEED, 5, 40, "60 mph", "on a highway"),
    WORD("rig.travel.clearance", "any|high|four-wheel", "any",
         "what roads it can take: any of the usual, high clearance, four-wheel"),

    LIST("rig.appliances", "id", LW_KEY_NONE_FITS, "what else draws power, by the table of appliances or your own"),
    TEXT("rig.appliances[].id", "laptop", "name in the table; everything left out comes from its row"),
    TEXT("rig.appliances[].name", "desk", "what you call it; needed where there is no id"),
    QTY("rig.appliances[].count", NUMBER, 1, 50, "2", "so many of it"),
    QTY("rig.appliances[].watts", POWER, 0.01, 20000, "30 W", "while on, each"),
    QTY("rig.appliances[].duty", FRACTION, 0, 1, "60 %", "share of its hours in which it is on"),
    WORD("rig.appliances[].when", "always|weekly|present|work|school|dark|bay-cold|cabin-hot", "work",
         "what decides that it is on"),
    HOURS("rig.appliances[].hours", "8:00-17:00", "its hours, where they decide"),
    TEXT("rig.appliances[].person", "Ada", "whose work or school"),
    QTY("rig.appliances[].above", TEMPERATURE, 0, 50, "80 F", "cabin temperature that switches a fan on"),
    WORD("rig.appliances[].current", "dc|ac", "dc", "12 V, or 120 V through the inverter"),
    QTY("rig.appliances[].cut_off", VOLTAGE, 0, 60, "10.5 V", "below this it stops; 0 V: with the bank's own cut-out"),
    YESNO("rig.appliances[].generator_only", "no", "runs with the generator only"),
    YESNO("rig.appliances[].vital", "no", "somebody's health depends on it"),
    YESNO("rig.appliances[].network", "no", "without it no data"),
    YESNO("rig.appliances[].alarm", "no", "gas, smoke or CO alarm"),
    QTY("rig.appliances[].inside", FRACTION, 0, 1, "100 %", "share of its energy that warms the cabin"),

    WORD("rig.gauge[].kind", "none|lights|thirds|quarters|marks|percent|amount|scale|bags|volts|hours", "thirds",
         "lights: lamps at heights of your own; thirds, quarters: lamps there; marks: a needle or lines; amount: a "
         "number "
         "in the unit of what is in it; scale: weighed; none: the eye alone"),
    TEXT_TO("rig.gauge[].at", 60, "1/4, 1/2, 3/4", "heights of lamps or marks between empty and full"),
    WORD("rig.gauge[].rule", "reached|nearest", "reached",
         "what it shows: the mark that the level has reached, or the one next to it"),
    TEXT("rig.gauge[].step", "5 %", "the least that a number on it changes by; by eye: how far you trust it"),
    QTY_UNSURE("rig.gauge[].bias", FRACTION, 0, -0.4, 0.4, "5 %",
               "lights, marks, percent of a water tank: by how much of the tank it shows too much"),
    QTY("rig.gauge[].lie", FRACTION, 0, 0.5, "3 %", "how often it shows what is not so"),
    QTY("rig.gauge[].tare", MASS, 0, 200, "17 lb", "scale: weight of the empty cylinder, where you read both together"),

    MAP("crew", "people", LW_KEY_REQUIRED, "who lives in it, and how"),
    LIST("crew.people", "kind", LW_KEY_REQUIRED, "2 adults, 4 children; or a list"),
    TEXT("crew.people[].name", "Ada", "what you call them"),
    WORD("crew.people[].kind", BEINGS, "adult", "who it is"),
    HOURS("crew.people[].work", "Mon-Fri 8:00-16:00", "work that needs the connection"),
    HOURS("crew.people[].school", "Mon-Fri 9:00-13:00", "school that needs the connection"),
    HOURS("crew.people[].away", "Sat 9:00-15:00", "every week out of camp"),
    ANY("crew.people[].out", SPANS, "2026-06-12 9:00 to 2026-06-13 18:00", "once out of camp"),
    ANY("crew.people[].guest", SPANS, "2026-06-19 12:00 to 2026-06-21 16:00", "in camp only then"),
    QTY("crew.people[].toilet_here", FRACTION, 0, 1, "60 %", "share of toilet visits at the rig"),
    QTY("crew.people[].keep_above", TEMPERATURE, -10, 35, "60 F", "for their health the cabin must not be colder"),
    QTY("crew.people[].keep_below", TEMPERATURE, 10, 50, "85 F", "for their health the cabin must not be warmer"),
    QTY("crew.toilet_here", FRACTION, 0, 1, "100 %", "the same for everybody who has none of their own"),
    WORD("crew.toilet", "none|flush|cassette|dry|bag", "flush", "what kind of toilet"),
    MAP("crew.habits", "style", 0, "how things are done; each kind of doing by a row of the table of habits"),
    WORD("crew.habits.style", "normal|careful", "normal", "what holds for all that is not said"),
#define HABIT(id, word)                                                                                                \
    {"crew.habits." word,                                                                                              \
     LW_KEY_LIST,                                                                                                      \
     LW_KEY_NONE_FITS,                                                                                                 \
     "as",                                                                                                             \
     0,                                                                                                                \
     0,                                                                                                                \
     0,                                                                                                                \
     0,                                                                                                                \
     NULL,                                                                                                             \
     NULL,                                                                                                             \
     "how: a row of the table of habits",                                                                              \
     "crew.habits[]"},
    LW_ACTIVITIES(HABIT)
#undef HABIT
        {"crew.habits[].as", LW_KEY_TEXT, LW_KEY_REQUIRED, NULL, 0, 0, 0, 0, NULL, "wipe-first",
         "the row, or the part of its name that tells it apart", NULL},
    QTY("crew.habits[].every", TIME, 900, 86400.0 * 90, "3 days", "once for each person in so long"),
    QTY("crew.habits[].rate", COUNT_PER_DAY, 0, 100, "2 /d",
        "so often a day for each person; work and school: the share of the hour"),
    QTY("crew.habits[].water", VOLUME, 0, 500, "1.5 gal", "water each time"),
    QTY("crew.habits[].rubbish", VOLUME, 0, 200, "0.5 L", "rubbish each time"),
    QTY("crew.habits[].data", DATA, 0, 1e6, "500 MB", "data each time"),
    TEXT_TO("crew.habits[].who", 200, "Ada, Ben", "who does it so; everybody when left out"),
    LIST("crew.nuisance", "of", LW_KEY_NONE_FITS,
         "what a nuisance other ways are to you; those not named by the table of levers"),
    ONE("crew.nuisance[].of", TEXT, "shower-basin", "a habit or another lever (data/levers.csv)"),
    NEED("crew.nuisance[].is", NUMBER, 0, 10, "8", "0 none to 10 hardly to be borne, each day"),

    MAP("place", NULL, LW_KEY_REQUIRED, "where you stand"),
    TEXT("place.name", "Juniper Bench", "what you call it"),
    ONE("place.latitude", LATITUDE, "37.5 N", "north, or negative for south"),
    ONE("place.longitude", LONGITUDE, "112.5 W", "east, or negative for west"),
    QTY("place.elevation", LENGTH, -430, 6000, "6200 ft", "above the sea"),
    TEXT_TO(
        "place.terrain", 500, "terrain",
        "a folder of HGT terrain tiles (N37W113.hgt, also .gz), or one tile, beside this file: elevation and horizon "
        "come from it where they are not said"),
    TEXT_TO("place.zone", 47, "America/Denver", "time zone by its tz name"),
    LIST("place.horizon", "rises", 0, "the skyline: one angle all around, or points that are joined"),
    ANY("place.horizon[].toward", BEARING, "E", "the way you look"),
    QTY("place.horizon[].rises", ANGLE, 0, 89, "8 deg", "how high the land stands there"),
    TEXT_TO("place.towers", 500, "cells.csv.gz",
            "a list of mobile masts, beside this file (docs/use/signal.md); leeway signal predicts by it"),
    TEXT_TO("place.coverage", 500, "coverage.geojson",
            "published mobile coverage as GeoJSON, beside this file; leeway signal weighs it"),
    QTY("place.shade", FRACTION, 0, 1, "10 %", "beam lost to trees"),
    QTY("place.albedo", FRACTION, 0, 0.95, "25 %", "light thrown back by the ground; snow 70 %"),
    QTY("place.turbidity", NUMBER, 1, 10, "2.5", "haze: Linke turbidity, 2 very clear, 5 hazy"),
    WORD("place.outdoor_water", YES_NO_UNKNOWN, "no", "may dish water go on the ground by local rules"),
    YESNO("place.animals", "yes", "bears, ravens, dogs: rubbish never stands outside"),
    HOURS("place.quiet", "22:00-6:00", "no generator then"),
    TEXT_TO("place.manager", 31, "BLM Kanab", "whose land it is; stays on the land of others do not count here"),
    MAP("place.stay_rule", "id", LW_KEY_NONE_FITS, "how long one may stay"),
    TEXT("place.stay_rule.id", "blm-usual", "rule in the table of stay rules"),
    QTY("place.stay_rule.days", TIME, 86400, 86400.0 * 366, "14 days", "so many days"),
    QTY("place.stay_rule.window", TIME, 86400, 86400.0 * 366, "28 days", "in any so many in a row"),
    QTY("place.stay_rule.radius", LENGTH, 0, 500000, "25 mi", "earlier stays within this count"),
    LIST("place.permits", NULL, LW_KEY_NONE_FITS,
         "for the land of this manager; while one holds, the rule does not ask"),
    TEXT_TO("place.permits[].name", 31, "winter area", "what you call it"),
    ONE("place.permits[].from", DATE, "2026-09-15", "its first day"),
    ONE("place.permits[].to", DATE, "2027-04-15", "its last day"),
    TEXT("place.permits[].season", "09-15 to 04-15", "month and day from and to, each year; all year when left out"),
    QTY("place.permits[].price", MONEY, 0, 1e5, "180 USD", "what it costs"),
    QTY("place.permits[].renews", TIME, 86400, 86400.0 * 3660, "14 days", "the price is due again after so long"),
    YESNO("place.permits[].counts", "yes", "days under it count against the stay rule"),
    ANY("place.deadline", MOMENT, "2026-06-30 11:00", "gone by then in any case"),
    MAP("place.about", NULL, 0, "what is known of it, for choosing where to go; no outlook stands on it"),
    ANY("place.about.confirmed", DATE, "2026-05-30", "when somebody last saw that it is so"),
    TEXT_TO("place.about.confirmed_by", 60, "Ottilie", "who saw it"),
    ANY("place.about.recommended", DATE, "2026-03-02", "when somebody told you of it"),
    TEXT_TO("place.about.recommended_by", 60, "Marlow", "who told you"),
    QTY("place.about.fee", MONEY, 0, 1000, "12 USD", "a night; 0 USD: free"),
    WORDS("place.about.services", "water|dump|power|rubbish|toilets|showers|laundry|none", "rubbish, toilets",
          "what is there; none: nothing is"),
    WORD("place.about.water", "potable|not-potable|none|unknown", "not-potable",
         "the water there; treat what is unknown"),
    QTY("place.about.rigs", NUMBER, 0, 1000, "4", "room for so many rigs"),
    QTY("place.about.length", LENGTH, 2, 40, "32 ft", "the longest rig that fits, with what it tows"),
    QTY("place.about.height", LENGTH, 1.5, 10, "12 ft 6 in",
        "the highest that passes under what hangs over the way in"),
    QTY("place.about.weight", MASS, 500, 50000, "20000 lb", "the heaviest that the way in carries"),
    MAP("place.about.road", "surface", 0, "the last stretch of the way in"),
    WORD("place.about.road.surface", "paved|gravel|dirt|sand|rock", "gravel", "the worst of it"),
    WORD("place.about.road.clearance", "any|high|four-wheel", "any", "what it takes"),
    QTY("place.about.road.grade", FRACTION, 0, 0.5, "9 %", "its steepest"),
    QTY("place.about.road.distance", LENGTH, 0, 300000, "4 mi", "how long it is"),
    TEXT_TO("place.about.road.season", 14, "04-15 to 11-20", "when it is open: month and day, each year"),
    YESNO("place.about.road.dry_only", "yes", "not when wet: rain can close it behind you"),
    LIST("place.about.room", "chance", 0, "the chance to find room; the first row whose days and season fit holds"),
    {"place.about.room[].chance", LW_KEY_QUANTITY, LW_KEY_REQUIRED, NULL, LW_DIM_FRACTION, 0, 0, 1, NULL, "40 %",
     "to find a free spot on arrival", NULL},
    TEXT_TO("place.about.room[].days", 40, "Fri-Sun", "weekdays; all when left out"),
    TEXT_TO("place.about.room[].season", 14, "05-20 to 09-10", "month and day from and to; all year when left out"),
    LIST("place.about.closed", "season", 0, "when it is closed"),
    TEXT_TO("place.about.closed[].season", 14, "12-01 to 04-01", "each year: month and day from and to"),
    ANY("place.about.closed[].from", DATE, "2026-09-14", "or once: the first day"),
    ANY("place.about.closed[].to", DATE, "2026-09-25", "and the last"),
    TEXT_TO("place.about.closed[].why", 60, "road work", "why"),
    MAP("place.about.rules", NULL, 0,
        "rules beside how long, outdoor water and quiet hours, which stand with the place"),
    QTY("place.about.rules.water_distance", LENGTH, 0, 5000, "200 ft", "so far from streams and lakes"),
    QTY("place.about.rules.unattended", TIME, 0, 86400.0 * 366, "10 days", "camp may stand alone so long"),
    WORD("place.about.rules.food_storage", YES_NO_UNKNOWN, "yes", "food must be locked away from animals"),
    WORD("place.about.rules.fire", "yes|ring|no|ask", "ring",
         "fires: yes, in the ring there, no; orders change, so ask"),
    TEXT_TO("place.about.rules.office", 120, "Juniper field office, 555-0142", "whom to ask"),
    LIST("place.about.signal", NULL, 0, "what you know of signal there, over what leeway signal works out"),
    {"place.about.signal[].line", LW_KEY_TEXT, LW_KEY_REQUIRED, NULL, 0, 0, 0, 31, NULL, "Anycell", "which carrier",
     NULL},
    {"place.about.signal[].chance", LW_KEY_QUANTITY, LW_KEY_REQUIRED, NULL, LW_DIM_FRACTION, 0, 0, 1, NULL, "80 %",
     "that a work day is possible", NULL},
    LIST("place.about.nearby", "what", 0, "things to do"),
    {"place.about.nearby[].what", LW_KEY_TEXT, LW_KEY_REQUIRED, NULL, 0, 0, 0, 60, NULL, "Sandlot rim trail", "what",
     NULL},
    QTY("place.about.nearby[].time", TIME, 0, 86400, "25 min", "to drive there"),
    QTY("place.about.nearby[].distance", LENGTH, 0, 1e6, "12 mi", "by road"),
    LIST("place.about.drives", NULL, 0, "drives that you know, to other places; they go before every guess"),
    {"place.about.drives[].to", LW_KEY_TEXT, LW_KEY_REQUIRED, NULL, 0, 0, 0, 60, NULL, "Cottonwood Wash",
     "a place of your book, or a spot such as 38.57,-109.55", NULL},
    QTY("place.about.drives[].distance", LENGTH, 0, 1e7, "96 mi", "by road"),
    QTY("place.about.drives[].time", TIME, 0, 86400.0 * 14, "2 h 10 min", "with the rig"),
    TEXT_TO("place.about.notes", 1000, "level ground at the far end", "your own notes"),
    LIST("place.about.photos", "path", 0, "your own photos"),
    {"place.about.photos[].path", LW_KEY_TEXT, LW_KEY_REQUIRED, NULL, 0, 0, 0, 250, NULL, "photos/bench.jpg",
     "where it lies", NULL},

    MAP("stay", NULL, 0, "when, and what happens meanwhile"),
    ANY("stay.arrive", MOMENT, "2026-06-08 15:00", "civil date and time at the place"),
    ANY("stay.leave", MOMENT, "2026-06-22 10:00", "when you wish to leave"),
    MAP("stay.levels", NULL, 0, "levels at arrival, over those of the rig"),
    LEVEL("stay.levels.fresh", VOLUME, 20000, "full", "all fresh vessels together"),
    LEVEL("stay.levels.drinking", VOLUME, 20000, "full", "bottles or cartridge"),
    LEVEL("stay.levels.grey", VOLUME, 20000, "empty", "all grey tanks together"),
    LEVEL("stay.levels.black", VOLUME, 20000, "empty", "all black tanks together"),
    LEVEL("stay.levels.battery", CHARGE, 20000, "90 %", "the bank"),
    LEVEL("stay.levels.propane", MASS, 2000, "full", "all cylinders together"),
    LEVEL("stay.levels.fuel", VOLUME, 5000, "3/4", "all tanks and cans together"),
    LEVEL("stay.levels.rubbish", VOLUME, 20000, "empty", "all places together"),
    LEVEL("stay.levels.data", DATA, 1e9, "64 GB", "all connections together"),
    LEVEL("stay.levels.food", PERSON_DAYS, 5000, "full", "food"),
    LIST("stay.earlier", NULL, 0, "earlier stays, for the stay rule"),
    ONE("stay.earlier[].from", DATE, "2026-05-20", "first night"),
    ONE("stay.earlier[].to", DATE, "2026-05-27", "day of departure"),
    ANY("stay.earlier[].latitude", LATITUDE, "37.6 N", "where; this place when left out"),
    ANY("stay.earlier[].longitude", LONGITUDE, "112.4 W", "where; this place when left out"),
    TEXT_TO("stay.earlier[].manager", 31, "BLM Kanab", "whose land; left out, it counts here"),
    LIST("stay.events", NULL, LW_KEY_NONE_FITS, "what is brought in or taken out meanwhile"),
    ONE("stay.events[].at", MOMENT, "2026-06-15 14:00", "when"),
    {"stay.events[].do", LW_KEY_WORD, LW_KEY_REQUIRED, NULL, 0, 0, 0, 0, "fill|dump|add|take", "fill",
     "fill to the brim, dump, add or take an amount", NULL},
    {"stay.events[].what", LW_KEY_TEXT, LW_KEY_REQUIRED, NULL, 0, 0, 0, 0, NULL, "fresh",
     "a supply, or a vessel by its name", NULL},
    TEXT("stay.events[].amount", "20 gal", "for add and take, in a unit of that supply"),
    WORD("stay.events[].potable", YES_NO_UNKNOWN, "yes", "fresh water: fit to drink"),
    TEXT("stay.events[].why", "run to town", "a few words"),
    LIST("stay.generator", NULL, LW_KEY_NONE_FITS, "windows on named dates in which the generator runs, to the hour"),
    ONE("stay.generator[].from", MOMENT, "2026-06-15 17:00", "when it is started"),
    ONE("stay.generator[].until", MOMENT, "2026-06-15 19:00", "when it is stopped"),

    MAP("weather", "file", 0,
        "an hourly file, a station's record, months, one set of values for the whole stay, or climate; climate where "
        "it "
        "is left out"),
    TEXT_TO("weather.file", 1000, "basin.epw",
            "hourly: EPW, TMY3 or NSRDB, beside this file; climate: what the place usually has"),
    {"weather.forecast", LW_KEY_TEXT, LW_KEY_NONE_FITS, NULL, 0, 0, 0, 1000, NULL, "forecast.json",
     "forecast of the US weather service, beside this file; what else stands here follows it", NULL},
    TEXT_TO(
        "weather.normals", 1000, "normals.csv",
        "monthly normals of a station near you (NOAA, CSV), beside this file: the climate of the place, drawn to it"),
    TEXT_TO("weather.ghcn", 1000, "station.csv",
            "daily record of a station near you (GHCN-Daily), beside this file: the same, by its last 30 years"),
    TEXT("weather.station", "USC00425733", "which station, where the file holds several"),
    QTY("weather.elevation", LENGTH, -430, 6000, "5900 ft",
        "where the weather was measured; air is corrected by 6.5 K/km"),
    TEXT_TO("weather.source", 150, "normals of the valley station", "where the values come from, for the report"),
    ANY("weather.made", DATE, "2026-06-01", "when they were made"),
    WEATHER_KEYS("weather"),
    MAP("weather.months", NULL, 0, "one set of values a month, by name"),
    MONTH("jan"),
    MONTH("feb"),
    MONTH("mar"),
    MONTH("apr"),
    MONTH("may"),
    MONTH("jun"),
    MONTH("jul"),
    MONTH("aug"),
    MONTH("sep"),
    MONTH("oct"),
    MONTH("nov"),
    MONTH("dec"),
};
const int lw_key_count = sizeof lw_keys / sizeof lw_keys[0];

const lw_key *lw_key_at(const char *path)
{
    for (int i = 0; i < lw_key_count; i++)
        if (strcmp(lw_keys[i].path, path) == 0)
            return &lw_keys[i];
    return NULL;
}

void lw_key_items(const lw_key *list, char *buf, size_t size)
{
    if (list->items)
        snprintf(buf, size, "%s", list->items);
    else
        snprintf(buf, size, "%s[]", list->path);
}

const lw_key *lw_key_under(const char *path, const char *key)
{
    const size_t n = strlen(path);
    for (int i = 0; i < lw_key_count; i++) {
        const char *other = lw_keys[i].path;
        if (n == 0 ? strcmp(other, key) == 0
                   : other[0] == path[0] && strncmp(other, path, n) == 0 && other[n] == '.' &&
                         strcmp(other + n + 1, key) == 0)
            return &lw_keys[i];
    }
    return NULL;
}
