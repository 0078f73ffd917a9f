// Made by web/tools/made.mjs from docs/cost.schema.json; do not edit.

/** What a stay costs, a month of such stays, and nights with hookups beside it. Within a version only additions. USD. */
export type Cost = {
    schema: "leeway.cost/1";
    program: {
        name: "leeway";
        version: string;
    };
    scenario_file: string | null;
    weather_source?: string | null;
    draws: number;
    seed: string;
    start: string | null;
    start_civil?: string | null;
    departure: string | null;
    departure_civil?: string | null;
    /** of the place's calendar from start to departure, one at least */
    nights: number;
    /** dumping and filling, the one at leaving included; mean */
    runs: number;
    headline: string;
    /** mean over the draws */
    usd: number;
    /** P10 */
    low_usd: number;
    /** P90 */
    high_usd: number;
    night_usd: number;
    month_usd: number;
    month: string;
    hookup_night_usd: number;
    /** with hookups that cost as much as this stay */
    hookup_nights: number | null;
    hookups: string;
    spent: {
        /** logged in the book on this stay so far; null: no book */
        usd: number | null;
        nights: number;
        by_kind: {
            [key: string]: number;
        };
        sentence: string | null;
    };
    left_out: string;
    lines: {
        id: "site" | "permit" | "drive" | "drive_wear" | "propane" | "generator" | "generator_wear" | "data" | "runs" | "run_way" | "rubbish";
        title: string;
        is_counted: boolean;
        usd: number;
        low_usd: number;
        high_usd: number;
        /** the kind of spending in the ledger that it answers to */
        spent_as: string;
        how: string;
        source: string | null;
        source_kind: string | null;
    }[];
    assumptions: {
        key: string;
        value: string | null;
        source: string | null;
        kind: string | null;
    }[];
};
