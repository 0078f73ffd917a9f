// Made by web/tools/made.mjs from docs/signal.schema.json; do not edit.

/** What `leeway signal --json` writes. SI units. Within a version only additions. */
export type Signal = {
    /** name and version of this form */
    schema: "leeway.work-signal/1";
    /** version of the program */
    program: string;
    /** the answer as a sentence */
    headline: string;
    /** where */
    place: {
        /** as it was asked for */
        name: string | null;
        /** north */
        latitude_deg: number;
        /** east */
        longitude_deg: number;
    };
    /** of the household */
    antenna: {
        /** above the ground */
        height_m: number;
        /** over an isotropic one */
        gain_dbi: number;
        /** lost on the way to the device */
        cable_db: number;
    };
    /** of a work day */
    need: {
        /** down */
        down_mbit: number;
        /** up */
        up_mbit: number;
    };
    /** that at least one line of the household carries a work day, of all carriers where no line is known; null: nothing is known */
    chance_frac: number | null;
    /** terrain tiles were at hand */
    has_terrain: boolean;
    /** of the sky above 25 deg that the land leaves to a dish; null without terrain */
    sky_frac: number | null;
    /** the household's lines first */
    carriers: {
        /** as the household, the book or the files call it */
        name: string;
        /** country and network codes as in a list of masts; null where they are not known */
        network: string | null;
        /** a line of the household */
        is_line: boolean;
        /** that a work day is possible over it; null: nothing is known */
        chance_frac: number | null;
        /** the household's own readings */
        measured: {
            /** of dBm within 10 km */
            readings: number;
            /** within 100 m */
            readings_here: number;
            /** their mean */
            here_dbm: number | null;
            /** to the nearest reading */
            nearest_m: number | null;
            /** readings of calls and rates within 1 km */
            tried: number;
            /** of them enough for a work day */
            worked: number;
        };
        /** what coverage maps claim here */
        published: {
            /** unknown: no file, or not in it */
            is_claimed: "yes" | "no" | "unknown";
            /** claimed at least */
            down_mbit: number | null;
            /** claimed at least */
            up_mbit: number | null;
            /** 300 3G, 400 4G LTE, 500 5G NR; null: not said */
            technology: number | null;
        };
        /** from masts over terrain */
        predicted: {
            /** of the network within 40 km */
            masts: number;
            /** RSRP of the strongest, median */
            dbm: number | null;
            /** its spread: 12, or 15 over ground taken as level */
            sigma_db: number | null;
            /** of the strongest */
            mast_latitude_deg: number | null;
            /** of the strongest */
            mast_longitude_deg: number | null;
            /** how far off it is */
            mast_m: number | null;
            /** the way to it, clockwise from north */
            toward_deg: number | null;
            /** of the path */
            loss_db: number | null;
            /** of the same path with nothing in the way */
            free_space_db: number | null;
            /** by a resource element from the other masts at half load; null: none */
            disturbance_dbm: number | null;
        };
        /** all evidence by its errors */
        together: {
            /** the middle of what is believed; null: nothing is known */
            dbm: number | null;
            /** its spread */
            sigma_db: number | null;
            /** how near the own readings are: 1 here, 0 none */
            own_weight: number | null;
            /** for the work day; null: no level is enough */
            needed_dbm: number | null;
            /** at the middle */
            down_mbit: number | null;
            /** at the middle */
            up_mbit: number | null;
        };
    }[];
    /** what the answer stands on */
    notes: {
        /** a sentence */
        text: string;
    }[];
};
