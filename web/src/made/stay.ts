// Made by web/tools/made.mjs from docs/stay.schema.json; do not edit.

/** money */
export type Money = {
    currency: "USD" | "CAD" | "MXN";
    /** in all */
    total: number;
    /** of the nights beside it; null without a night */
    per_night?: number | null;
    /** by kind, those with money alone */
    by: {
        [key: string]: number;
    };
};

/** supply */
export type Supply = {
    /** which supply */
    supply: "fresh" | "drinking" | "grey" | "black" | "battery" | "propane" | "fuel" | "rubbish" | "data" | "food" | "stay";
    /** from the start of the forecast; null: beyond what was looked at */
    p10_days: number | null;
    /** likely */
    p50_days: number | null;
    /** at best */
    p90_days: number | null;
    /** no reading tells; had room until the stay was left; had room until it was filled or emptied; was read at its end */
    happened: "unread" | "lasted" | "served" | "ended";
    /** to the end, or as long as readings show room */
    happened_days: number;
    /** the end was read */
    is_end_seen: boolean;
    /** of the end, of what served it, or of the leaving; UTC */
    happened_at: string | null;
    /** by the clock of the place */
    happened_at_civil: string | null;
    /** P10, P50, P90 of the level forecast for the last reading compared, of what the vessels hold */
    band_frac: (number | null)[];
    /** that reading, from */
    read_low_frac: number | null;
    /** that reading, to */
    read_high_frac: number | null;
    /** readings compared */
    compared: number;
    /** of them touching the band */
    inside: number;
    /** mean distance of their middle from the P50 */
    off_frac: number | null;
};

/** What `leeway end --json` writes and the book keeps with a stay: its first forecast against what was logged. Within a version only additions. */
export type Stay = {
    /** name and version of this form */
    schema: "leeway.stay/1";
    /** version of the program */
    program: string;
    /** its number in the book */
    stay: number;
    /** its name */
    place: string;
    /** moment, UTC */
    arrived: string;
    /** by the clock of the place */
    arrived_civil: string;
    /** wished departure; null: none */
    wished: string | null;
    /** by the clock of the place */
    wished_civil: string | null;
    /** moment, UTC */
    left: string;
    /** by the clock of the place */
    left_civil: string;
    /** from arrival to leaving */
    nights: number;
    /** a currency an item */
    money: Money[];
    /** null: none was kept, and no supply is listed */
    forecast_made: string | null;
    /** by the clock of the place */
    forecast_made_civil: string | null;
    /** of the forecast */
    draws: number;
    /** supply that was to end first; null: none */
    binding: string | null;
    /** supply that was read at its end, filled or emptied first; null: none */
    first: string | null;
    /** those that were forecast */
    supplies: Supply[];
};
