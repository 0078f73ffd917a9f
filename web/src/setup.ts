// The answers of the first questions, and the scenario they make. What is not known is left out: the program takes it from
// its tables and says so.

import type { Json, JsonValue } from './client';
import { regionOf } from './regions';
import { measured, type Labels } from './wrong';
import { civil } from './zone';

export interface Answers {
    kind: string;
    fresh: string;
    grey: string;
    black: string;
    battery: string;
    chemistry: string;
    solar: string;
    propane: string;
    adults: number;
    teens: number;
    children: number;
    dogs: number;
    workers: number;
    workdays: string;
    hours: string;
    place: string;
    latitude: string;
    longitude: string;
    elevation: string;
    zone: string;
    arrive: string;
    leave: string;
    rule: string;
}

export const NOTHING: Answers = {
    kind: '', fresh: '', grey: '', black: '', battery: '', chemistry: '', solar: '', propane: '', adults: 2, teens: 0, children: 0, dogs: 0, workers: 0, workdays: 'Mon-Fri', hours: '8:00-16:00',
    place: '', latitude: '', longitude: '', elevation: '', zone: '', arrive: '', leave: '', rule: '',
};

/** Questions by the key that their answer stands under. */
export const ASKED: Labels = {
    'rig.tanks.fresh': 'Fresh water', 'rig.tanks.grey': 'Grey water', 'rig.tanks.black': 'Black water', 'rig.propane': 'Propane', 'rig.battery.capacity': 'Battery', 'rig.solar': 'Panels',
    place: 'Where', 'place.name': 'Name of the place', 'place.latitude': 'Latitude', 'place.longitude': 'Longitude', 'place.elevation': 'Height above the sea', 'stay.arrive': 'Arrived', 'stay.leave': 'Leaving', work: 'Work, from and to',
};

const dropEmpty = (map: Record<string, JsonValue | undefined>): Json => Object.fromEntries(Object.entries(map).filter((pair): pair is [string, JsonValue] => pair[1] !== undefined && pair[1] !== ''));

/** "2026-06-08T15:00" as inputs of the browser write it. */
const typed = (text: string): string => text.replace('T', ' ');

export function people(answers: Answers): JsonValue[] {
    const list: Json[] = [];
    const add = (kind: string, count: number): void => {
        for (let i = 1; i <= count; i++) list.push({ name: count > 1 ? `${kind} ${i}` : kind, kind });
    };
    add('adult', answers.adults);
    add('teen', answers.teens);
    add('child', answers.children);
    add('dog', answers.dogs);
    list.slice(0, Math.min(answers.workers, answers.adults)).forEach((one) => (one.work = `${answers.workdays} ${answers.hours}`));
    return list;
}

/** Where nobody said a place, a region by the device's clock stands for it, with its name. */
export function somewhere(answers: Answers, now_ms: number): Answers {
    if (answers.latitude.trim() || answers.longitude.trim()) return answers;
    const { says, latitude, longitude, elevation, zone } = regionOf(answers.zone, now_ms);
    return { ...answers, place: answers.place || says, latitude, longitude, elevation: answers.elevation || elevation, zone };
}

export const placeOf = (answers: Answers, length: 'ft' | 'm'): Json =>
    dropEmpty({ name: answers.place || 'our camp', latitude: answers.latitude, longitude: answers.longitude, elevation: measured(answers.elevation, length), zone: answers.zone, stay_rule: answers.rule });

/** Without an arrival it is now, by the clock of the place. */
export function stayOf(answers: Answers, now_ms: number): Json {
    const now = civil(now_ms, answers.zone || Intl.DateTimeFormat().resolvedOptions().timeZone), two = (value: number): string => String(value).padStart(2, '0');
    return dropEmpty({ arrive: typed(answers.arrive) || `${now.year}-${two(now.month)}-${two(now.day)} ${two(now.hour)}:${two(now.minute)}`, leave: typed(answers.leave) });
}

export function scenarioOf(answers: Answers, unit: 'gal' | 'L', gas: 'lb' | 'kg', now_ms: number): Json {
    const tanks = dropEmpty({ fresh: measured(answers.fresh, unit), grey: measured(answers.grey, unit), black: measured(answers.black, unit) });
    const battery = dropEmpty({ chemistry: answers.chemistry, capacity: measured(answers.battery, 'Ah') });
    return {
        leeway: 1,
        rig: dropEmpty({
            kind: answers.kind,
            tanks: Object.keys(tanks).length ? tanks : undefined,
            propane: measured(answers.propane, gas),
            battery: Object.keys(battery).length ? battery : undefined,
            solar: measured(answers.solar, 'W'),
        }),
        crew: { people: people(answers) },
        place: placeOf(answers, unit === 'gal' ? 'ft' : 'm'),
        stay: stayOf(answers, now_ms),
    };
}
