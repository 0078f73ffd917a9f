// What the views of places share while the page is open: dates, what is compared, where a new place is to be, what was just forgotten.
import { camp, units, zone } from './camp.svelte';
import { places, type PlacesWish } from './client-places';
import type { Spot } from './map';
import { isoDate } from './zone';

export const COMPARE_MOST = 3;
const DAY_MS = 86_400_000;

export const shared = $state<{
    from: string;
    until: string;
    compared: string[];
    draft: (Spot & { name?: string }) | null;
    /** A place taken out, as it was handed over before: it can come back. */
    forgotten: { name: string } | null;
}>({ from: '', until: '', compared: [], draft: null, forgotten: null });

/** Today and a week on, where no dates were said yet. */
export function wantDates(): void {
    if (shared.from && shared.until) return;
    const now = Date.parse(camp.known?.state.now ?? new Date().toISOString());
    shared.from = isoDate(now, zone());
    shared.until = isoDate(now + 7 * DAY_MS, zone());
}

/** Drives begin where camp stands. */
export const start = (): PlacesWish => (camp.known?.state.stay ? { near: camp.known.state.stay.place } : {});
export const pathOf = (name: string): string => `places/@${encodeURIComponent(name)}`;

export function toggleCompared(name: string): void {
    if (shared.compared.includes(name)) shared.compared = shared.compared.filter((one) => one !== name);
    else if (shared.compared.length < COMPARE_MOST) shared.compared = [...shared.compared, name];
}

export async function forget(name: string): Promise<void> {
    await places.forget(name);
    shared.forgotten = { name };
    shared.compared = shared.compared.filter((one) => one !== name);
}
export async function bringBack(): Promise<void> {
    if (!shared.forgotten) return;
    await places.recall(shared.forgotten.name);
    shared.forgotten = null;
}

/** As the program says it: nearer is here, maps and phones know a spot no better. */
export const HERE_M = 5;

export const wayOf = (way_m: number): string => {
    if (way_m < 160) return units() === 'us' ? `${Math.round(way_m / 3.048) * 10} ft` : `${Math.round(way_m / 10) * 10} m`;
    const far = units() === 'us' ? way_m / 1609.344 : way_m / 1000;
    return `${far < 9.95 ? far.toFixed(1) : Math.round(far)} ${units() === 'us' ? 'mi' : 'km'}`;
};
/** To five minutes, as the program says it. */
export function driveOf(time_s: number): string {
    const minutes = Math.max(5, Math.round(time_s / 300) * 5);
    return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h${minutes % 60 ? ` ${minutes % 60} min` : ''}`;
}

/** What imported spots are good for: the letter of their mark. Camps are diamonds, services squares, all else round. */
export const KINDS: readonly { kind: string; says: string; letter: string; shape: 'square' | 'diamond' | 'round' }[] = [
    { kind: 'camp', says: 'Camps', letter: 'C', shape: 'diamond' },
    { kind: 'dump', says: 'Dump', letter: 'D', shape: 'square' },
    { kind: 'water', says: 'Water', letter: 'W', shape: 'square' },
    { kind: 'propane', says: 'Propane', letter: 'P', shape: 'square' },
    { kind: 'fuel', says: 'Fuel', letter: 'F', shape: 'square' },
    { kind: 'groceries', says: 'Groceries', letter: 'G', shape: 'square' },
    { kind: 'laundry', says: 'Laundry', letter: 'L', shape: 'square' },
    { kind: 'rubbish', says: 'Rubbish', letter: 'R', shape: 'square' },
    { kind: 'shower', says: 'Showers', letter: 'S', shape: 'square' },
    { kind: 'town', says: 'Towns', letter: 'T', shape: 'round' },
    { kind: 'trail', says: 'Trails', letter: 'H', shape: 'round' },
];
export const WATER: Record<string, string> = { yes: 'fit to drink', no: 'not fit to drink', unknown: 'not known whether fit to drink: treat it' };
