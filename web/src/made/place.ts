// Made by web/tools/made.mjs from docs/place.schema.json; do not edit.

/** What `leeway places show --json` writes. SI units. Within a version only additions. */
export type Place = {
    /** name and version of this form */
    schema: "leeway.place/1";
    /** version of the program */
    program: string;
    /** row of the book */
    id: number;
    /** what the household calls it */
    name: string;
    /** north */
    latitude_deg: number;
    /** east */
    longitude_deg: number;
    /** above the sea */
    elevation_m: number | null;
    /** tz name */
    zone: string | null;
    /** whose land */
    manager: string | null;
    /** rules; the local office's order wins */
    rules: {
        /** how long one may stay, in words */
        words: string | null;
        /** where from */
        source: string | null;
        /** 0: not said */
        days: number;
        /** 0: at one time */
        window_days: number;
        /** 0: all of the land */
        radius_m: number;
        /** hours */
        quiet: string | null;
        /** dish water on the ground */
        outdoor_water: "yes" | "no" | "unknown";
        /** from streams */
        water_distance_m: number | null;
        /** camp may stand alone */
        unattended_s: number | null;
        /** food locked away */
        food_storage: "yes" | "no" | "unknown";
        /** fires */
        fire: "yes" | "ring" | "no" | "ask";
        /** whom to ask */
        office: string | null;
    };
    /** what is known of it; place.about of a scenario */
    about: {
        /** date */
        confirmed: string | null;
        /** who saw it */
        confirmed_by: string | null;
        /** date */
        recommended: string | null;
        /** who told */
        recommended_by: string | null;
        /** a night; 0: free */
        fee_usd: number | null;
        /** what is there; empty: not said */
        services: ("water" | "dump" | "power" | "rubbish" | "toilets" | "showers" | "laundry" | "none")[];
        /** the water there */
        water: "potable" | "not-potable" | "none" | "unknown";
        /** room for so many; 0: not said */
        rigs: number;
        /** the longest rig that fits */
        length_m: number | null;
        /** the highest that passes */
        height_m: number | null;
        /** the heaviest */
        weight_kg: number | null;
        /** the last stretch of the way in */
        road: {
            /** the worst of it */
            surface: "paved" | "gravel" | "dirt" | "sand" | "rock" | null;
            /** what it takes */
            clearance: "any" | "high" | "four-wheel";
            /** its steepest */
            grade_frac: number | null;
            /** how long */
            distance_m: number | null;
            /** month and day from and to, each year, "12-01 to 04-01"; null: all year */
            season: string | null;
            /** not when wet */
            is_dry_only: boolean;
        };
        /** chance of room */
        room: {
            /** to find a free spot */
            chance_frac: number;
            /** weekdays */
            days: string;
            /** month and day from and to, each year, "12-01 to 04-01"; null: all year */
            season: string | null;
        }[];
        /** closures */
        closed: {
            /** month and day from and to, each year, "12-01 to 04-01"; null: all year */
            season: string | null;
            /** first day */
            from: string | null;
            /** last day */
            to: string | null;
            /** why */
            why: string | null;
        }[];
        /** what the household says of signal */
        signal: {
            /** carrier */
            line: string;
            /** of a work day */
            chance_frac: number;
        }[];
        /** things to do */
        nearby: {
            /** things to do */
            what: string;
            /** to drive */
            time_s: number | null;
            /** by road */
            distance_m: number | null;
        }[];
        /** drives that the household knows */
        drives: {
            /** drives that the household knows */
            to: string;
            /** to drive */
            time_s: number | null;
            /** by road */
            distance_m: number | null;
        }[];
        /** own notes */
        notes: string | null;
        /** paths */
        photos: string[];
    };
    /** what may be the same place; nothing is merged */
    same: {
        /** of a place or a camp of a map file */
        name: string;
        /** of the map file; null: a place of the book */
        source: string | null;
        /** how far off */
        way_m: number;
    }[];
};
