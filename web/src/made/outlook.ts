// Made by web/tools/made.mjs from docs/outlook.schema.json; do not edit.

/** A quantile of an end */
export type Quantile = {
    /** days from the start; the horizon's length when beyond it */
    days: number;
    /** the end or, beyond it, the horizon, ISO 8601 in UTC */
    at: string | null;
    /** the same, civil time of the place for people */
    at_civil: string | null;
    /** the end lies later than was computed: days is a lower bound */
    beyond_horizon: boolean;
};

/** Time until a demand first goes unmet, each supply with the others topped up */
export type Leeway = {
    p10: Quantile;
    p50: Quantile;
    p90: Quantile;
    /** chance of lasting past the horizon */
    beyond_frac: number;
};

/** One supply. Keys of amounts end in the unit of that supply: l litres, wh watt-hours, kg, gb gigabytes, person_days */
export type Supply = {
    /** word of the supply */
    supply: "fresh" | "drinking" | "grey" | "black" | "battery" | "propane" | "fuel" | "rubbish" | "data" | "food" | "stay";
    /** for people */
    name: string | null;
    /** it concerns this household; reports leave the others out */
    is_shown: boolean;
    /** what its end is */
    end: "fills" | "empties";
    leeway: Leeway;
    /** how much of its spread comes from use, the rest from weather: squares of the widths from P10 to P90 with one of them drawn; null where there is no spread or too few draws to tell */
    spread_use_frac: number | null;
    /** how often it is the one that ends the stay */
    binds_frac: number;
    /** name of the vessel that ends first */
    binding_vessel: string | null;
    /** hours in which a renewing supply fell short, whole horizon */
    unmet_h?: number | null;
    /** what is left, in words */
    left: string | null;
    /** when it ends, in words */
    ends: string | null;
    /** the same as a sentence */
    sentence: string | null;
    /** rubbish: until the oldest bag smells */
    age_leeway?: Leeway;
    /** rubbish: the same in words */
    age_sentence?: string | null;
    /** data: what leisure may use, where work has a reserve */
    leisure_leeway?: Leeway | null;
    /** data: the same in words */
    leisure_sentence?: string | null;
    /** of data: speed once it is spent and price of more */
    plan_sentence?: string | null;
    /** with more than one draw: chance of lasting to the end of each day from the start */
    lasts_frac?: number[];
    /** what is in at the start: median, or that quantile of it */
    level_gb?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_kg?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_l?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_p10_gb?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_p10_kg?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_p10_l?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_p10_person_days?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_p10_wh?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_p90_gb?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_p90_kg?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_p90_l?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_p90_person_days?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_p90_wh?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_person_days?: number | null;
    /** what is in at the start: median, or that quantile of it */
    level_wh?: number | null;
    /** all vessels together */
    capacity_gb?: number | null;
    /** all vessels together */
    capacity_kg?: number | null;
    /** all vessels together */
    capacity_l?: number | null;
    /** all vessels together */
    capacity_person_days?: number | null;
    /** all vessels together */
    capacity_wh?: number | null;
    /** mean demand of the first seven days */
    use_gb_per_day?: number | null;
    /** mean demand of the first seven days */
    use_kg_per_day?: number | null;
    /** mean demand of the first seven days */
    use_l_per_day?: number | null;
    /** mean demand of the first seven days */
    use_person_days_per_day?: number | null;
    /** mean demand of the first seven days */
    use_wh_per_day?: number | null;
    /** what is in at the wished departure, joint course; null without one */
    level_at_departure_gb?: number | null;
    /** what is in at the wished departure, joint course; null without one */
    level_at_departure_kg?: number | null;
    /** what is in at the wished departure, joint course; null without one */
    level_at_departure_l?: number | null;
    /** what is in at the wished departure, joint course; null without one */
    level_at_departure_person_days?: number | null;
    /** what is in at the wished departure, joint course; null without one */
    level_at_departure_wh?: number | null;
    /** what a renewing supply fell short by, own course, whole horizon */
    unmet_gb?: number | null;
    /** what a renewing supply fell short by, own course, whole horizon */
    unmet_kg?: number | null;
    /** what a renewing supply fell short by, own course, whole horizon */
    unmet_l?: number | null;
    /** what a renewing supply fell short by, own course, whole horizon */
    unmet_person_days?: number | null;
    /** what a renewing supply fell short by, own course, whole horizon */
    unmet_wh?: number | null;
};

