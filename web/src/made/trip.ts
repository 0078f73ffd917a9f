// Made by web/tools/made.mjs from docs/trip.schema.json; do not edit.

/** called at on the way there, or on runs */
export type Service = {
    name: string;
    latitude_deg: number;
    longitude_deg: number;
    gives: string[];
    fee_usd: number;
    is_guess: boolean;
};

/** stop */
export type Stop = {
    place: string;
    latitude_deg: number;
    longitude_deg: number;
    arrive: string;
    leave: string;
    nights: number;
    drive_min: number;
    drive_km: number;
    is_served: boolean;
    services: Service[];
    run_services: Service[];
    set_out_by: string | null;
    set_out_by_civil: string | null;
    fee_usd: number;
    used_frac: number;
    holds_frac: number;
    warm_frac: number | null;
    signal_frac: number | null;
    fallback: string | null;
    runs: string[];
    notes: string[];
    sentence: string;
};

/** plan */
export type Plan = {
    value_usd: number;
    bound_usd: number;
    worth_usd: number;
    gap_frac: number | null;
    is_proven: boolean;
    money_usd: number;
    drive_min: number;
    supplies_frac: number | null;
    work_frac: number | null;
    missed: string[];
    /** of each in missed; empty: not looked for */
    why_missed: string[];
    headline: string;
    measured: string;
    stops: Stop[];
    /** the way to where the trip ends, after the last night */
    end: string | null;
    /** at the latest, as of a stop; null: the trip ends where its last night was */
    end_set_out_by: string | null;
    end_set_out_by_civil: string | null;
};

/** Trips that differ, best first; none: why, and which few wishes to relax. Within a version only additions. Dates are civil; value is worth less money and trouble, bound_usd no trip passes, gap_frac is their difference as a share of worth_usd. USD, SI units. */
export type Trip = {
    /** What the trip's file leaves out: the key, what it was taken for, where that comes from */
    assumptions?: {
        key: string;
        value: string | null;
        source: string | null;
        kind: string | null;
    }[];
    schema: "leeway.trip/1";
    program: {
        name: "leeway";
        version: string;
    };
    seed: string;
    measured_draws: number;
    from: string;
    until: string;
    plans: Plan[];
    why: string | null;
    relax: string[];
    places_note: string | null;
};
