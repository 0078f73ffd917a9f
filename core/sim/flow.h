/* core/sim/flow.h: the ledger of named flows.
 *
 * Every drop, watt-hour and gram that moves in a step is one of these, each by its own formula, none by subtraction.
 * Sums that must close (held by tests/core/test_ledger.c at every step):
 *   water     FRESH_OUT + FRESH_SHORT + DRINKING_OUT + DRINKING_SHORT + BODY_IN
 *             = GREY_IN + GREY_OVER + BLACK_IN + BLACK_OVER + OUTDOORS + GONE
 *   tanks     change of level = in - out + transfer, for each supply
 *   panels    SUN_PANELS = SUN_SOILING + SUN_WIRING + SUN_MISMATCH + SUN_CONVERSION + SUN_USED + SUN_UNUSED
 *   bus       SUN_USED + CHARGER_DC + DRIVE_DC + BATTERY_OUT + DC_SHORT = DC_LOADS + INVERTER_IN + BATTERY_IN
 *   inverter  INVERTER_IN = AC_INVERTER + INVERTER_IDLE + INVERTER_LOSS
 *   generator GENERATOR_AC = AC_GENERATOR + CHARGER_AC;  CHARGER_AC = CHARGER_DC + CHARGER_LOSS
 *   battery   change of stored energy = BATTERY_IN - BATTERY_OUT - BATTERY_OHMIC - BATTERY_COULOMBIC - BATTERY_SELF
 *   heat      mass x change of temperature = HEAT_SUN + HEAT_PEOPLE + HEAT_LOADS + HEAT_GAS + HEAT_FURNACE
 *             + HEAT_ELECTRIC - HEAT_CONDUCTION - HEAT_VENT - HEAT_COOLING
 * _SHORT and _OVER are what a supply's own course lends when that supply is at its end, so that the others go on, and
 * what is used of a supply that the rig has no vessel for. */
#ifndef LW_CORE_SIM_FLOW_H
#define LW_CORE_SIM_FLOW_H

