// A file of services (docs/use/plan.md) as the page edits it: maps as they stand in the file; what the page knows nothing of stays as it is. Pure.

import type { Json, JsonValue } from '../client';
import { isMap } from '../scenario';

export interface Around {
    services: Json[];
    runs: Json[];
    /** Passes, a fallback: kept as they are. */
    rest: Json;
}

export const GIVES: readonly { word: string; says: string }[] = [
    { word: 'water', says: 'Fresh water' },
    { word: 'drinking', says: 'Drinking water' },
    { word: 'dump', says: 'Dump' },
    { word: 'rubbish', says: 'Rubbish' },
    { word: 'propane', says: 'Propane' },
    { word: 'fuel', says: 'Fuel' },
    { word: 'groceries', says: 'Groceries' },
];

export const FOR: readonly { word: string; says: string }[] = [
    { word: 'public', says: 'open to the public' },
    { word: 'asked', says: 'we asked, and may' },
    { word: 'customers', says: 'customers only' },
    { word: 'unknown', says: 'whether it is open to the public is not known' },
];

const maps = (value: JsonValue | undefined): Json[] => (Array.isArray(value) ? value : value === undefined ? [] : [value]).filter(isMap);

export function aroundOf(file: Json | null): Around {
    const { services, runs, ...rest } = file ?? {};
    return { services: maps(services), runs: maps(runs), rest };
}

export const givesOf = (service: Json): string[] => (Array.isArray(service.gives) ? service.gives.map(String) : String(service.gives ?? '').split(',').map((one) => one.trim()).filter((one) => one));

/** "14 mi, 30 min; water, dump; 12 USD; Mon-Sat 8:00-18:00; open to the public". */
export function sayService(service: Json): string {
    const gives = givesOf(service).map((word) => GIVES.find((one) => one.word === word)?.says.toLowerCase() ?? word);
    const users = FOR.find((one) => one.word === (service.for ?? 'unknown'))?.says ?? '';
    return [`${String(service.distance ?? '?')}, ${String(service.road ?? '?')}`, gives.join(', '), service.fee === undefined ? 'no fee' : String(service.fee), service.open === undefined ? 'always open' : String(service.open), users].join('; ');
}

export function sayRun(run: Json): string {
    const is = run.kind === 'break-camp';
    const cans = run.cans === undefined ? '' : `, brings ${String(run.cans)} of water`, waste = run.waste_tank === undefined ? '' : `, takes ${String(run.waste_tank)} of grey water`;
    return `${is ? 'breaking camp' : String(run.name ?? 'runabout')}${cans}${waste}${run.ready === undefined ? '' : `, ${String(run.ready)} to get ready`}${run.lose === undefined ? '' : `; the spot is lost in ${String(run.lose)}`}`;
}

export const fileOf = (around: Around): Json => ({ services: around.services, runs: around.runs, ...around.rest });
