// Made by web/tools/made.mjs from docs/places.schema.json; do not edit.

/** What `leeway places near --json` and `leeway places search --json` write. SI units. Within a version only additions. */
export type Spots = {
    /** name and version of this form */
    schema: "leeway.places/1";
    /** version of the program */
    program: string;
    /** where it was asked from; null for a search by name */
    from_latitude_deg: number | null;
    /** the same */
    from_longitude_deg: number | null;
    /** nearest first, or by name */
    places: {
        /** in this book */
        id: number;
        /** null: it has none */
        name: string | null;
        /** what it is good for */
        kinds: ("camp" | "dump" | "water" | "propane" | "fuel" | "rubbish" | "groceries" | "laundry" | "rest" | "place" | "recycling" | "shower" | "town" | "trail" | "park" | "sight")[];
        /** of water; null where there is none */
        is_drinkable: "yes" | "no" | "unknown" | null;
        /** north */
        latitude_deg: number;
        /** east */
        longitude_deg: number;
        /** by air; null for a search by name */
        way_m: number | null;
        /** the way to it */
        toward: "N" | "NE" | "E" | "SE" | "S" | "SW" | "W" | "NW" | null;
        /** tags that tell of access, fee, hours and the like: fee=yes; access=customers */
        detail: string | null;
        /** the import it came with */
        source: string;
        /** whose data it is and under which licence; to be shown with it */
        credit: string | null;
        /** when, in UTC */
        imported: string;
        /** when the map is of, as its file says, in UTC; null: it does not say */
        data_of?: string | null;
    }[];
};
