// Made by web/tools/made.mjs from docs/sun.schema.json; do not edit.

/** What `leeway sun --json` writes. Within a version only additions. */
export type Sun = {
    /** name and version of this form */
    schema: "leeway.sun/1";
    /** version of the program */
    program: string;
    /** north */
    latitude_deg: number;
    /** east */
    longitude_deg: number;
    /** the skyline is of terrain tiles; otherwise level */
    has_terrain: boolean;
    /** how high the land stands, every 5 degrees from north eastwards; null: not known, or not asked for */
    skyline_deg: number[] | null;
    /** in order */
    days: {
        /** date */
        day: string;
        /** hours of the sun over the skyline */
        direct_h: number;
        /** over a level one */
        level_h: number;
        /** ISO, UTC */
        first: string | null;
        /** by the clock of the place */
        first_civil: string | null;
        /** ISO, UTC */
        last: string | null;
        /** by the clock of the place */
        last_civil: string | null;
    }[];
    /** null: none was asked for */
    map: null | {
        /** date */
        day: string;
        /** cells a side */
        side: number;
        /** width of a cell */
        cell_m: number;
        /** hours over level land */
        level_h: number;
        /** of the cell with most */
        best_latitude_deg: number | null;
        /** the same */
        best_longitude_deg: number | null;
        /** rows from north, each from west; null: no terrain */
        direct_h: (number | null)[];
        /** the same cells */
        ground_m: (number | null)[];
    };
};
