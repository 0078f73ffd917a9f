// Made by web/tools/made.mjs from docs/checklist.schema.json; do not edit.

/** What `leeway checklist NAME --json` writes. Amounts in SI, times as UTC and as the place's clock shows them. Within a version only additions. */
export type Checklist = {
    /** name and version of this form */
    schema: "leeway.checklist/1";
    /** version of the program */
    program: string;
    /** the list, as it is typed */
    name: "arriving" | "leaving" | "dumping" | "sanitising" | "winter-night";
    /** the same for people */
    title: string;
    /** of the last fresh start; null: not begun again in this stay */
    since: string | null;
    /** the same by the place's clock */
    since_civil?: string | null;
    /** how many items are ticked */
    ticked: number;
    /** what this rig needs, in the order in which it is done */
    items: {
        /** place in this list; changes with the rig */
        number: number;
        /** name of the item, under which ticks are kept */
        id: string;
        /** what to do */
        text: string;
        /** the scenario does not say whether the rig has its part */
        is_unsure: boolean;
        /** done */
        is_ticked: boolean;
        /** when it was ticked */
        ticked: string | null;
        /** the same by the place's clock */
        ticked_civil?: string | null;
        /** id of a caution below */
        caution: string | null;
        /** where it comes from */
        source: string | null;
        /** what kind of source that is */
        kind: "published" | "common practice" | "from memory";
    }[];
    /** of sanitising alone: how much bleach goes into each fresh tank */
    bleach: {
        /** strength of the bleach, by the label, mass per volume */
        bleach_pct: number;
        /** nobody read the label */
        is_assumed: boolean;
        /** chlorine in the full tank */
        chlorine_mgpl: number;
        /** hours to let it stand at the least */
        stand_h: number;
        tanks: {
            /** name of the tank */
            vessel: string;
            /** what it holds */
            capacity_l: number;
            /** bleach of the strength above */
            bleach_ml: number;
            /** where strength is assumed: of the strongest usual bleach */
            least_ml: number;
            /** where strength is assumed: of the weakest usual bleach */
            most_ml: number;
        }[];
    } | null;
    cautions: {
        /** row of data/cautions.csv */
        id: string;
        /** what it is about */
        title: string;
        /** the caution */
        text: string;
        /** where it comes from */
        source: string | null;
    }[];
};
