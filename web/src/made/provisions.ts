// Made by web/tools/made.mjs from docs/provisions.schema.json; do not edit.

/** assumption */
export type Assumption = {
    key: string;
    value: string | null;
    source: string | null;
    kind: string | null;
};

/** What to bring to a stay and which room to have empty. Within a version only additions. Amounts in SI units, each supply in its own. */
export type Provisions = {
    schema: "leeway.provisions/1";
    program: {
        name: "leeway";
        version: string;
    };
    scenario_file: string | null;
    place: string | null;
    weather_source?: string | null;
    /** by which the amounts were chosen */
    draws: number;
    seed: string;
    start: string | null;
    start_civil?: string | null;
    departure: string | null;
    departure_civil?: string | null;
    confidence_frac: number;
    /** share of `draws` that was planned for in the end */
    aimed_frac: number;
    /** share of fresh draws in which everything counted was enough */
    measured_frac: number;
    measured_draws: number;
    is_reached: boolean;
    headline: string;
    measured: string;
    bags: number;
    supplies: {
        supply: "fresh" | "drinking" | "grey" | "black" | "battery" | "propane" | "fuel" | "rubbish" | "data" | "food" | "stay";
        unit: string;
        /** given: not a matter of bringing it, or refilled within the stay */
        what: "bring" | "room" | "given";
        /** what the stay takes in half of the draws */
        middle: number | null;
        /** what is planned for */
        sure: number | null;
        capacity: number | null;
        /** in the vessels on arrival: at least, for what empties; at most, for what fills */
        level: number | null;
        /** does not fit */
        more: number | null;
        mass_kg: number;
        lasts_frac: number | null;
        list: string | null;
        carry: string | null;
        given: string | null;
        why: string | null;
    }[];
    mass: {
        arriving_kg: number;
        leaving_kg: number;
        people_kg: number;
        gear_kg: number | null;
        payload_kg: number | null;
        over_kg: number | null;
        assumptions: Assumption[];
        sentence: string;
        caution: string;
    };
    assumptions: Assumption[];
};