/** One tank, cylinder, place or connection */
export type Vessel = {
    /** as the scenario names it */
    name: string | null;
    /** word of its supply */
    supply: "fresh" | "drinking" | "grey" | "black" | "battery" | "propane" | "fuel" | "rubbish" | "data" | "food" | "stay";
    /** whose it is; null: ours */
    owner: string | null;
    /** fresh and drinking water: fit to drink */
    potable?: "yes" | "no" | "unknown" | null;
    leeway: Leeway;
    /** at the start */
    level_gb?: number | null;
    /** at the start */
    level_kg?: number | null;
    /** at the start */
    level_l?: number | null;
    /** at the start */
    level_person_days?: number | null;
    /** at the start */
    level_wh?: number | null;
    /** all it holds */
    capacity_gb?: number | null;
    /** all it holds */
    capacity_kg?: number | null;
    /** all it holds */
    capacity_l?: number | null;
    /** all it holds */
    capacity_person_days?: number | null;
    /** all it holds */
    capacity_wh?: number | null;
    /** bottom that cannot be drawn, or room that must stay */
    unusable_gb?: number | null;
    /** bottom that cannot be drawn, or room that must stay */
    unusable_kg?: number | null;
    /** bottom that cannot be drawn, or room that must stay */
    unusable_l?: number | null;
    /** bottom that cannot be drawn, or room that must stay */
    unusable_person_days?: number | null;
    /** bottom that cannot be drawn, or room that must stay */
    unusable_wh?: number | null;
    /** joint course */
    level_at_departure_gb?: number | null;
    /** joint course */
    level_at_departure_kg?: number | null;
    /** joint course */
    level_at_departure_l?: number | null;
    /** joint course */
    level_at_departure_person_days?: number | null;
    /** joint course */
    level_at_departure_wh?: number | null;
};

