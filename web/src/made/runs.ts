// Made by web/tools/made.mjs from docs/runs.schema.json; do not edit.

/** When to go on errands until the departure, and the chance that nothing runs short with these runs. Within a version only additions. Amounts in SI units; USD. */
export type Runs = {
    /** what the services and ways leave out, prices that it counts with, then what the scenario does not say; kind yours: you say it */
    assumptions: {
        key: string;
        value: string | null;
        source: string | null;
        kind: string | null;
    }[];
    schema: "leeway.runs/1";
    program: {
        name: "leeway";
        version: string;
    };
    scenario_file: string | null;
    draws: number;
    seed: string;
    start: string | null;
    start_civil: string | null;
    departure: string | null;
    departure_civil: string | null;
    wished_departure: string | null;
    wished_departure_civil: string | null;
    confidence_frac: number;
    hour_usd: number;
    is_found: boolean;
    is_proven: boolean;
    is_reached: boolean;
    short_supply: "fresh" | "drinking" | "grey" | "black" | "battery" | "propane" | "fuel" | "rubbish" | "data" | "food" | "stay" | null;
    reach: string | null;
    reach_civil: string | null;
    usd: number | null;
    bound_usd: number | null;
    aimed_frac: number | null;
    measured_frac: number | null;
    measured_draws: number;
    without_frac: number | null;
    keeps_spot_frac: number;
    runs: {
        leave: string | null;
        leave_civil: string | null;
        back: string | null;
        back_civil: string | null;
        by: string;
        is_break_camp: boolean;
        services: string[];
        supplies: ("fresh" | "drinking" | "grey" | "black" | "battery" | "propane" | "fuel" | "rubbish" | "data" | "food" | "stay")[];
        cans_l: number | null;
        waste_l: number | null;
        road_km: number;
        spent_h: number;
        usd: number;
        parts: {
            what: string;
            usd: number;
            source: string;
        }[];
        sentence: string;
    }[];
    supplies: {
        supply: "fresh" | "drinking" | "grey" | "black" | "battery" | "propane" | "fuel" | "rubbish" | "data" | "food" | "stay";
        lasts_to_the_end: boolean;
        lasts_days: number | null;
    }[];
    services: {
        name: string;
        for: "public" | "asked" | "customers" | "unknown";
        is_relied_on: boolean;
        is_guess: boolean;
        road_km: number;
        road_h: number;
        fee_usd: number;
        source: string | null;
    }[];
    headline: string | null;
    measured: string | null;
    spot: string | null;
    driving_day: string | null;
    notes: string | null;
    ask: string | null;
};
