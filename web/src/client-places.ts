// What the page asks of places; the other half of client.ts, fetched with the views that need it.
import { ask, type Weather } from './client';
import type { Map as Shown } from './made/map';
import type { Pick } from './made/pick';
import type { Place } from './made/place';
import type { Rank } from './made/rank';
import type { SignalRun } from './made/signal-run';
import type { Sun } from './made/sun';
import type { Box } from './map';

/** What a place is to have; what is left out parts nothing. */
export interface PlacesWish {
    name?: string;
    near?: string;
    from?: string;
    until?: string;
    manager?: string;
    supply?: string;
    drive_s?: number;
    night_low_c?: number;
    night_high_c?: number;
    signal_frac?: number;
    length_m?: number;
}

export interface Sheet {
    lines: { what: string | null; text: string }[];
    lands: { land: string; access: string | null; usual_rule: string | null; note: string | null; border_m: number | null; credit: string }[];
    ask: string;
}
export interface Around {
    within_m: number;
    around: { kind: string; name: string | null; detail: string | null; opening: string | null; is_drinkable: 'yes' | 'no' | 'unknown' | null; latitude_deg: number; longitude_deg: number; way_m: number; toward: string; road_m: number; time_s: number; is_guess: boolean; credit: string }[];
}
export interface ClimateMonth {
    month: number;
    high_c: number;
    low_c: number;
    sun_kwhm2: number;
    wet_days: number;
    rain_mm: number;
    wind_ms: number;
}
export interface PlaceSignal {
    headline: string;
    chance_frac: number | null;
    sky_frac: number | null;
    carriers: { name: string; is_line: boolean; chance_frac: number | null; measured: string; published: string; predicted: string; together: string }[];
    notes: string[];
}
export interface Handed {
    text: string;
    square: string[] | null;
}
export interface Taken {
    from: string | null;
    taken: number;
    places: { name: string; is_there: boolean; same: Place['same'] }[];
}
export interface NewPlace {
    name: string;
    latitude_deg: number;
    longitude_deg: number;
    change: string[];
}

function query(wish: object, names: readonly string[] = []): string {
    const all = new URLSearchParams(Object.entries(wish).filter(([, value]) => value !== undefined && value !== null && value !== '').map(([key, value]) => [key, String(value)]));
    for (const name of names) all.append('name', name);
    const text = all.toString();
    return text ? `?${text}` : '';
}
const of = (name: string): string => query({ name });

/** The first list after masts were taken in predicts the signal at every place: minutes on a small board. */
const PATIENCE_OF_LISTS_MS = 600_000;

export const places = {
    list: (wish: PlacesWish = {}, signal?: AbortSignal): Promise<Pick> => ask('GET', `places${query(wish)}`, undefined, signal, PATIENCE_OF_LISTS_MS),
    rank: (wish: PlacesWish, signal?: AbortSignal): Promise<Rank> => ask('GET', `places/rank${query(wish)}`, undefined, signal),
    compare: (names: readonly string[], wish: PlacesWish, signal?: AbortSignal): Promise<Rank> => ask('GET', `places/compare${query(wish, names)}`, undefined, signal),
    /** Of the long answer that the program is at; target null: none. */
    progress: (): Promise<{ target: string | null; done: number; of: number }> => ask('GET', 'progress'),
    /** The best that was found so far will do. */
    enough: (): Promise<unknown> => ask('POST', 'progress', {}),
    map: (box: Box, width_px: number, kinds: readonly string[], has: { lands: boolean; roads: boolean }, signal?: AbortSignal): Promise<Shown> =>
        ask('GET', `map${query({ west: box.west.toFixed(5), south: box.south.toFixed(5), east: box.east.toFixed(5), north: box.north.toFixed(5), width_px: Math.max(100, Math.round(width_px)), kinds: kinds.join(','), lands: has.lands ? 1 : 0, roads: has.roads ? 1 : 0 })}`, undefined, signal),
    one: (name: string): Promise<Place> => ask('GET', `place${of(name)}`),
    sheet: (name: string): Promise<Sheet> => ask('GET', `place/sheet${of(name)}`),
    around: (name: string): Promise<Around> => ask('GET', `place/around${of(name)}`),
    climate: (name: string): Promise<Weather & { months: ClimateMonth[] }> => ask('GET', `place/climate${of(name)}`),
    sunMap: (name: string, on: string, map_m: number): Promise<Sun> => ask('GET', `place/sun${query({ name, on, days: 1, every: 1, map_m })}`),
    sun: (name: string, first: string): Promise<Sun> => ask('GET', `place/sun${query({ name, on: first, days: 12, every: 30 })}`),
    signal: (name: string): Promise<PlaceSignal> => ask('GET', `place/signal${of(name)}`),
    /** The nearest spot with signal, by line. */
    signalRun: (name: string): Promise<SignalRun> => ask('GET', `place/signal/run${of(name)}`),
    add: (place: NewPlace): Promise<Place> => ask('POST', 'places', place),
    edit: (name: string, change: readonly string[]): Promise<Place> => ask('PUT', 'place', { name, change }),
    forget: (name: string): Promise<{ name: string }> => ask('DELETE', `place${of(name)}`, {}),
    recall: (name: string): Promise<Place> => ask('POST', 'place/recall', { name }),
    give: (names: readonly string[], as = ''): Promise<Handed> => ask('GET', `places/give${query({ as }, names)}`),
    take: (text: string): Promise<Taken> => ask('POST', 'places/take', { text }),
};
