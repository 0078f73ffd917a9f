// Made by web/tools/made.mjs from docs/rhythm.schema.json; do not edit.

/** How often each service of a long stay comes round, by month. Within a version only additions. Amounts in SI units; USD. */
export type Rhythm = {
    schema: "leeway.rhythm/1";
    program: {
        name: "leeway";
        version: string;
    };
    scenario_file: string | null;
    draws: number;
    seed: string;
    start: string | null;
    start_civil: string | null;
    until: string | null;
    until_civil: string | null;
    days: number;
    confidence_frac: number | null;
    hour_usd: number | null;
    /** false: the weather of the scenario */
    is_climate: boolean;
    has_services: boolean;
    headline: string | null;
    limit: string | null;
    ask: string | null;
    note: string | null;
    /** in this time */
    runs: number | null;
    /** runs with your time and trouble, gas and generator fuel */
    usd: number | null;
    /** the mean of 30.4 days */
    usd_per_month: number | null;
    months: {
        year: number;
        month: number;
        days: number;
        /** days from one run to the next; 0: none is needed, or short_of says what no rhythm keeps up */
        every_days: number;
        /** what no rhythm keeps up; null: all are */
        short_of: string | null;
        supplies: {
            supply: string | null;
            /** after a service, in the wished share of courses; 45: that long at least */
            lasts_days: number | null;
            /** the supply is served with each so-manieth run */
            each_run: number;
            use_per_day: number | null;
            unit: string | null;
        }[];
        /** how the runs are made */
        ways: string[];
        /** in this time */
        runs: number | null;
        hours_h: number | null;
        road_km: number | null;
        fees_usd: number | null;
        road_usd: number | null;
        time_usd: number | null;
        trouble_usd: number | null;
        propane_usd: number | null;
        fuel_usd: number | null;
        /** runs with your time and trouble, gas and generator fuel */
        usd: number | null;
        /** in the middle course */
        generator_h_per_day: number | null;
        /** courses in which the battery falls short within the month */
        battery_short_frac: number | null;
        sentence: string | null;
        cost_sentence: string | null;
        /** each supply lasts to its next turn in this share of draws */
        aimed_frac?: number | null;
        /** fresh draws in which nothing that runs serve ends in the month; null: no rhythm keeps it */
        measured_frac?: number | null;
        /** the measured chance is at least the wish */
        is_reached?: boolean;
    }[];
    /** fresh draws that the chances are measured on */
    measured_draws?: number;
};
