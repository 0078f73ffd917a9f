// What the page asks of the trip; fetched with the view that needs it.
import { ask } from './client';
import type { Place } from './made/place';
import type { Trip } from './made/trip';
import type { TripYear } from './made/trip-year';
import type { Trips } from './made/trips';

export interface TripChange {
    /** No room there. */
    full?: string[];
    /** "PLACE, FIRST NIGHT, LAST MORNING". */
    hold?: string[];
    from?: string;
    at?: string;
}

/** Null: as the trip says, or as is usual. */
export interface YearWish {
    /** A kept trip; null: places of the book. */
    name: string | null;
    coldest_c: number | null;
    hottest_c: number | null;
    chance_frac: number | null;
}

export const FORMS = [
    { as: 'calendar', says: 'For the calendar', file: 'trip.ics' },
    { as: 'gpx', says: 'For the navigator (GPX)', file: 'trip.gpx' },
    { as: 'csv', says: 'As a table (CSV)', file: 'trip.csv' },
    { as: 'sheet', says: 'Sheet to print', file: 'trip.html' },
    { as: 'home', says: 'To leave with somebody at home', file: 'trip-for-home.txt' },
] as const;

/** Three trips of many weeks take their time on a small board; whoever does not want to wait stops it. */
const PATIENCE_MS = 240_000;

export const trips = {
    list: (): Promise<Trips> => ask('POST', 'trip', { do: 'list' }),
    show: (name: string, signal?: AbortSignal): Promise<Trip> => ask('POST', 'trip', { do: 'show', name }, signal, PATIENCE_MS),
    plan: (trip: string, keep: string, candidates: Record<string, string> | null, signal?: AbortSignal): Promise<Trip> => ask('POST', 'trip', { do: 'plan', trip, keep, candidates }, signal, PATIENCE_MS),
    sheet: (name: string, signal?: AbortSignal): Promise<Place> => ask('GET', `place?${new URLSearchParams({ name })}`, undefined, signal),
    /** The rest anew, kept beside the old one. */
    replan: (name: string, plan: number, keep: string, change: TripChange, signal?: AbortSignal): Promise<Trip> => ask('POST', 'trip', { do: 'replan', name, plan, keep, ...change }, signal, PATIENCE_MS),
    year: (wish: YearWish, signal?: AbortSignal): Promise<TripYear> => ask('POST', 'trip', { do: 'year', ...wish }, signal, PATIENCE_MS),
    forget: (name: string): Promise<Trips> => ask('POST', 'trip', { do: 'forget', name }),
    file: (name: string, plan: number, as: string): string => `/api/1/trip/export?${new URLSearchParams({ name, plan: String(plan), as })}`,
};
