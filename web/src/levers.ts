// What can be tried: changes to a scenario's keys, as `leeway outlook --what-if` takes them. Which to try for which supply is
// only an order of asking; what each is worth the engine says.

import type { Json } from './client';
import { habitNow } from './habits';
import { HABITS } from './made/tables';

export interface Candidate {
    /** A change to a key, or an event that is tried as done now: one of them. */
    set?: string;
    done?: string;
    says: string;
}

/** What names a candidate in an address and in a list. */
export const nameOf = (candidate: Candidate): string => candidate.set ?? `done=${candidate.done}`;

/** Keys of a scenario whose figures a supply stands on. */
export const KEYS_OF: Readonly<Record<string, readonly string[]>> = {
    fresh: ['rig.tanks.fresh', 'crew.habits', 'crew.toilet'],
    drinking: ['rig.drinking', 'crew.habits.drinking', 'crew.habits.cooking'],
    grey: ['rig.tanks.grey', 'crew.habits.dishes', 'crew.habits.shower', 'crew.habits.hands', 'crew.habits.teeth', 'crew.habits.face', 'crew.habits.cleaning', 'crew.habits.laundry', 'place.outdoor_water'],
    black: ['rig.tanks.black', 'crew.toilet', 'crew.habits.flush', 'crew.habits.paper', 'crew.habits.excreta'],
    battery: ['rig.battery', 'rig.solar', 'rig.generator', 'rig.charger', 'rig.inverter', 'rig.appliances', 'rig.cabin.fridge', 'rig.cabin.furnace', 'place.shade', 'place.turbidity', 'weather'],
    propane: ['rig.propane', 'rig.cabin', 'crew.habits.cooking', 'crew.habits.shower', 'weather'],
    fuel: ['rig.fuel', 'rig.generator'],
    rubbish: ['rig.rubbish', 'rig.bag', 'crew.habits.rubbish', 'crew.habits.dishes', 'crew.habits.wipes', 'crew.habits.paper', 'place.animals'],
    data: ['rig.data', 'crew.habits.work-data', 'crew.habits.school-data', 'crew.habits.leisure-data', 'crew.habits.background-data'],
    food: ['rig.food', 'crew.habits.food'],
    stay: ['place.stay_rule', 'place.deadline'],
};

const WATER = ['dishes', 'shower', 'hands', 'teeth', 'face', 'cleaning', 'laundry'];
const ACTIVITIES_OF: Readonly<Record<string, readonly string[]>> = {
    fresh: [...WATER, 'drinking', 'flush'],
    drinking: ['drinking', 'cooking'],
    grey: WATER,
    black: ['flush', 'paper'],
    battery: ['leisure-data'],
    propane: ['cooking', 'shower', 'dishes'],
    rubbish: ['rubbish', 'dishes', 'paper'],
    data: ['work-data', 'school-data', 'leisure-data', 'background-data'],
};
const POWER: readonly Candidate[] = [
    { set: 'rig.generator.run=9:00-11:00', says: 'Generator from 9 to 11 each morning' },
    { set: 'rig.inverter.on=never', says: 'Inverter off' },
];
const DEEDS: Readonly<Record<string, readonly Candidate[]>> = {
    fresh: [{ done: 'filled fresh', says: 'Fill fresh water now' }],
    drinking: [{ done: 'filled drinking', says: 'Fetch drinking water now' }],
    grey: [{ done: 'dumped grey', says: 'Dump grey now' }],
    black: [{ done: 'dumped black', says: 'Dump black now' }],
    propane: [{ done: 'filled propane', says: 'Fill propane now' }],
    fuel: [{ done: 'filled fuel', says: 'Refuel now' }],
    rubbish: [{ done: 'dropped rubbish', says: 'Drop rubbish now' }],
    food: [{ done: 'filled food', says: 'Buy food now' }],
};
const MOST = 14;

/** Habits in use are left out, and so is what a household without that activity has nothing to change about. */
export function candidates(supply: string, scenario: Json | null, assumed: ReadonlyMap<string, string>): Candidate[] {
    const found: Candidate[] = [...(DEEDS[supply] ?? []), ...(supply === 'battery' ? POWER : [])];
    for (const activity of ACTIVITIES_OF[supply] ?? []) {
        const now = habitNow(scenario, assumed, activity);
        for (const row of HABITS) if (row.activity === activity && row.id !== now?.id) found.push({ set: `crew.habits.${activity}=${row.id}`, says: row.what });
    }
    if (supply === 'propane') found.push({ set: 'rig.cabin.night=50 F', says: 'Furnace at 50 °F (10 °C) by night' }, { set: 'rig.cabin.day=62 F', says: 'Furnace at 62 °F (17 °C) by day' });
    return found.slice(0, MOST);
}
