// Made by web/tools/made.mjs from docs/rank.schema.json; do not edit.

/** What `leeway places rank --json` and `leeway places compare --json` write. SI units. Within a version only additions. */
export type Rank = {
    /** name and version of this form */
    schema: "leeway.rank/1";
    /** version of the program */
    program: string;
    /** ISO, UTC */
    arrival: string | null;
    /** by the clock of the place */
    arrival_civil: string | null;
    /** ISO, UTC */
    departure: string | null;
    /** by the clock of the place */
    departure_civil: string | null;
    /** for each of the best */
    draws: number;
    /** of the draws */
    seed: number;
    /** what went wrong with the routing engine */
    note: string | null;
    /** best first; named ones in their order */
    places: {
        /** row of the book */
        id: number;
        /** of the place */
        name: string;
        /** its height is known and it lies inside the climate */
        is_reckoned: boolean;
        /** weather and use were drawn */
        is_drawn: boolean;
        /** until the first supply ends, or the rule; plain course */
        days: number | null;
        /** nothing ends within the dates and a day */
        is_beyond: boolean;
        /** supply that ends first */
        binding: string | null;
        /** chance that nothing ends the stay before the departure */
        stays_frac: number | null;
        /** of draws */
        p10_days: number | null;
        /** of draws */
        p50_days: number | null;
        /** of draws */
        p90_days: number | null;
        /** how long each supply lasts, by its word; the horizon where it lasts beyond */
        supply_days: {
            [key: string]: number;
        };
        /** by the stay rule and all stays of the book; null: no rule is known, or none binds */
        stay_days_left: number | null;
        /** whose rule that is: the place's, or what is usual on land of its manager by an imported map; null: none is known */
        rule_by: "yours" | "map" | null;
        /** by road; null: no start is known */
        distance_m: number | null;
        /** with the rig */
        time_s: number | null;
        /** mean low of the dates */
        night_c: number | null;
        /** mean high */
        day_c: number | null;
        /** chance of a work day, as said or tried */
        signal_frac: number | null;
        /** who says so: the place, own tries within 1 km, or the prediction by imported masts and coverage; null: nothing is known */
        signal_by: "said" | "tried" | "predicted" | null;
        /** chance of room on the first day */
        room_frac: number | null;
        /** a night */
        fee_usd: number | null;
    }[];
    /** how many places each wish sent away, by the first that did */
    sent_away: {
        /** in words */
        why: string;
        /** how many */
        places: number;
    }[];
};
