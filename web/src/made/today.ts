// Made by web/tools/made.mjs from docs/today.schema.json; do not edit.

/** What `leeway today --json` writes. Amounts in the unit that stands beside them, times as UTC and as the place's clock shows them. Within a version only additions. */
export type Today = {
    /** name and version of this form */
    schema: "leeway.today/1";
    /** version of the program */
    program: string;
    /** courses of weather and use behind the moments until which supplies are safe */
    draws: number;
    /** which draws; as text, since it may have 64 bits */
    seed: string;
    /** the moment that is asked for */
    now: string | null;
    /** the same by the place's clock */
    now_civil?: string | null;
    /** the end of tomorrow: what comes before it is due */
    due_until: string | null;
    /** the same by the place's clock */
    due_until_civil?: string | null;
    /** the wished departure; null without one */
    departure?: string | null;
    /** the same by the place's clock */
    departure_civil?: string | null;
    /** how many things are due, or until when nothing is */
    headline: string;
    /** what is due first, in the order of its latest times but what a life hangs on in front; then what can wait */
    todo: {
        /** what it is about */
        kind: "vital" | "overdue" | "power" | "run" | "stay" | "permit" | "data" | "cold" | "heat" | "outside" | "food" | "rubbish" | "water" | "upkeep";
        /** it cannot wait past the end of tomorrow */
        is_due: boolean;
        /** latest time */
        by: string | null;
        /** the same by the place's clock */
        by_civil?: string | null;
        /** what to do */
        what: string;
        /** the reason */
        why: string;
        /** what happens when it is not done */
        otherwise: string;
        /** id of the row of data/cautions.csv that belongs beside it */
        caution: string | null;
        /** of a run: what has to be served by then */
        supplies?: string[];
        /** of a run: what it may serve on the same way */
        also?: string[];
        /** of power: hours the generator has to run; 0: there is none, or no run is long enough */
        generator_h?: number;
    }[];
    /** the checklists that belong to what is due */
    checklists?: {
        /** as leeway checklist takes it */
        name: "arriving" | "leaving" | "dumping" | "sanitising" | "winter-night";
        /** why now */
        why: string;
    }[];
    /** what each supply may spend a day to last until the departure; empty without one */
    allowance: {
        /** the supply */
        supply: string;
        /** unit of its amounts */
        unit: string;
        /** what can still be drawn, or room; battery: above the floor */
        left: number | null;
        /** may be spent a day */
        per_day: number | null;
        /** is spent a day, mean of the first week */
        use_per_day: number | null;
        /** the largest single thing somebody may leave out */
        one: string | null;
        /** what it takes */
        one_amount: number | null;
        /** hours by which one more brings the end nearer */
        one_costs_h: number | null;
    }[];
};
