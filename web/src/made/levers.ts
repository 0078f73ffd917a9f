// Made by web/tools/made.mjs from docs/levers.schema.json; do not edit.

/** What each change buys, and the least burdensome set that reaches the wished departure. Within a version only additions. Days are from the start; amounts in SI units; USD. */
export type Levers = {
    schema: "leeway.levers/1";
    program: {
        name: "leeway";
        version: string;
    };
    scenario_file: string | null;
    /** of each lever */
    draws: number;
    /** by which sets are chosen */
    set_draws?: number;
    seed: string;
    start: string | null;
    start_civil?: string | null;
    departure: string | null;
    departure_civil?: string | null;
    /** when a run of the table happens */
    run?: string | null;
    run_civil?: string | null;
    /** days looked at; what lasts longer is beyond */
    horizon_days?: number;
    confidence_frac: number;
    hour_usd?: number;
    nuisance_usd?: number;
    fuel_usd_l?: number;
    propane_usd_kg?: number;
    assumptions: {
        key: string;
        value: string | null;
        source: string | null;
        kind: string | null;
    }[];
    headline: string;
    binding: string | null;
    stays_frac?: number;
    stay: {
        before_days: number | null;
        before_is_beyond: boolean;
        after_days: number | null;
        after_is_beyond: boolean;
        difference_days: number | null;
        bound: "exact" | "at_least" | "at_most" | "unknown";
    };
    supplies: {
        before_days: number | null;
        before_is_beyond: boolean;
        after_days: number | null;
        after_is_beyond: boolean;
        difference_days: number | null;
        bound: "exact" | "at_least" | "at_most" | "unknown";
        supply: string;
    }[];
    levers: {
        /** row of data/levers.csv */
        id: string;
        kind: "habit" | "generator" | "run" | "container" | "stock" | "purchase";
        title: string;
        /** as for leeway outlook --what-if */
        changes: string[];
        /** of levers with the same word one holds at a time */
        exclusive?: string | null;
        /** why it cannot be tried here; null: it was */
        why_not?: string | null;
        is_in_set: boolean;
        /** false: it touches nothing that ends here, so its draws are those of the unchanged camp */
        is_drawn?: boolean;
        stay?: {
            before_days: number | null;
            before_is_beyond: boolean;
            after_days: number | null;
            after_is_beyond: boolean;
            difference_days: number | null;
            bound: "exact" | "at_least" | "at_most" | "unknown";
        };
        supplies?: {
            before_days: number | null;
            before_is_beyond: boolean;
            after_days: number | null;
            after_is_beyond: boolean;
            difference_days: number | null;
            bound: "exact" | "at_least" | "at_most" | "unknown";
            supply: string;
            /** above today's, usual course */
            use_more_per_day: number | null;
            unit: string;
        }[];
        /** chance of reaching the departure with it alone */
        stays_frac: number | null;
        price_usd: number;
        /** fuel and gas above today's over the stay */
        running_usd?: number | null;
        minutes_a_day?: number;
        minutes_once?: number;
        /** a day, above today's */
        nuisance?: number;
        /** whose nuisance it is: of data/levers.csv, of crew.nuisance in the scenario, of what was asked */
        nuisance_from?: "table" | "scenario" | "asked";
        mass_kg?: number;
        roof_m2?: number;
        /** over the stay, by the stated weights */
        burden_usd: number;
        /** days until saved fuel and gas have paid a purchase; null: no purchase, or never */
        payback_days?: number | null;
        payback_is_never?: boolean;
        sentence: string;
        payback?: string | null;
        source: string;
        source_kind: "published" | "common practice" | "from memory";
    }[];
    set: null | {
        /** the measured chance is at least the wish */
        is_reached: boolean;
        levers: string[];
        /** supplies that no set carries so far */
        short_of: string[];
        /** share of the draws aimed at: the wish, or more where fresh draws fell short */
        aimed_frac: number | null;
        /** share of the draws that chose it */
        model_frac: number | null;
        /** share of the fresh draws */
        measured_frac: number | null;
        measured_draws: number;
        /** proven to be of least burden */
        is_least: boolean;
        /** no set of a burden under this does it */
        bound_usd: number | null;
        sets_tried: number;
        burden_usd: number | null;
        price_usd: number | null;
        running_usd: number | null;
        minutes: number | null;
        mass_kg: number | null;
        roof_m2: number | null;
        sentence: string | null;
        measured: string | null;
    };
};
