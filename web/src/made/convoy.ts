// Made by web/tools/made.mjs from docs/convoy.schema.json; do not edit.

/** One plan of errands for several rigs. Within a version only additions. Litres, USD. */
export type Convoy = {
    schema: "leeway.convoy/1";
    program: {
        name: "leeway";
        version: string;
    };
    start: string | null;
    start_civil: string | null;
    until: string | null;
    until_civil: string | null;
    is_found: boolean;
    /** what no common runs keep up */
    short_of: string | null;
    usd: number | null;
    /** what own runs would cost; null: there are none that keep it */
    alone_usd: number | null;
    /** the least of all ways to form groups */
    apart_usd: number | null;
    /** by_joining: what each adds in the mean over every order; equal_parts: of each run, among the rigs that it serves */
    split: string | null;
    headline: string | null;
    rule: string | null;
    ask: string | null;
    households: {
        household: string | null;
        /** until its first supply ends; null: none does */
        without_runs_days: number | null;
        without_runs_ends: string | null;
        can_alone: boolean;
        /** what own runs would cost; null: there are none that keep it */
        alone_usd: number | null;
        alone_runs: number;
        own_matter_days: number | null;
        /** what no errand of others serves and ends first */
        own_matter: string | null;
        drives: number;
        /** its part of the cost */
        share_usd: number | null;
        /** to who drove; below 0: it is owed */
        owes_usd: number | null;
        sentence: string | null;
    }[];
    runs: {
        leave: string | null;
        leave_civil: string | null;
        back: string | null;
        back_civil: string | null;
        driver: string | null;
        vehicle: string | null;
        serves: {
            household: string | null;
            water_l: number | null;
        }[];
        usd: number | null;
        sentence: string | null;
    }[];
    /** things besides vehicles, in sentences */
    loans: string[];
    /** the wish of the most careful household */
    confidence_frac?: number | null;
    /** courses in which everything that runs serve lasts in all rigs; null: not every share file has courses */
    chance_frac?: number | null;
};
