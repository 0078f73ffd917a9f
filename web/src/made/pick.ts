// Made by web/tools/made.mjs from docs/pick.schema.json; do not edit.

/** What `leeway places list --json` writes. SI units. Within a version only additions. */
export type Pick = {
    /** name and version of this form */
    schema: "leeway.pick/1";
    /** version of the program */
    program: string;
    /** nearest by drive first, else in the order of the book */
    places: {
        /** row of the book */
        id: number;
        /** of the place */
        name: string;
        /** north */
        latitude_deg: number;
        /** east */
        longitude_deg: number;
        /** whose land */
        manager: string | null;
        /** a night */
        fee_usd: number | null;
        /** by road; null: no start is known */
        distance_m: number | null;
        /** with the rig */
        time_s: number | null;
        /** whose figure */
        road_by: "yours" | "engine" | "guess" | null;
        /** mean low of the dates */
        night_c: number | null;
        /** mean high */
        day_c: number | null;
        /** chance of a work day */
        signal_frac: number | null;
        /** who says so: the place, own tries within 1 km, or the prediction by imported masts and coverage; null: nothing is known */
        signal_by: "said" | "tried" | "predicted" | null;
        /** chance of room on the first day */
        room_frac: number | null;
    }[];
    /** how many places each wish sent away, by the first that did */
    sent_away: {
        /** in words */
        why: string;
        /** how many */
        places: number;
    }[];
};
