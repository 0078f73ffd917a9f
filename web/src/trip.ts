// The trip's arithmetic: days of the calendar, stays on them, names beside one another. Nothing is asked or drawn here.

import type { Trip } from './made/trip';

export type TripPlan = Trip['plans'][number];
export type TripStop = TripPlan['stops'][number];

const DAY_MS = 86_400_000;

const noon = (date: string): number => Date.parse(`${date}T12:00Z`);
/** "2027-05-14" and so many days on. */
export const dayAfter = (date: string, days: number): string => new Date(noon(date) + days * DAY_MS).toISOString().slice(0, 10);
export const daysBetween = (from: string, to: string): number => Math.round((noon(to) - noon(from)) / DAY_MS);
/** 0: Monday. */
export const weekdayOf = (date: string): number => (new Date(noon(date)).getUTCDay() + 6) % 7;

export interface Stay {
    place: string;
    arrive: string;
    leave: string;
}

export interface TripDay {
    date: string;
    /** Of the stay whose night it is; null: none. */
    stay: number | null;
    /** The first night of that stay, or a Monday: its name stands here. */
    isNamed: boolean;
    /** Nights of that stay from here to the end of the week: so many boxes are there for its name. */
    room: number;
    isOut: boolean;
}

/** Whole weeks from Monday on, around the trip. */
export function daysOf(from: string, until: string, stays: readonly Stay[]): TripDay[] {
    const first = dayAfter(from, -weekdayOf(from)), last = dayAfter(until, 6 - weekdayOf(until));
    return Array.from({ length: daysBetween(first, last) + 1 }, (_, i) => {
        const date = dayAfter(first, i);
        const stay = stays.findIndex((one) => one.arrive <= date && date < one.leave);
        const leave = stays[stay]?.leave;
        return {
            date,
            stay: stay < 0 ? null : stay,
            isNamed: stay >= 0 && (stays[stay]?.arrive === date || weekdayOf(date) === 0),
            room: leave ? Math.min(7 - weekdayOf(date), daysBetween(date, leave)) : 0,
            isOut: date < from || date > until,
        };
    });
}

/** A stay ends on another morning: it keeps a night at least, and so does what follows it; the others are as they were. */
export function withLeave(stays: readonly Stay[], at: number, leave: string): Stay[] {
    const one = stays[at], next = stays[at + 1];
    if (!one || !next) return [...stays];
    const least = dayAfter(one.arrive, 1), most = dayAfter(next.leave, -1);
    const day = leave < least ? least : leave > most ? most : leave;
    return stays.map((stay, i) => (i === at ? { ...stay, leave: day } : i === at + 1 ? { ...stay, arrive: day } : stay));
}

/** "spring" and "spring 2" are beside each other; the next is "spring 3". */
export function nextName(name: string, taken: readonly string[]): string {
    const base = name.replace(/ \d+$/, '');
    let n = 2;
    while (taken.includes(`${base} ${n}`)) n++;
    return `${base} ${n}`;
}

/** What is asked of places of the book. */
export interface PlacesAsked {
    isOn: boolean;
    near: string;
    /** 0: any. */
    drive_h: number;
    manager: string;
    signal_pct: number;
    cold: string;
    warm: string;
    supplies: string[];
}
export const nothingAsked = (): PlacesAsked => ({ isOn: true, near: '', drive_h: 0, manager: '', signal_pct: 0, cold: '', warm: '', supplies: [] });

/** As the map `candidates` of a trip's file; null: the book is not asked. */
export function candidatesOf(asked: PlacesAsked, unit: string): Record<string, string> | null {
    if (!asked.isOn) return null;
    const found: Record<string, string> = {};
    if (asked.near.trim()) found.near = asked.near.trim();
    if (asked.drive_h) found.drive = `${asked.drive_h} h`;
    if (asked.manager.trim()) found.manager = asked.manager.trim();
    if (asked.signal_pct) found.signal = `${asked.signal_pct} %`;
    if (asked.supplies.length) found.supply = asked.supplies.join(',');
    if (asked.cold.trim() || asked.warm.trim()) found.night = `${asked.cold.trim() || '-60'} ${asked.cold.trim() ? unit : 'C'} to ${asked.warm.trim() || '60'} ${asked.warm.trim() ? unit : 'C'}`;
    return found;
}

export interface Known {
    name: string;
    latitude_deg: number;
    longitude_deg: number;
    elevation_m: number | null;
    signal_frac?: number | null;
    manager?: string | null;
    fee_usd?: number | null;
}

const quoted = (text: string): string => JSON.stringify(text);

/** A first text to be changed: where one stands, and the places that are to be written out. */
export function draftOf(places: readonly Known[], today: string, start = places[0]?.name ?? 'our camp'): string {
    const row = (one: Known): string => {
        const more = [one.elevation_m === null ? '' : `elevation: ${Math.round(one.elevation_m)} m`, one.signal_frac ? `signal: ${Math.round(100 * one.signal_frac)} %` : '', one.fee_usd ? `fee: ${one.fee_usd} USD` : '', one.manager ? `manager: ${quoted(one.manager)}` : ''];
        return `  - {${[`name: ${quoted(one.name)}`, `latitude: ${one.latitude_deg.toFixed(4)}`, `longitude: ${one.longitude_deg.toFixed(4)}`, ...more.filter((text) => text)].join(', ')}}`;
    };
    return [
        'leeway: 1',
        'trip:',
        `  from: ${dayAfter(today, 7)}   # first night`,
        `  until: ${dayAfter(today, 28)}  # last morning`,
        `  start: ${quoted(start)}`,
        '  drive_day: 4 h',
        '  coldest: 25 F',
        '  hottest: 95 F',
        ...(places.length ? ['places:  # worth: what a night there is worth to you; signal: the chance that a work day goes well', ...places.map(row)] : []),
        'wishes: []',
        '',
    ].join('\n');
}
