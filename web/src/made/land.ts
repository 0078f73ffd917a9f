// Made by web/tools/made.mjs from docs/land.schema.json; do not edit.

/** What `leeway places at --json` writes. SI units. Within a version only additions. */
export type Land = {
    /** name and version of this form */
    schema: "leeway.land/1";
    /** version of the program */
    program: string;
    /** of the point */
    latitude_deg: number;
    /** the same */
    longitude_deg: number;
    /** areas of land in the book at all */
    areas_known: number;
    /** areas that hold the point, the smallest first */
    lands: {
        /** id of data/land_managers.csv; null: the map's words for it are not known */
        manager: string | null;
        /** its name */
        manager_title: string | null;
        /** what to know of it */
        manager_note: string | null;
        /** the manager in the map's own words */
        said: string | null;
        /** of the forest, office, park or unit */
        name: string | null;
        /** what kind of land, as the map has it */
        designation: string | null;
        /** open, with restrictions, closed, not known, or the map's own word */
        access: string | null;
        /** the point is on the border itself */
        is_on_border: boolean;
        /** the way to the nearest border */
        border_m: number | null;
        /** the stay rule that usually goes with the manager; null: there is none */
        usual_rule: null | {
            /** row of data/stay_rules.csv */
            id: string;
            /** the rule in words */
            title: string | null;
            /** who sets it */
            authority: string | null;
            /** what else to know */
            note: string | null;
            /** where it is written */
            source: string | null;
            /** published, common practice, from memory or yours */
            kind: string | null;
        };
        /** the import it came with */
        source: string;
        /** whose data it is and under which licence; to be shown with it */
        credit: string | null;
        /** when, in UTC */
        imported: string;
    }[];
    /** what a map cannot tell, and whom to ask; to be shown with the answer */
    ask: string;
};
