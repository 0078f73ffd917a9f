// Which of the table's habits a scenario means.

import type { Json } from './client';
import { HABITS, type Habit } from './made/tables';
import { at, isMap } from './scenario';

/** The habit of an activity: what is typed, be it a part of a name or a map with `as`, else what the table takes. */
export function habitNow(scenario: Json | null, assumed: ReadonlyMap<string, string>, activity: string): Habit | null {
    const typed = at(scenario, `crew.habits.${activity}`);
    const word = isMap(typed) ? typed.as : typed;
    const name = typeof word === 'string' ? word : assumed.get(`crew.habits.${activity}`);
    if (!name) return null;
    const rows = HABITS.filter((row) => row.activity === activity);
    return rows.find((row) => row.id === name) ?? rows.find((row) => row.id.endsWith(`-${name}`)) ?? rows.find((row) => row.id.includes(name)) ?? null;
}
