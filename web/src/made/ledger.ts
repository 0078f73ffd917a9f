// Made by web/tools/made.mjs from docs/ledger.schema.json; do not edit.

/** money */
export type Money = {
    currency: "USD" | "CAD" | "MXN";
    /** in all */
    total: number;
    /** of the nights beside it; null without a night */
    per_night?: number | null;
    /** by kind, those with money alone */
    by: {
        [key: string]: number;
    };
};

/** stay */
export type Stay = {
    /** its number in the book */
    id: number;
    /** its name */
    place: string;
    /** whose land; null: not said */
    manager: string | null;
    /** moment, UTC */
    arrived: string;
    /** by the clock of the newest stay */
    arrived_civil: string;
    /** null: it goes on */
    left: string | null;
    /** null: it goes on */
    left_civil: string | null;
    /** of arrival, as 2026-06-18 */
    first_day: string;
    /** of departure; the present day while it goes on, as 2026-06-18 */
    last_day: string;
    /** of the days asked for */
    nights: number;
    /** of this stay */
    money: Money[];
};

/** place */
export type Place = {
    /** its name */
    name: string;
    /** null: not said */
    manager: string | null;
    /** each civil night once */
    nights: number;
    /** how many */
    stays: number;
    /** of departure, as 2026-06-18 */
    last_day: string;
};

/** manager */
export type Manager = {
    /** its name */
    name: string;
    /** each civil night once */
    nights: number;
    /** how many */
    stays: number;
    /** of departure, as 2026-06-18 */
    last_day: string;
};

/** limit */
export type Limit = {
    /** its name */
    place: string;
    /** null: not said */
    manager: string | null;
    /** the stay goes on there */
    is_here: boolean;
    /** in words */
    rule: string;
    /** of the rule */
    source: string | null;
    /** what the rule counts */
    counts: "nights" | "any-part";
    /** counted before today */
    used: number;
    /** something ends a stay within 400 days */
    is_limited: boolean;
    /** today included; where one is not there: if one came today; null: no limit */
    left: number | null;
    /** be gone in the course of it, as 2026-06-18 */
    leave: string | null;
    /** first day allowed after a stay that long, as 2026-06-18 */
    again: string | null;
    /** so many come free first, away from tomorrow on */
    freed: number;
    /** on this day, as 2026-06-18 */
    freed_from: string | null;
    /** none is counted any more, as 2026-06-18 */
    all_free_from: string | null;
    /** a permit covers today and all days to this one, as 2026-06-18 */
    permit_until: string | null;
    /** the same in words */
    sentence: string;
};

/** permit */
export type Permit = {
    /** what it is called */
    name: string;
    /** on whose land it holds */
    manager: string | null;
    /** first day, as 2026-06-18 */
    from: string;
    /** last day, as 2026-06-18 */
    to: string;
    /** covers today */
    is_now: boolean;
    /** days under it count against the rule */
    counts: boolean;
    /** each time */
    price_usd: number;
    /** by its terms, today included; not part of money */
    cost_usd: number;
    /** the price is due again, as 2026-06-18 */
    due: string | null;
    /** the same in words */
    sentence: string;
};

/** score */
export type Score = {
    /** which supply */
    supply: "fresh" | "drinking" | "grey" | "black" | "battery" | "propane" | "fuel" | "rubbish" | "data" | "food" | "stay";
    /** ends that tell: seen, or known to lie behind the band */
    ends: number;
    /** of them between P10 and P90 */
    ends_inside: number;
    /** filled, emptied, left or not read before it ended */
    ends_unknown: number;
    /** of ends seen: happened less P50; null without one */
    mean_error_days: number | null;
    /** of ends seen: distance from the P50 */
    median_off_days: number | null;
    /** readings compared with the forecast's level */
    readings: number;
    /** of them touching the band from P10 to P90 */
    readings_inside: number;
    /** mean distance of their middle from the P50, of what the tank holds */
    off_frac: number | null;
};

/** What `leeway ledger --json` writes. Days are those of each place, money in whole units of its currency. Within a version only additions. */
export type Ledger = {
    /** name and version of this form */
    schema: "leeway.ledger/1";
    /** version of the program */
    program: string;
    /** the moment that is asked for */
    now: string;
    /** the same by the clock of the newest stay */
    now_civil: string;
    /** the same as a day, as 2026-06-18 */
    today: string;
    /** nights and money are from this day on; null: all, as 2026-06-18 */
    since: string | null;
    /** of this stay alone; null: all */
    stay: number | null;
    /** civil nights, each once */
    nights: number;
    /** by arrival */
    stays: Stay[];
    /** most nights first */
    places: Place[];
    /** most nights first; places without one are in none */
    managers: Manager[];
    /** places of the last 400 days with a stay rule; where one is first */
    limits: Limit[];
    /** as the places of the book say them */
    permits: Permit[];
    /** what was logged, a currency an item; nothing is converted */
    money: Money[];
    /** months in which something was spent */
    months: {
        month: string;
        /** without a night */
        money: Money[];
    }[];
    /** how good the first forecast of each stay that is over was */
    forecasts: {
        /** with a forecast to compare */
        stays: number;
        /** those that were forecast */
        supplies: Score[];
    };
    /** stays of the book whose place this version cannot read any more */
    unread: number;
};
