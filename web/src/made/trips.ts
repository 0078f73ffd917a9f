// Made by web/tools/made.mjs from docs/trips.schema.json; do not edit.

/** The newest first; trip is the text that it was planned from. */
export type Trips = {
    schema: "leeway.trips/1";
    trips: {
        name: string;
        made: string;
        made_civil: string;
        trip: string;
    }[];
};