/** What leeway outlook --json prints */
export type Outlook = {
    /** name and version of this form; within a version only additions */
    schema: "leeway.outlook/1";
    /** Who made it */
    program: {
        /** leeway */
        name: string | null;
        /** of the program */
        version: string | null;
    };
    /** What makes it repeatable */
    run: {
        /** of the random numbers; text, because it has 64 bits */
        seed: string;
        /** courses computed */
        draws: number;
        /** nothing is planned, or the plan is followed */
        policy: "as_is" | "plan";
        /** steps of the engine an hour */
        steps_per_hour: number;
        /** as it was named */
        scenario_file: string | null;
        /** of the sentences; numbers are always SI */
        units: "us" | "si";
    };
    /** Where */
    place: {
        /** as the scenario names it */
        name: string | null;
        /** north positive, degrees */
        latitude_deg: number | null;
        /** east positive, degrees */
        longitude_deg: number | null;
        /** above sea level, m */
        elevation_m: number | null;
        /** IANA time zone */
        zone: string | null;
    };
    /** Where the weather comes from */
    weather: {
        /** in words */
        source: string | null;
        /** when it was made, ISO 8601 in UTC */
        made: string | null;
        /** the same, civil time of the place for people */
        made_civil: string | null;
        /** days from then to the start */
        age_days: number | null;
        /** usual values, not a forecast */
        is_typical: boolean;
        /** height of the measurements, m; null: taken as the place's */
        measured_at_elevation_m: number | null;
        /** the same in words */
        sentence: string | null;
    };
    /** arrival, ISO 8601 in UTC */
    start: string | null;
    /** the same, civil time of the place for people */
    start_civil: string | null;
    /** end of the computation, ISO 8601 in UTC */
    horizon: string | null;
    /** end of the joint course, in which shortages feed back: the departure, or a fortnight after they begin; ISO 8601 in UTC */
    joint_until: string;
    /** the same, civil time of the place for people */
    joint_until_civil: string;
    /** the same, civil time of the place for people */
    horizon_civil: string | null;
    /** wished; null: none, ISO 8601 in UTC */
    departure: string | null;
    /** the same, civil time of the place for people */
    departure_civil: string | null;
    /** what ends the stay and when */
    headline: string | null;
    /** What ends the stay; the headline itself unless that tells of a vital device */
    stay_sentence: string | null;
    /** how sure that is */
    why: string | null;
    /** what lasts until the wished departure */
    departure_sentence: string | null;
    /** the rule of the place */
    stay_rule: string | null;
    /** the supply that ends the stay; null: none before the horizon */
    binding: "fresh" | "drinking" | "grey" | "black" | "battery" | "propane" | "fuel" | "rubbish" | "data" | "food" | "stay" | null;
    /** Vital ones first, then by time; repeats are counted */
    warnings: {
        /** of its first event */
        kind: "supply_end" | "supply_back" | "battery_floor" | "loads_cut" | "loads_back" | "furnace_stops" | "furnace_short" | "gas_short" | "fridge_stops" | "food_warm" | "water_stops" | "network_stops" | "alarms_stop" | "vital_stops" | "vital_cold" | "vital_hot" | "cabin_cold" | "cabin_freezes" | "cabin_hot" | "valve_freezes" | "pipes_freeze" | "charge_cold" | "leisure_data_ends" | "rubbish_place" | "rubbish_old" | "generator_small" | "ac_stops" | "snow_on_panels" | "wind_high";
        /** when first, ISO 8601 in UTC */
        first: string | null;
        /** the same, civil time of the place for people */
        first_civil: string | null;
        /** days, nights or outages on which it happens until departure or the horizon */
        times: number;
        /** concerns somebody who depends on power or temperature */
        is_vital: boolean;
        /** a flat battery with all that follows */
        is_chain: boolean;
        /** in words */
        sentence: string | null;
    }[];
    /** By the median of their end, soonest first */
    supplies: Supply[];
    /** In the scenario's order */
    vessels: Vessel[];
    /** Vital loads: how long each has power, joint course */
    vital: {
        /** its name */
        load: string | null;
        leeway: Leeway;
        /** how long it has power */
        sentence: string | null;
        p01?: Quantile;
    }[];
    /** People and animals that must be kept warm or cool, joint course */
    kept_warm_or_cool: {
        /** of the person or animal */
        name: string | null;
        /** kept so until the departure, or as far as is looked */
        lasts: boolean;
        /** which limits, and until when */
        sentence: string | null;
    }[];
    /** how far to trust vital and kept_warm_or_cool; null where none of them lasts */
    vital_note: string | null;
    /** What happens in the joint course, in order */
    events: {
        /** what happens */
        kind: "supply_end" | "supply_back" | "battery_floor" | "loads_cut" | "loads_back" | "furnace_stops" | "furnace_short" | "gas_short" | "fridge_stops" | "food_warm" | "water_stops" | "network_stops" | "alarms_stop" | "vital_stops" | "vital_cold" | "vital_hot" | "cabin_cold" | "cabin_freezes" | "cabin_hot" | "valve_freezes" | "pipes_freeze" | "charge_cold" | "leisure_data_ends" | "rubbish_place" | "rubbish_old" | "generator_small" | "ac_stops" | "snow_on_panels" | "wind_high";
        /** when, ISO 8601 in UTC */
        at: string | null;
        /** the same, civil time of the place for people */
        at_civil: string | null;
        /** that it concerns */
        supply: "fresh" | "drinking" | "grey" | "black" | "battery" | "propane" | "fuel" | "rubbish" | "data" | "food" | "stay" | null;
        /** of a vessel, load, person, cut-off class or array (4: the awning), as the kind says */
        index: number;
        /** as the kind says: degrees Celsius, V, W, a fraction, mm of water (snow) or m/s (wind) */
        value: number | null;
        /** in words */
        sentence: string | null;
    }[];
    /** events beyond the room for them */
    events_lost: number;
    /** Balance of power, joint course */
    energy: {
        /** what the sums run to */
        until: "departure" | "horizon";
        /** sun turned into power by the panels before losses, Wh */
        sun_on_panels_wh: number;
        /** of it, used or stored, Wh */
        sun_used_wh: number;
        /** of it, not wanted, Wh */
        sun_unused_wh: number;
        /** by the generator's charger, Wh */
        generator_to_dc_wh: number;
        /** while driving, Wh */
        drive_to_dc_wh: number;
        /** served at 12 or 24 V, Wh */
        dc_loads_wh: number;
        /** taken by the inverter, Wh */
        inverter_in_wh: number;
        /** of it, for being switched on, Wh */
        inverter_idle_wh: number;
        /** into the battery, Wh */
        battery_in_wh: number;
        /** out of it, Wh */
        battery_out_wh: number;
        /** asked for and not served, Wh */
        unmet_wh: number;
        /** the generator ran, h */
        generator_h: number;
        /** lost in the battery, Wh */
        battery_losses_wh: number;
    };
    /** Inside climate, joint course, until departure if one is wished */
    comfort: {
        /** lowest cabin temperature, degrees Celsius */
        inside_low_c: number | null;
        /** when, ISO 8601 in UTC */
        inside_low_at: string | null;
        /** when, civil time of the place for people */
        inside_low_at_civil: string | null;
        /** highest, degrees Celsius */
        inside_high_c: number | null;
        /** when, ISO 8601 in UTC */
        inside_high_at: string | null;
        /** when, civil time of the place for people */
        inside_high_at_civil: string | null;
        /** lowest in the tank bay, degrees Celsius */
        bay_low_c: number | null;
        /** when, ISO 8601 in UTC */
        bay_low_at: string | null;
        /** when, civil time of the place for people */
        bay_low_at_civil: string | null;
        /** hours below what the thermostat wants */
        below_set_h: number | null;
        /** hours the furnace burns */
        furnace_h: number | null;
        /** hours above 32 C with people inside */
        hot_h: number | null;
        /** with more than one draw: in one stay of ten it is colder than this at some time */
        inside_low_p10_c?: number | null;
        /** with more than one draw: in one stay of ten it is warmer than this at some time */
        inside_high_p90_c?: number | null;
    };
    /** Sums of every flow of the engine's ledger */
    flows: {
        /** each supply with the others topped up, to the horizon */
        own: {
            [key: string]: number;
        } | null;
        /** shortages feed back, to joint_until */
        joint: {
            [key: string]: number;
        } | null;
        /** to the wished departure; null without one */
        own_to_departure: {
            [key: string]: number;
        } | null;
        /** to the wished departure; null without one */
        joint_to_departure: {
            [key: string]: number;
        } | null;
    };
    /** Levels for a chart, own course */
    marks: {
        /** hours between marks */
        every_h: number;
        /** by supply: fraction of its capacity at each mark */
        level_frac: {
            [key: string]: (number | null)[];
        };
        /** the same that one course of ten lies below; empty lists with one draw */
        level_p10_frac: {
            [key: string]: (number | null)[];
        };
        /** the same that one of ten lies above; empty lists with one draw */
        level_p90_frac: {
            [key: string]: (number | null)[];
        };
    };
    /** Matters touched where the work can hurt someone */
    cautions: {
        /** its row in data/cautions.csv */
        id: string | null;
        /** a few words */
        title: string | null;
        /** what to heed */
        text: string | null;
        /** where it comes from */
        source: string | null;
    }[];
    /** Doubts about the scenario that did not stop it */
    notes: {
        /** file, line and key */
        where: string | null;
        /** the doubt */
        text: string | null;
    }[];
    /** figures the scenario left to the tables */
    assumption_count: number;
    /** The same one by one, when asked for */
    assumptions?: {
        /** of the scenario */
        key: string | null;
        /** in the units of the scenario */
        value: string | null;
        /** where it comes from */
        source: string | null;
        /** how good that is */
        kind: "published" | "common practice" | "from memory" | "fitted" | "yours" | null;
    }[];
    /** Hourly columns of the joint course, when asked for; hour 0 begins at start; levels and temperatures stand at the end of the hour */
    series?: {
        /** hours between rows */
        every_h: number;
        /** rows */
        count: number;
        /** outside, mean of the hour, degrees Celsius */
        air_c: (number | null)[];
        /** degrees Celsius */
        cabin_c: (number | null)[];
        /** tank bay, degrees Celsius */
        bay_c: (number | null)[];
        /** state of charge, 0..1 */
        battery_frac: (number | null)[];
        /** Wh in the hour */
        sun_on_panels_wh: (number | null)[];
        /** Wh in the hour */
        sun_used_wh: (number | null)[];
        /** hours run */
        generator_h: (number | null)[];
        /** Wh in the hour */
        dc_loads_wh: (number | null)[];
        /** Wh in the hour */
        inverter_in_wh: (number | null)[];
        /** Wh in the hour */
        unmet_wh: (number | null)[];
        /** kg in the hour */
        propane_kg: (number | null)[];
        /** one column a vessel, in the order of vessels and in their units */
        vessel_level: ((number | null)[])[];
    };
    /** with more than one draw: what the draws need in all and what falls on the panels, own course until then; P10, P20 .. P90, empty with one draw */
    totals: {
        until: "departure" | "horizon";
        /** gas asked for, whether there is enough or not */
        propane_kg_deciles: number[];
        /** what the panels could give */
        sun_on_panels_wh_deciles: number[];
    };
    /** by kind of event: share of the draws in which it happens in the joint course; kinds that never do are left out; empty with one draw */
    chances_frac: {
        [key: string]: number;
    };
    /** when the first of the supplies ends, whichever it is in a draw; null with one draw */
    first_end: Leeway | null;
    /** chance that no supply ends before the wished departure; null with one draw or without a departure */
    stays_frac: number | null;
    /** what the course told spares but a tenth of the draws or more do not, for people; null: nothing */
    possible: string | null;
    /** What the household's own readings said; only in an outlook from the book */
    learned?: {
        /** readings that were used */
        readings: number;
        /** entries that say nothing of levels, or cannot be used */
        left_out: number;
        /** where the past that was run again begins */
        since: string | null;
        /** the same by the place's clock */
        since_civil: string | null;
        /** draws of the past that differ from each other */
        effective_draws: number | null;
        /** by group of use */
        factors: {
            /** times the table: P10, P50, P90 */
            showers: number[];
            /** times the table: P10, P50, P90 */
            dishes: number[];
            /** times the table: P10, P50, P90 */
            toilet: number[];
            /** times the table: P10, P50, P90 */
            drinking: number[];
            /** times the table: P10, P50, P90 */
            heat: number[];
            /** times the table: P10, P50, P90 */
            devices: number[];
            /** times the table: P10, P50, P90 */
            rubbish: number[];
            /** times the table: P10, P50, P90 */
            data: number[];
        };
        /** what the rig's file leaves open of water tanks, as learned: one of the three each */
        unsure: {
            /** name of the tank */
            of: string | null;
            /** what it holds, litres: P10, P50, P90 */
            capacity_l?: (number | null)[];
            /** what stays in when it is dumped, litres: P10, P50, P90 */
            residue_l?: (number | null)[];
            /** what its gauge shows too much, as a share of the tank: P10, P50, P90 */
            bias_frac?: (number | null)[];
        }[];
        /** what cannot be told apart yet, and the one action that settles it */
        ties: {
            /** name of the tank */
            of: string | null;
            /** a sentence for people */
            says: string | null;
        }[];
        /** the same in words */
        sentence: string | null;
        /** a stuck gauge, changed habits or another rule of lamps; null: none */
        doubt: string | null;
    };
};
