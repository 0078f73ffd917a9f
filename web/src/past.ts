// The days that are over: readings and deeds as marks, and what was foreseen of them. Pure.

import type { Foreseen, HistoryEntry } from './client';
import type { Outlook } from './made/outlook';
import { pick } from './quantities';

export interface Past {
    entries: HistoryEntry[];
    foreseen: Foreseen | null;
}

/** Shares of what the supply holds; null: of one vessel among several, so that it says nothing of the whole. */
export interface Reading {
    at_ms: number;
    low: number | null;
    high: number | null;
}

export interface Foreseeing {
    at_ms: number;
    low: number;
    middle: number;
    high: number;
}

const supplyOf = (entry: HistoryEntry): string => (entry.target ?? '').split('/')[0] ?? '';

export function readingsOf(entries: readonly HistoryEntry[], outlook: Outlook, supply: string): Reading[] {
    const own = outlook.vessels.filter((one) => one.supply === supply);
    const size = own.length === 1 && own[0] ? (pick(own[0], 'capacity_')?.value ?? 0) : 0;
    return entries
        .filter((one) => one.kind === 'reading' && !one.is_undone && supplyOf(one) === supply)
        .map((one) => {
            const scale = one.unit === 'frac' ? 1 : one.unit === 'v' ? 0 : size;
            const isKnown = scale > 0 && one.low !== null && one.high !== null;
            return { at_ms: Date.parse(one.at), low: isKnown ? (one.low ?? 0) / scale : null, high: isKnown ? (one.high ?? 0) / scale : null };
        });
}

/** Fills, dumps and gifts of a supply. */
export function deedsOf(entries: readonly HistoryEntry[], supply: string): { at_ms: number; says: string }[] {
    return entries
        .filter((one) => !one.is_undone && supplyOf(one) === supply && one.kind !== 'reading' && one.kind !== 'expense' && one.kind !== 'engine_hours')
        .map((one) => ({ at_ms: Date.parse(one.at), says: one.understood }));
}

export function foreseenOf(foreseen: Foreseen | null, supply: string): Foreseeing[] {
    const of = foreseen?.supplies[supply];
    if (!foreseen || !of) return [];
    return foreseen.at.flatMap((at, i) => {
        const low = of.low_frac[i], middle = of.middle_frac[i], high = of.high_frac[i];
        return typeof low === 'number' && typeof middle === 'number' && typeof high === 'number' ? [{ at_ms: Date.parse(at), low, middle, high }] : [];
    });
}
