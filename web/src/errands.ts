// Errands that are planned: moments at which tanks are filled and emptied, as the scenario's stay.events hold them. Pure.

import type { Json, JsonValue } from './client';
import type { Runs } from './made/runs';
import { at, isMap } from './scenario';
import { civil } from './zone';

export interface Errand {
    /** Stays the same while it is moved. */
    id: number;
    at_ms: number;
    /** "dump grey", "fill fresh": what is done, and of what. */
    does: string[];
    /** Fresh water that cans bring, and grey that a portable tank takes; otherwise the rig's own tanks are filled and emptied. */
    cans_l?: number;
    waste_l?: number;
    /** Where to. */
    why?: string;
}

/** What an errand may do, in the order a run goes about it. */
export const TASKS: readonly { task: string; says: string; supply: string }[] = [
    { task: 'dump grey', says: 'Dump grey', supply: 'grey' },
    { task: 'dump black', says: 'Dump black', supply: 'black' },
    { task: 'dump rubbish', says: 'Drop rubbish', supply: 'rubbish' },
    { task: 'fill fresh', says: 'Fill fresh', supply: 'fresh' },
    { task: 'fill drinking', says: 'Drinking water', supply: 'drinking' },
    { task: 'fill propane', says: 'Propane', supply: 'propane' },
    { task: 'fill fuel', says: 'Fuel', supply: 'fuel' },
    { task: 'fill food', says: 'Food', supply: 'food' },
];

const two = (value: number): string => String(value).padStart(2, '0');

/** "2026-06-12 10:00" by the clock of the place, as a scenario writes it. */
export function written(at_ms: number, zone: string): string {
    const { year, month, day, hour, minute } = civil(at_ms, zone);
    return `${year}-${two(month)}-${two(day)} ${two(hour)}:${two(minute)}`;
}

/** The moment of a civil time there; of a time shown twice the first. */
export function momentOf(text: string, zone: string): number {
    const [, date, hour, minute] = /^(\d{4}-\d\d-\d\d)[ T](\d\d?):(\d\d)$/.exec(text.trim()) ?? [];
    const wanted = Date.parse(`${date}T${two(Number(hour))}:${minute}:00Z`);
    if (!date || Number.isNaN(wanted)) return Number.NaN;
    const off = (at_ms: number): number => {
        const c = civil(at_ms, zone);
        return Date.UTC(c.year, c.month - 1, c.day, c.hour, c.minute) - at_ms;
    };
    const first = wanted - off(wanted);
    return wanted - off(first);
}

// What containers carry is added and taken by its amount; all else is filled and emptied whole.
const CARRIED = [
    { task: 'fill fresh', does: 'add', what: 'fresh', amount: 'cans_l' },
    { task: 'dump grey', does: 'take', what: 'grey', amount: 'waste_l' },
] as const;

const litres = (text: JsonValue | undefined): number => {
    const [, number, unit] = /^([\d.]+) ?(L|gal)$/.exec(String(text ?? '')) ?? [];
    return number ? Number(number) * (unit === 'gal' ? 3.785411784 : 1) : Number.NaN;
};
const carriedIn = (event: Json): (typeof CARRIED)[number] | undefined => CARRIED.find((one) => event.do === one.does && event.what === one.what && litres(event.amount) > 0);
/** The task of an event that can be moved here; none: the event is left as it is. */
function taskOf(event: Json): string | undefined {
    const task = `${String(event.do)} ${String(event.what)}`;
    return carriedIn(event)?.task ?? ((event.do === 'fill' || event.do === 'dump') && TASKS.some((one) => one.task === task) ? task : undefined);
}

/** The scenario's events: those that can be moved here, by their moment, and the rest as they are. */
export function errandsOf(scenario: Json | null, from_ms: number, zone: string): { errands: Errand[]; others: JsonValue[] } {
    const found = at(scenario, 'stay.events'), list = Array.isArray(found) ? found : [];
    const errands: Errand[] = [], others: JsonValue[] = [];
    for (const event of list) {
        const task = isMap(event) ? taskOf(event) : undefined, at_ms = isMap(event) && task ? momentOf(String(event.at), zone) : Number.NaN;
        if (!isMap(event) || !task || !(at_ms > from_ms)) {
            others.push(event);
            continue;
        }
        let one = errands.find((errand) => errand.at_ms === at_ms);
        if (!one) errands.push((one = { id: errands.length + 1, at_ms, does: [] }));
        one.does.push(task);
        if (event.why !== undefined) one.why = String(event.why);
        const carried = carriedIn(event);
        if (carried) one[carried.amount] = litres(event.amount);
    }
    return { errands, others };
}

/** As events of a scenario, by time. */
export function eventsOf(errands: readonly Errand[], zone: string): Json[] {
    return [...errands]
        .sort((a, b) => a.at_ms - b.at_ms)
        .flatMap((one) => TASKS.filter(({ task }) => one.does.includes(task)).map(({ task }): Json => {
            const [does = '', what = ''] = task.split(' '), carried = CARRIED.find((row) => row.task === task), amount_l = carried && one[carried.amount];
            const why: Json = one.why ? { why: one.why } : {};
            return carried && amount_l ? { at: written(one.at_ms, zone), do: carried.does, what, amount: `${amount_l.toFixed(1)} L`, ...why } : { at: written(one.at_ms, zone), do: does, what, ...why };
        }));
}

const DUMPED = ['grey', 'black', 'rubbish'];
const WHY_BYTES = 31; // as much as a scenario's `why` holds

/** Where a run goes, as far as it fits. */
function whyOf(services: readonly string[]): string {
    const bytes = (text: string): number => new TextEncoder().encode(text).length;
    const plain = services.map((one) => one.replace(/["\\]/g, ''));
    let fits = plain.length;
    while (fits > 1 && bytes(plain.slice(0, fits).join(', ')) > WHY_BYTES) fits--;
    let why = plain.slice(0, fits).join(', ');
    while (bytes(why) > WHY_BYTES) why = why.slice(0, -1);
    return why.trim();
}

/** Planned runs as errands: what they bring is there when they are back. */
export function errandsOfRuns(runs: Runs['runs']): Errand[] {
    return runs.map((run, i): Errand => {
        const tasks = run.supplies.map((supply) => `${DUMPED.includes(supply) ? 'dump' : 'fill'} ${supply}`);
        const one: Errand = { id: i + 1, at_ms: Date.parse(run.back ?? ''), does: TASKS.filter(({ task }) => tasks.includes(task)).map(({ task }) => task), why: whyOf(run.services) };
        if (!run.is_break_camp && run.cans_l) one.cans_l = run.cans_l;
        if (!run.is_break_camp && run.waste_l) one.waste_l = run.waste_l;
        return one;
    });
}

/** The same as one change of an outlook, in as few letters as it takes: an address has no room for much. What an errand is for changes nothing there. */
export function changesOf(errands: readonly Errand[], others: readonly JsonValue[], zone: string): string[] {
    const plain = (value: JsonValue): string => (/^[\w][\w .:/-]*$/.test(String(value)) && !/: |:$/.test(String(value)) ? String(value) : JSON.stringify(String(value)));
    const flow = (event: JsonValue): string => (isMap(event) ? `{${Object.entries(event).filter(([key]) => key !== 'why').map(([key, value]) => `${key}: ${plain(value)}`).join(', ')}}` : plain(event));
    const all = [...others, ...eventsOf(errands, zone)];
    return [all.length ? `stay.events=[${all.map(flow).join(', ')}]` : 'stay.events=none'];
}