/* id, word, unit */
#define LW_FLOWS(X)                                                                                                    \
    X(FRESH_OUT, "fresh_out", l)                                                                                       \
    X(FRESH_SHORT, "fresh_short", l)                                                                                   \
    X(FRESH_TRANSFER, "fresh_transfer", l)                                                                             \
    X(DRINKING_OUT, "drinking_out", l)                                                                                 \
    X(DRINKING_SHORT, "drinking_short", l)                                                                             \
    X(DRINKING_TRANSFER, "drinking_transfer", l)                                                                       \
    X(BODY_IN, "body_in", l)                                                                                           \
    X(GREY_IN, "grey_in", l)                                                                                           \
    X(GREY_OVER, "grey_over", l)                                                                                       \
    X(GREY_TRANSFER, "grey_transfer", l)                                                                               \
    X(BLACK_IN, "black_in", l)                                                                                         \
    X(BLACK_OVER, "black_over", l)                                                                                     \
    X(BLACK_TRANSFER, "black_transfer", l)                                                                             \
    X(OUTDOORS, "outdoors", l)                                                                                         \
    X(GONE, "gone", l)                                                                                                 \
    X(RUBBISH_IN, "rubbish_in", l)                                                                                     \
    X(RUBBISH_OVER, "rubbish_over", l)                                                                                 \
    X(RUBBISH_TRANSFER, "rubbish_transfer", l)                                                                         \
    X(DATA_OUT, "data_out", gb)                                                                                        \
    X(DATA_SHORT, "data_short", gb)                                                                                    \
    X(DATA_TRANSFER, "data_transfer", gb)                                                                              \
    X(FOOD_OUT, "food_out", person_days)                                                                               \
    X(FOOD_SHORT, "food_short", person_days)                                                                           \
    X(FOOD_TRANSFER, "food_transfer", person_days)                                                                     \
    X(PROPANE_OUT, "propane_out", kg)                                                                                  \
    X(PROPANE_SHORT, "propane_short", kg)                                                                              \
    X(PROPANE_TRANSFER, "propane_transfer", kg)                                                                        \
    X(PROPANE_FURNACE, "propane_furnace", kg)                                                                          \
    X(PROPANE_WATER, "propane_water_heater", kg)                                                                       \
    X(PROPANE_FRIDGE, "propane_fridge", kg)                                                                            \
    X(PROPANE_COOKING, "propane_cooking", kg)                                                                          \
    X(PROPANE_GENERATOR, "propane_generator", kg)                                                                      \
    X(FUEL_OUT, "fuel_out", l)                                                                                         \
    X(FUEL_SHORT, "fuel_short", l)                                                                                     \
    X(FUEL_TRANSFER, "fuel_transfer", l)                                                                               \
    X(SUN_PANELS, "sun_panels", wh)                                                                                    \
    X(SUN_SOILING, "sun_soiling", wh)                                                                                  \
    X(SUN_WIRING, "sun_wiring", wh)                                                                                    \
    X(SUN_MISMATCH, "sun_mismatch", wh)                                                                                \
    X(SUN_CONVERSION, "sun_conversion", wh)                                                                            \
    X(SUN_USED, "sun_used", wh)                                                                                        \
    X(SUN_UNUSED, "sun_unused", wh)                                                                                    \
    X(DC_LOADS, "dc_loads", wh)                                                                                        \
    X(DC_SHORT, "dc_short", wh)                                                                                        \
    X(INVERTER_IN, "inverter_in", wh)                                                                                  \
    X(INVERTER_IDLE, "inverter_idle", wh)                                                                              \
    X(INVERTER_LOSS, "inverter_loss", wh)                                                                              \
    X(AC_INVERTER, "ac_inverter", wh)                                                                                  \
    X(AC_GENERATOR, "ac_generator", wh)                                                                                \
    X(GENERATOR_AC, "generator_ac", wh)                                                                                \
    X(CHARGER_AC, "charger_ac", wh)                                                                                    \
    X(CHARGER_DC, "charger_dc", wh)                                                                                    \
    X(CHARGER_LOSS, "charger_loss", wh)                                                                                \
    X(DRIVE_DC, "drive_dc", wh)                                                                                        \
    X(BATTERY_IN, "battery_in", wh)                                                                                    \
    X(BATTERY_OUT, "battery_out", wh)                                                                                  \
    X(BATTERY_OHMIC, "battery_ohmic", wh)                                                                              \
    X(BATTERY_COULOMBIC, "battery_coulombic", wh)                                                                      \
    X(BATTERY_SELF, "battery_self", wh)                                                                                \
    X(UNMET_LOAD, "unmet_load", wh)                                                                                    \
    X(HEAT_SUN, "heat_sun", wh)                                                                                        \
    X(HEAT_PEOPLE, "heat_people", wh)                                                                                  \
    X(HEAT_LOADS, "heat_loads", wh)                                                                                    \
    X(HEAT_GAS, "heat_gas", wh)                                                                                        \
    X(HEAT_FURNACE, "heat_furnace", wh)                                                                                \
    X(HEAT_ELECTRIC, "heat_electric", wh)                                                                              \
    X(HEAT_CONDUCTION, "heat_conduction", wh)                                                                          \
    X(HEAT_VENT, "heat_vent", wh)                                                                                      \
    X(HEAT_COOLING, "heat_cooling", wh)                                                                                \
    X(GENERATOR_HOURS, "generator_hours", h)

typedef enum lw_flow {
#define LW_FLOW_ID(id, word, unit) LW_FLOW_##id,
    LW_FLOWS(LW_FLOW_ID) LW_FLOW_COUNT
#undef LW_FLOW_ID
} lw_flow;

typedef struct lw_flows {
    double of[LW_FLOW_COUNT];
} lw_flows;

#endif
