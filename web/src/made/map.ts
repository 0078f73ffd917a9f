// Made by web/tools/made.mjs from docs/map.schema.json; do not edit.

/** What `/api/1/map` answers. Within a version only additions. */
export type Map = {
    /** name and version of this form */
    schema: "leeway.map/1";
    /** version of the program */
    program: string;
    /** of imported files; many are put together by cells */
    spots: {
        /** row of the book; of a cell that of one of them */
        id: number;
        /** null: it has none, or they are several */
        name: string | null;
        /** what it is good for */
        kinds: ("camp" | "dump" | "water" | "propane" | "fuel" | "rubbish" | "groceries" | "laundry" | "rest" | "place" | "recycling" | "shower" | "town" | "trail" | "park" | "sight")[];
        /** of water; null where there is none, or they are several */
        is_drinkable: "yes" | "no" | "unknown" | null;
        /** what the map says of access, fee, hours and the like, in words */
        detail: string | null;
        /** the import it came with; null where they are several */
        source: string | null;
        /** north; the middle of several */
        latitude_deg: number;
        /** east */
        longitude_deg: number;
        /** how many */
        count: number;
    }[];
    /** areas of land managers, the largest first */
    lands: {
        /** row of the book */
        id: number;
        /** of the forest, office, park or unit */
        name: string | null;
        /** id of data/land_managers.csv, or the map's own words */
        manager: string | null;
        /** open, with restrictions, closed, not known, or the map's own word */
        access: string | null;
        /** thinned borders; holes are rings too */
        rings: number[][];
    }[];
    /** of imported maps, the greatest first; a wide window has only those */
    roads: {
        /** row of the book */
        id: number;
        /** or number */
        name: string | null;
        /** motorway to street */
        class: string;
        /** null: the map does not say */
        is_paved: "yes" | "no" | null;
        /** null: the map does not say */
        needs: "any car" | "high clearance" | "four-wheel drive" | "no car gets through" | null;
        /** what the map says of it */
        says: string;
        /** thinned */
        lines: number[][];
    }[];
    /** whose data is shown; to be shown with it */
    credits: {
        /** the import */
        source: string;
        /** whose data it is and under which licence */
        credit: string | null;
    }[];
    /** there are more than were looked at */
    is_more_spots: boolean;
    /** there are more than are shown */
    is_more_lands: boolean;
    /** there are more than are shown */
    is_more_roads: boolean;
};
