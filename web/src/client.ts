// The one module that talks to the program (/api/1/). Everything else asks here.

import type { Checklist } from './made/checklist';
import type { Convoy } from './made/convoy';
import type { Ledger } from './made/ledger';
import type { Outlook } from './made/outlook';
import type { Stay } from './made/stay';
import type { Today } from './made/today';
import type { Clock, Units } from './settings';

/** The program answered, and said no: `says` is its sentence. */
export class Refusal extends Error {
    constructor(
        readonly status: number,
        readonly says: string,
        /** The same without the file and key it is about. */
        readonly text = says,
    ) {
        super(says);
    }
}

/** Nobody answered: out of reach, asleep, switched off. */
export class OutOfReach extends Error {
    constructor() {
        super('The camper does not answer.');
    }
}

export interface State {
    schema: 'leeway.state/1';
    program: string;
    now: string;
    zone: string;
    units: Units;
    clock: Clock;
    book: 'empty' | 'demo' | 'own';
    stay: { place: string; from: string; until: string | null } | null;
    /** The machine's own clock cannot be right. */
    is_clock_doubted?: boolean;
    changes: number;
}

export interface WeatherDay {
    date: string;
    hours: number;
    high_c: number;
    low_c: number;
    sun_kwhm2: number;
    clear_frac: number | null;
    rain_mm: number;
    wind_ms: number;
}

export interface Weather {
    schema: 'leeway.weather/1';
    source?: string;
    is_typical?: boolean;
    days: WeatherDay[];
}

export type GaugeKind = 'lamps' | 'marks' | 'percent' | 'amount' | 'mass' | 'count' | 'volts' | 'hours' | 'none';

export interface Gauge {
    target: string;
    supply: string | null;
    label: string;
    kind: GaugeKind;
    unit: string | null;
    choices: { says: string; text: string }[];
    example: string;
    /** What it can show, in words. */
    shows: string;
    last: { at: string; says: string } | null;
}

export interface Gauges {
    schema: 'leeway.gauges/1';
    gauges: Gauge[];
    events: { text: string; label: string }[];
}

export interface HistoryEntry {
    id: string;
    at: string;
    at_civil: string;
    kind: string;
    target: string | null;
    /** Between what a reading lies, in `unit`: l, wh, kg, gb, person_days, or frac of what it holds. */
    low: number | null;
    high: number | null;
    unit: string | null;
    said: string;
    understood: string;
    is_undone: boolean;
}

/** What was foreseen of the days that are over; each list is as long as `at`. */
export interface Foreseen {
    schema: 'leeway.foreseen/1';
    at: string[];
    supplies: Record<string, { low_frac: (number | null)[]; middle_frac: (number | null)[]; high_frac: (number | null)[] }>;
}

export interface Person {
    name: string;
    kind: 'adult' | 'teen' | 'child' | 'dog' | 'cat';
    is_here: boolean;
    is_guest: boolean;
    /** When that ends; null where nobody has said. */
    until: string | null;
}

export interface People {
    schema: 'leeway.people/1';
    here: number;
    people: Person[];
    /** Where camp stands. */
    place: string;
    moved: string | null;
    places: string[];
}

/** A stay that is over: what was forecast of it against what was logged. */
export interface Left {
    schema: 'leeway.left/1';
    says: string[];
    supplies: { supply: string; name: string; forecast_days: string; happened: string }[];
    stay: Stay;
    /** Of that stay: rig and crew for the next one. */
    scenario: string;
}

export interface Assumption {
    key: string | null;
    value: string | null;
    source: string | null;
    kind: string | null;
}

export interface Checked {
    schema: 'leeway.checked/1';
    is_right: boolean;
    key?: string | null;
    text?: string | null;
    says: string[];
    assumptions: Assumption[];
}

export interface Start {
    id: string;
    label: string;
    typical: boolean;
    rig: Json;
}

export type Json = { [key: string]: JsonValue };
export type JsonValue = string | number | boolean | null | JsonValue[] | Json;

export interface Entry {
    id: string;
    device: string;
    at: string | null;
    sent: string;
    words: string[];
}

export interface Undo {
    id: string;
    device: string;
    undoes: string | null;
}

/** A small board may take its time over a thousand draws; an entry that waits is sent again anyway. */
const PATIENCE_MS = 60_000;
const PATIENCE_OF_CHANGES_MS = 10_000;
/** A plan is seconds of work, on a small board minutes; whoever has enough of it says stop. */
const PATIENCE_OF_PLANS_MS = 600_000;

/** One question; what it is about stands in `client` below and, of places, in client-places.ts. */
export async function ask<T>(method: string, path: string, body?: unknown, signal?: AbortSignal, patience_ms = method === 'GET' ? PATIENCE_MS : PATIENCE_OF_CHANGES_MS): Promise<T> {
    const patience = new AbortController();
    const giveUp = setTimeout(() => patience.abort(), patience_ms);
    const stop = (): void => patience.abort();
    signal?.addEventListener('abort', stop);
    try {
        const answer = await fetch(`/api/1/${path}`, {
            method,
            cache: 'no-store',
            credentials: 'same-origin',
            signal: patience.signal,
            ...(body === undefined ? {} : { body: JSON.stringify(body), headers: { 'Content-Type': 'application/json' } }),
        });
        const text = await answer.text();
        const said = text ? (JSON.parse(text) as { says?: unknown; text?: unknown }) : {};
        if (answer.ok) return said as T;
        throw new Refusal(answer.status, typeof said.says === 'string' ? said.says : `The program answered ${answer.status} without a reason.`, typeof said.text === 'string' ? said.text : undefined);
    } catch (problem) {
        if (problem instanceof Refusal) throw problem;
        if (signal?.aborted) throw problem;
        throw new OutOfReach();
    } finally {
        clearTimeout(giveUp);
        signal?.removeEventListener('abort', stop);
    }
}

