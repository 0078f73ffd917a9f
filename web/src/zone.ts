// Civil time of a place: midnights and names of days, by the browser's own zone table (the place carries an IANA zone).

import type { Clock } from './settings';

const formats = new Map<string, Intl.DateTimeFormat>();

function format(key: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
    let made = formats.get(key);
    if (!made) {
        try {
            made = new Intl.DateTimeFormat('en-GB', options);
        } catch {
            made = new Intl.DateTimeFormat('en-GB', { ...options, timeZone: 'UTC' }); /* a zone this browser does not know */
        }
        formats.set(key, made);
    }
    return made;
}

export interface Civil {
    year: number;
    month: number;
    day: number;
    hour: number;
    minute: number;
    second: number;
    weekday: string;
}

// A view asks for the same few moments again and again, and the browser takes some 20 us for each.
const found = new Map<string, Civil>();
const MOST_FOUND = 2000;

export function civil(at_ms: number, zone: string): Civil {
    const key = `${at_ms} ${zone}`;
    let one = found.get(key);
    if (!one) {
        if (found.size >= MOST_FOUND) found.clear();
        found.set(key, (one = civilOf(at_ms, zone)));
    }
    return one;
}

function civilOf(at_ms: number, zone: string): Civil {
    const parts = format(`civil ${zone}`, {
        timeZone: zone, hourCycle: 'h23', year: 'numeric', month: 'numeric', day: 'numeric', hour: 'numeric', minute: 'numeric', second: 'numeric', weekday: 'short',
    }).formatToParts(at_ms);
    const part = (type: string): string => parts.find((one) => one.type === type)?.value ?? '0';
    const number = (type: string): number => Number(part(type));
    return {
        year: number('year'), month: number('month'), day: number('day'), hour: number('hour'), minute: number('minute'), second: number('second'), weekday: part('weekday'),
    };
}

const HOUR_MS = 3_600_000;

/** The moment at which the civil day holding `at_ms` begins. Days of 23 and 25 hours come out right. */
export function dayBegin(at_ms: number, zone: string): number {
    const now = civil(at_ms, zone);
    const near = at_ms - now.hour * HOUR_MS - now.minute * 60_000 - now.second * 1000 - (at_ms % 1000);
    const there = civil(near, zone);
    if (there.day === now.day) return near - there.hour * HOUR_MS - there.minute * 60_000;
    return near + (24 - there.hour) * HOUR_MS - there.minute * 60_000;
}

/** Beginnings of the civil days after `from_ms` up to `to_ms`. */
export function midnights(from_ms: number, to_ms: number, zone: string): number[] {
    const found: number[] = [];
    for (let day = dayBegin(from_ms, zone); day <= to_ms; day = dayBegin(day + 30 * HOUR_MS, zone)) if (day > from_ms) found.push(day);
    return found;
}

export const weekday = (at_ms: number, zone: string): string => civil(at_ms, zone).weekday;
export const dayMonth = (at_ms: number, zone: string): string => format(`day ${zone}`, { timeZone: zone, day: 'numeric', month: 'short' }).format(at_ms);

/** "8 Jun 2026" of "2026-06-08". */
export const dayName = (date: string): string => format('date', { timeZone: 'UTC', day: 'numeric', month: 'short', year: 'numeric' }).format(Date.parse(`${date}T12:00Z`));
/** "Jun 2026" of "2026-06". */
export const monthName = (month: string): string => format('month', { timeZone: 'UTC', month: 'short', year: 'numeric' }).format(Date.parse(`${month}-15T00:00Z`));

export function time(at_ms: number, zone: string, clock: Clock): string {
    const { hour, minute } = civil(at_ms + 30_000, zone); /* the nearest minute, as the program writes it */
    const minutes = String(minute).padStart(2, '0');
    if (clock === '24') return `${String(hour).padStart(2, '0')}:${minutes}`;
    return `${hour % 12 === 0 ? 12 : hour % 12}:${minutes} ${hour < 12 ? 'am' : 'pm'}`;
}

export const moment = (at_ms: number, zone: string, clock: Clock): string => `${weekday(at_ms, zone)} ${dayMonth(at_ms, zone)}, ${time(at_ms, zone, clock)}`;

/** The date as the weather's rows write it. */
export function isoDate(at_ms: number, zone: string): string {
    const { year, month, day } = civil(at_ms, zone);
    return `${year}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
}
