// Made by web/tools/made.mjs from docs/generator.schema.json; do not edit.

/** When to run the generator. Within a version only additions. Amounts in SI units (fuel in litres; of a set on propane in kg instead); USD. */
export type Generator = {
    /** prices that it counts with, then what the scenario does not say; kind yours: you say it */
    assumptions: {
        key: string;
        value: string | null;
        source: string | null;
        kind: string | null;
    }[];
    schema: "leeway.generator/1";
    program: {
        name: "leeway";
        version: string;
    };
    scenario_file: string | null;
    draws: number;
    seed: string;
    /** when the plan begins, UTC */
    start: string | null;
    start_civil: string | null;
    /** to here it looks */
    until: string | null;
    until_civil: string | null;
    /** the plan in a sentence */
    headline: string | null;
    /** the chance in a sentence */
    measured: string | null;
    /** what is there for it */
    fuel_sentence: string | null;
    /** what the choice weighed, and the proof */
    note: string | null;
    /** the owner's floor of the battery */
    floor_frac: number | null;
    confidence_frac: number | null;
    /** false: the set can stay off */
    is_needed: boolean;
    is_found: boolean;
    /** the measured chance is at least the wish */
    is_reached: boolean;
    is_to_departure: boolean;
    /** days of the model are no poorer in this share of draws */
    aimed_frac: number | null;
    /** fresh draws whose battery stays above its floor */
    measured_frac: number | null;
    measured_draws: number;
    /** the same with the set off throughout */
    without_frac: number | null;
    /** with the set on in every allowed hour */
    always_frac: number | null;
    fuel_l?: number | null;
    fuel_there_l?: number | null;
    running_h: number | null;
    /** of the model's days: fuel, running hours, starts, hours that bother */
    usd: number | null;
    /** no plan of the model costs less */
    bound_usd: number | null;
    /** usd is the least of the model */
    is_exact: boolean;
    fuel_usd_l?: number | null;
    per_hour_usd: number | null;
    per_start_usd: number | null;
    windows: {
        from: string | null;
        from_civil: string | null;
        /** to here it looks */
        until: string | null;
        until_civil: string | null;
        battery_before_frac: number | null;
        battery_after_frac: number | null;
        fuel_l?: number | null;
        /** draws that do not leave the window out */
        runs_frac: number | null;
        /** from this battery level on it can be left out; null: never */
        skip_from_frac: number | null;
        /** when a poor course passes the floor without this window; null: it does not */
        floor_without: string | null;
        floor_without_civil: string | null;
        /** what needs the current then */
        for: string | null;
        /** whom it bothers all the same */
        bothers: string | null;
        sentence: string | null;
        propane_kg?: number | null;
        /** before 8:00 or from 22:00, as the day's hours are not enough */
        is_at_night: boolean;
    }[];
    work_days: {
        /** to here it looks */
        until: string | null;
        until_civil: string | null;
        /** draws whose battery stays above its floor until then */
        enough_frac: number | null;
        sentence: string | null;
    }[];
    caution: {
        id: string;
        title: string;
        text: string;
        source: string;
    };
    propane_kg?: number | null;
    propane_there_kg?: number | null;
    propane_usd_kg?: number | null;
};
