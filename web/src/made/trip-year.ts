// Made by web/tools/made.mjs from docs/trip-year.schema.json; do not edit.

/** Which places are mild in which month, and a way through them from the month of the trip, or of now, on. Places of the way come first, in the order in which it comes to them, then those with the most mild months. */
export type TripYear = {
    schema: "leeway.trip-year/1";
    program: string;
    /** nights are to be at least as warm */
    coldest_c: number;
    /** days are to be at most as hot */
    hottest_c: number;
    /** each by this chance at least */
    chance_frac: number;
    /** in the order of the year that is shown */
    months: number[];
    way: string;
    moves: number;
    /** by air, from place to place */
    way_m: number;
    /** how many places of the book, and what sent others away */
    places_note: string | null;
    places: {
        name: string;
        latitude_deg: number;
        longitude_deg: number;
        elevation_m: number;
        is_of_book: boolean;
        /** as months of the answer */
        months: {
            /** mean of the nights' lowest */
            low_c: number;
            /** mean of the days' highest */
            high_c: number;
            /** chance of a night as warm as wished */
            warm_frac: number;
            /** chance of a day no hotter than wished */
            cool_frac: number;
            is_mild: boolean;
            is_way: boolean;
        }[];
    }[];
};
