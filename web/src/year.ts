// The year's picture in numbers: how thick a place's band is over the months, where it is mild, what is in the way. Nothing is drawn here.

import type { TripYear } from './made/trip-year';

export type YearPlace = TripYear['places'][number];
export type YearMonth = YearPlace['months'][number];

export const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'] as const;
export const monthName = (month: number): string => MONTHS[month - 1] ?? '';

/** Of nights and days, the lesser. */
export const chanceOf = (month: YearMonth): number => Math.min(month.warm_frac, month.cool_frac);

export interface Run {
    from: number;
    /** Not of it any more. */
    until: number;
}

export function runsOf<T>(list: readonly T[], is: (one: T) => boolean): Run[] {
    const found: Run[] = [];
    list.forEach((one, i) => {
        const last = found[found.length - 1];
        if (!is(one)) return;
        if (last && last.until === i) last.until = i + 1;
        else found.push({ from: i, until: i + 1 });
    });
    return found;
}

/** Cold or hot: what keeps it from being mild. Null: nothing does. */
export const inTheWay = (month: YearMonth): 'cold' | 'hot' | null => (month.is_mild ? null : month.warm_frac < month.cool_frac ? 'cold' : 'hot');

const STEPS = 4;

/** 0..1 at x months from the left edge: each month's own in its middle, smooth between them, the year closing on itself. */
export function thickness(chance: readonly number[], x: number): number {
    const n = chance.length, at = Math.floor(x - 0.5), share = x - 0.5 - at;
    const from = chance[((at % n) + n) % n] ?? 0, to = chance[(((at + 1) % n) + n) % n] ?? 0;
    return from + ((to - from) * (1 - Math.cos(Math.PI * share))) / 2;
}

/** A band around y 0.5 between two edges of months, as a path in a box of so many months by 1. */
export function bandPath(chance: readonly number[], run: Run): string {
    const count = (run.until - run.from) * STEPS, at = Array.from({ length: count + 1 }, (_, i) => run.from + i / STEPS);
    const edge = (x: number, side: 1 | -1): string => `${x} ${(0.5 + (side * thickness(chance, x)) / 2).toFixed(3)}`;
    return `M${[...at.map((x) => edge(x, -1)), ...at.reverse().map((x) => edge(x, 1))].join('L')}Z`;
}

/** The way from month to month over rows, as paths in a box of twelve by the number of rows: a line where it goes on, a bead a month. */
export function wayPath(places: readonly YearPlace[]): { line: string; beads: string } {
    const rows = Array.from({ length: 12 }, (_, k) => places.findIndex((one) => one.months[k]?.is_way));
    let line = '', beads = '';
    rows.forEach((row, k) => {
        if (row < 0) return;
        beads += `M${k + 0.5} ${row + 0.5}h0.001`;
        line += `${k > 0 && (rows[k - 1] ?? -1) >= 0 ? 'L' : 'M'}${k + 0.5} ${row + 0.5}`;
    });
    return { line, beads };
}
