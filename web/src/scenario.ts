// Looks into a scenario (docs/use/scenario.md) as its keys were typed.

import type { Json, JsonValue } from './client';
import { weekdaysOf } from './chart';

export const isMap = (value: JsonValue | undefined): value is Json => typeof value === 'object' && value !== null && !Array.isArray(value);

export function at(scenario: Json | null, path: string): JsonValue | undefined {
    let here: JsonValue | undefined = scenario ?? undefined;
    for (const key of path.split('.')) here = isMap(here) ? here[key] : undefined;
    return here;
}

const listed = (value: JsonValue | undefined): JsonValue[] => (Array.isArray(value) ? value : value === undefined ? [] : [value]);

/** Weekdays on which somebody's work or school needs the connection. */
export function workdays(scenario: Json | null): Set<string> {
    const found = new Set<string>();
    for (const person of listed(at(scenario, 'crew.people')))
        if (isMap(person)) for (const hours of [person.work, person.school]) if (typeof hours === 'string') weekdaysOf(hours).forEach((day) => found.add(day));
    return found;
}
