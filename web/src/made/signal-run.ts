// Made by web/tools/made.mjs from docs/signal-run.schema.json; do not edit.

/** What `leeway signal --run --json` writes and `/api/1/place/signal/run` answers. SI units. Within a version only additions. */
export type SignalRun = {
    /** name and version of this form */
    schema: "leeway.signal-run/1";
    /** version of the program */
    program: string;
    /** from where */
    place: string | null;
    /** north */
    latitude_deg: number;
    /** east */
    longitude_deg: number;
    /** chance of a work day that was asked for */
    wanted_frac: number;
    /** terrain tiles are in it */
    has_terrain: boolean;
    /** known within 75 km */
    masts: number;
    /** one a line of the household, or a carrier where no line is known */
    spots: {
        /** name */
        carrier: string | null;
        /** codes */
        network: string | null;
        /** within 35 km */
        is_found: boolean;
        /** by own tries */
        worked_before: boolean;
        /** of the spot */
        latitude_deg: number | null;
        /** the same */
        longitude_deg: number | null;
        /** of a work day there */
        chance_frac: number | null;
        /** by air */
        way_m: number | null;
        /** from north clockwise */
        toward_deg: number | null;
        /** by road, as usual */
        distance_m: number | null;
        /** the same */
        time_s: number | null;
    }[];
};
