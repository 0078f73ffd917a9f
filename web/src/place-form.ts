// What a place's form holds as text, as the reader types it, and the changes that it asks for.
import type { Place } from './made/place';
import { figures } from './quantities';
import type { Units } from './settings';

export interface Fields {
    manager: string;
    stay_rule: string;
    fee: string;
    water: string;
    services: string;
    rigs: string;
    length: string;
    'road.surface': string;
    'road.clearance': string;
    'road.grade': string;
    'road.distance': string;
    'road.season': string;
    'road.dry_only': string;
    quiet: string;
    outdoor_water: string;
    'rules.unattended': string;
    'rules.food_storage': string;
    'rules.fire': string;
    'rules.office': string;
    confirmed: string;
    confirmed_by: string;
    recommended_by: string;
    notes: string;
}

const length = (value_m: number | null, units: Units): string => (value_m === null ? '' : units === 'us' ? `${figures(value_m / 0.3048)} ft` : `${figures(value_m)} m`);
const way = (value_m: number | null, units: Units): string => (value_m === null ? '' : units === 'us' ? `${figures(value_m / 1609.344)} mi` : `${figures(value_m / 1000)} km`);

/** As it stands in the book; all empty of a new one. */
export function fieldsOf(place: Place | null, units: Units): Fields {
    const about = place?.about, rules = place?.rules, known = (text: string | undefined, none: string): string => (text === undefined || text === none ? '' : text);
    return {
        manager: place?.manager ?? '',
        stay_rule: '',
        fee: about?.fee_usd === null || about?.fee_usd === undefined ? '' : `${about.fee_usd} USD`,
        water: known(about?.water, 'unknown'),
        services: about?.services.join(', ') ?? '',
        rigs: about?.rigs ? String(about.rigs) : '',
        length: length(about?.length_m ?? null, units),
        'road.surface': about?.road.surface ?? '',
        'road.clearance': known(about?.road.clearance, 'any'),
        'road.grade': about?.road.grade_frac === null || about?.road.grade_frac === undefined ? '' : `${figures(about.road.grade_frac * 100)} %`,
        'road.distance': way(about?.road.distance_m ?? null, units),
        'road.season': about?.road.season ?? '',
        'road.dry_only': about?.road.is_dry_only ? 'yes' : '',
        quiet: rules?.quiet ?? '',
        outdoor_water: known(rules?.outdoor_water, 'unknown'),
        'rules.unattended': rules?.unattended_s ? `${figures(rules.unattended_s / 86_400)} days` : '',
        'rules.food_storage': known(rules?.food_storage, 'unknown'),
        'rules.fire': known(rules?.fire, 'ask'),
        'rules.office': rules?.office ?? '',
        confirmed: about?.confirmed ?? '',
        confirmed_by: about?.confirmed_by ?? '',
        recommended_by: about?.recommended_by ?? '',
        notes: about?.notes ?? '',
    };
}

/** KEY=VALUE of what is new; KEY= takes out what was there. */
export function changesOf(before: Fields, after: Fields): string[] {
    return (Object.keys(after) as (keyof Fields)[]).filter((key) => after[key].trim() !== before[key].trim()).map((key) => `${key}=${after[key].trim().replace(/\s+/g, ' ')}`);
}

/** "38.2", "38.2 N", "111.1 W", "-111.1"; null: it is none. */
export function degreesOf(text: string, most: number): number | null {
    const found = /^\s*([-+]?\d{1,3}(?:[.,]\d+)?)\s*°?\s*([NSEWnsew])?\s*$/.exec(text);
    if (!found?.[1]) return null;
    const value = Number.parseFloat(found[1].replace(',', '.')) * (found[2] && 'SWsw'.includes(found[2]) ? -1 : 1);
    return Math.abs(value) <= most ? value : null;
}