/** A later version of the program may not know a question of this page, nor an older one: then there is no answer, no error. */
async function askIfThere<T>(path: string, ...also: number[]): Promise<T | null> {
    try {
        return await ask<T>('GET', path);
    } catch (problem) {
        if (problem instanceof Refusal && [404, 405, ...also].includes(problem.status)) return null;
        throw problem;
    }
}

export interface OutlookWish {
    set?: readonly string[];
    /** What if this were done now, in the words of the log. */
    done?: readonly string[];
    draws?: number;
    assumptions?: boolean;
}

function outlookPath(wish: OutlookWish): string {
    const query = new URLSearchParams();
    for (const change of wish.set ?? []) query.append('set', change);
    for (const event of wish.done ?? []) query.append('done', event);
    if (wish.draws) query.set('draws', String(wish.draws));
    if (wish.assumptions) query.set('assumptions', '1');
    const text = query.toString();
    return text ? `outlook?${text}` : 'outlook';
}

/** What an address is sure to carry; a longer question goes as a body. */
const ADDRESS_LETTERS = 4000;

function outlook(wish: OutlookWish, signal?: AbortSignal): Promise<Outlook> {
    const path = outlookPath(wish);
    if (path.length <= ADDRESS_LETTERS) return ask('GET', path, undefined, signal);
    const said: Record<string, string | string[]> = {};
    for (const [key, value] of new URLSearchParams(path.slice(path.indexOf('?')))) said[key] = key === 'set' || key === 'done' ? [...(said[key] ?? []), value] : value;
    return ask('POST', 'outlook', said, signal, PATIENCE_MS);
}

export const client = {
    state: (): Promise<State> => ask('GET', 'state'),
    /** What time it is by this device; taken only where the camper's own clock cannot be right. */
    clock: (sent: string): Promise<State> => ask('POST', 'clock', { sent }),
    outlook: (wish: OutlookWish = {}, signal?: AbortSignal): Promise<Outlook> => outlook(wish, signal),
    today: (signal?: AbortSignal): Promise<Today> => ask('GET', 'today', undefined, signal),
    weather: (): Promise<Weather | null> => askIfThere('weather'),
    scenario: async (): Promise<string | null> => (await askIfThere<{ scenario: string }>('scenario'))?.scenario ?? null,
    history: (supply: string): Promise<{ entries: HistoryEntry[] } | null> => askIfThere(`history?supply=${encodeURIComponent(supply)}&last=200`),
    /** Of all supplies, the last few days. */
    lately: (days: number): Promise<{ entries: HistoryEntry[] } | null> => askIfThere(`history?since=${days}+days&last=400`),
    foreseen: (days: number): Promise<Foreseen | null> => askIfThere(`foreseen?days=${days}`),
    people: (): Promise<People | null> => askIfThere('people'),
    learned: (): Promise<Json | null> => askIfThere('learned'),
    gauges: (): Promise<Gauges> => ask('GET', 'gauges'),
    log: (entry: Entry): Promise<{ says: string[] }> => ask('POST', 'entries', entry),
    undo: (undo: Undo): Promise<{ says?: string[] }> => ask('POST', 'undo', undo),
    checklists: (): Promise<{ checklists: { name: string; title: string }[] }> => ask('GET', 'checklists'),
    checklist: (name: string): Promise<Checklist> => ask('GET', `checklists?name=${encodeURIComponent(name)}`),
    tick: (list: string, marks: { tick?: string[]; untick?: string[]; fresh?: boolean }, device: string): Promise<Checklist> => ask('POST', 'ticks', { list, device, ...marks }),
    ledger: (): Promise<Ledger> => ask('GET', 'ledger'),
    /** A plan by its name and query: "cost?hookups=55". Stopped by the signal, and then given up by the program too. */
    plan: <T>(path: string, signal?: AbortSignal): Promise<T> => ask('GET', `plan/${path}`, undefined, signal, PATIENCE_OF_PLANS_MS),
    convoy: (shares: readonly string[], signal?: AbortSignal): Promise<Convoy> => ask('POST', 'plan/convoy', { shares }, signal, PATIENCE_OF_PLANS_MS),
    /** Services around the place as the book keeps them, a text in YAML; null: none are. */
    services: async (): Promise<string | null> => (await ask<{ own: string | null }>('GET', 'services')).own,
    keepServices: (own: string): Promise<Json> => ask('PUT', 'services', { own }),
    check: (scenario: string): Promise<Checked> => ask('POST', 'check', { scenario }),
    begin: (scenario: string): Promise<Json> => ask('POST', 'begin', { scenario }),
    /** The stay that was left last; null: none was, or another goes on. */
    left: (): Promise<Left | null> => askIfThere('left', 409),
    /** at null: now. */
    leave: (at: string | null): Promise<Left> => ask('POST', 'left', { at }),
    goOn: (): Promise<{ says: string[] }> => ask('DELETE', 'left'),
    starts: (): Promise<{ starts: Start[] }> => ask('GET', 'starts'),
    demo: (): Promise<Json> => ask('POST', 'demo', {}),
    dropDemo: (): Promise<Json> => ask('DELETE', 'demo', {}),
    setUnits: (settings: { units?: Units; clock?: Clock }): Promise<Json> => ask('PUT', 'settings', settings),
    pair: (code: string, device: string): Promise<{ token: string }> => ask('POST', 'pair', { code, device }),
};
