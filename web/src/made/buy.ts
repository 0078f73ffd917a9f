// Made by web/tools/made.mjs from docs/buy.schema.json; do not edit.

/** supplies */
export type Supplies = {
    fresh?: number | null;
    drinking?: number | null;
    grey?: number | null;
    black?: number | null;
    battery?: number | null;
    propane?: number | null;
    fuel?: number | null;
    rubbish?: number | null;
    data?: number | null;
    food?: number | null;
};

/** What to buy: days gained over a year of stays, money a gained day, payback, mass and roof. Within a version only additions. USD, SI units; null for never. */
export type Buy = {
    schema: "leeway.buy/1";
    program: {
        name: "leeway";
        version: string;
    };
    scenario_file: string | null;
    /** of each stay */
    draws: number;
    seed: string;
    headline: string;
    advice: string;
    year: {
        from: "given" | "book" | "by_month";
        nights: number;
        left_out: number;
        stays: {
            name: string | null;
            latitude_deg: number;
            longitude_deg: number;
            elevation_m: number | null;
            arrival: string;
            nights: number;
        }[];
        sentence: string;
    };
    prices: {
        run_usd: number;
        hookup_night_usd: number;
        fuel_usd_l: number;
        propane_usd_kg: number;
        is_used: boolean;
        budget_usd: number | null;
    };
    /** of the payload, with people, gear and full supplies; below zero: over it */
    spare_kg: number | null;
    /** free */
    roof_m2: number | null;
    as_it_is: {
        days: number;
        own_days: Supplies;
        runs: number;
        fuel_l: number;
        propane_kg: number;
        generator_h: number;
    };
    items: {
        id: string;
        kind: "container" | "purchase";
        title: string;
        changes: string[];
        price_usd: number;
        mass_kg: number;
        roof_m2: number;
        source: string;
        source_kind: "published" | "common practice" | "from memory";
    }[];
    /** one to three items; best of a dollar first, then what gains nothing, then what cannot be tried */
    sets: {
        items: string[];
        title: string;
        why_not: string | null;
        is_on_front: boolean;
        price_usd: number;
        mass_kg: number;
        roof_m2: number;
        fits_roof: boolean;
        fits_mass: boolean;
        gained_days: number | null;
        own_gained_days: Supplies;
        /** null: it gains none */
        usd_a_day: number | null;
        runs_saved: number | null;
        fuel_saved_l: number | null;
        propane_saved_kg: number | null;
        generator_saved_h: number | null;
        saved_usd: number | null;
        /** null: never */
        payback_fuel_years: number | null;
        payback_runs_years: number | null;
        payback_nights_years: number | null;
        sentence: string;
        payback: string | null;
        load: string | null;
    }[];
    assumptions: {
        key: string;
        value: string | null;
        source: string | null;
        kind: string | null;
    }[];
    caution: string;
};
