// Errands that are planned: moments at which tanks are filled and emptied, as the scenario's stay.events hold them. Pure.

import type { Json, JsonValue } from './client';
import { at, isMap } from './scenario';
import { civil } from './zone';

export interface Errand {
    /** Stays the same while it is moved. */
    id: number;
    at_ms: number;
    /** "dump grey", "fill fresh": what is done, and of what. */
    does: string[];
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

const isOurs = (event: JsonValue): event is Json => isMap(event) && (event.do === 'fill' || event.do === 'dump') && TASKS.some((one) => one.task === `${String(event.do)} ${String(event.what)}`);

/** The scenario's events: those that can be moved here, by their moment, and the rest as they are. */
export function errandsOf(scenario: Json | null, from_ms: number, zone: string): { errands: Errand[]; others: JsonValue[] } {
    const found = at(scenario, 'stay.events'), list = Array.isArray(found) ? found : [];
    const errands: Errand[] = [], others: JsonValue[] = [];
    for (const event of list) {
        const at_ms = isOurs(event) ? momentOf(String(event.at), zone) : Number.NaN;
        if (!isOurs(event) || !(at_ms > from_ms)) {
            others.push(event);
            continue;
        }
        const task = `${String(event.do)} ${String(event.what)}`, same = errands.find((one) => one.at_ms === at_ms);
        if (same) same.does.push(task);
        else errands.push({ id: errands.length + 1, at_ms, does: [task] });
    }
    return { errands, others };
}

/** As events of a scenario, by time. */
export function eventsOf(errands: readonly Errand[], zone: string): Json[] {
    return [...errands]
        .sort((a, b) => a.at_ms - b.at_ms)
        .flatMap((one) => TASKS.filter(({ task }) => one.does.includes(task)).map(({ task }) => ({ at: written(one.at_ms, zone), do: task.split(' ')[0] ?? '', what: task.split(' ')[1] ?? '' })));
}

/** The same as changes of an outlook: the list is emptied first, so that a moved errand does not happen twice. */
export function changesOf(errands: readonly Errand[], others: readonly JsonValue[], zone: string): string[] {
    const flow = (event: JsonValue): string => (isMap(event) ? `{${Object.entries(event).map(([key, value]) => `${key}: "${String(value)}"`).join(', ')}}` : String(event));
    return ['stay.events=none', ...[...others, ...eventsOf(errands, zone)].map((event) => `stay.events+=${flow(event)}`)];
}
