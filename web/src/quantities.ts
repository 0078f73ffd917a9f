// The one place where a quantity becomes text. Numbers come in SI with their unit in the key (l, wh, kg, gb, person_days);
// people read the units of their setting. Factors: NIST Handbook 44, appendix C.

import type { Units } from './settings';

export type SupplyUnit = 'l' | 'wh' | 'kg' | 'gb' | 'person_days' | 'days';

const L_PER_GAL = 3.785411784;
const KG_PER_LB = 0.45359237;
const M_PER_FT = 0.3048;

/** Three figures, no needless zeros: 0.725, 4.21, 17.1, 109. */
export function figures(value: number): string {
    const size = Math.abs(value);
    const digits = size >= 99.95 ? 0 : size >= 9.995 ? 1 : 2;
    return String(Number(value.toFixed(digits)));
}

export function amount(value: number, unit: string, units: Units): string {
    if (unit === 'l') return units === 'us' ? `${figures(value / L_PER_GAL)} gal` : `${figures(value)} L`;
    if (unit === 'kg') return units === 'us' ? `${figures(value / KG_PER_LB)} lb` : `${figures(value)} kg`;
    if (unit === 'wh') return `${figures(value / 1000)} kWh`;
    if (unit === 'gb') return `${figures(value)} GB`;
    if (unit === 'person_days') return `${figures(value)} person-days`;
    return `${figures(value)} ${unit}`;
}

/** What one of the reader's units is in SI, and how many decimals a person would say of it. */
export function scaleOf(unit: string, units: Units): { per: number; digits: number } {
    if (unit === 'l') return units === 'us' ? { per: L_PER_GAL, digits: 1 } : { per: 1, digits: 0 };
    if (unit === 'kg') return units === 'us' ? { per: KG_PER_LB, digits: 0 } : { per: 1, digits: 1 };
    return { per: unit === 'wh' ? 1000 : 1, digits: 0 };
}

export const money = (value: number, currency: string): string => `${value.toFixed(2)} ${currency}`;

export const temperature = (value_c: number, units: Units): string => `${Math.round(units === 'us' ? value_c * 1.8 + 32 : value_c)}°`;
export const temperatureUnit = (units: Units): string => (units === 'us' ? 'F' : 'C');
export const speed = (value_ms: number, units: Units): string => (units === 'us' ? `${Math.round(value_ms / 0.44704)} mph` : `${Math.round(value_ms * 3.6)} km/h`);
export const rain = (value_mm: number, units: Units): string => (units === 'us' ? `${figures(value_mm / 25.4)} in` : `${figures(value_mm)} mm`);
export const height = (value_m: number, units: Units): string => (units === 'us' ? `${Math.round(value_m / M_PER_FT)} ft` : `${Math.round(value_m)} m`);

/** 2.4 days; under two days in hours, because "0.3 days" tells nobody anything. */
export function days(value: number): string {
    if (Math.abs(value) >= 2) return `${figures(Math.round(value * 10) / 10)} days`;
    const hours = Math.round(value * 24);
    return `${hours} ${Math.abs(hours) === 1 ? 'hour' : 'hours'}`;
}

export const percent = (frac: number): string => `${Math.round(frac * 100)} %`;

type Keyed = object;
const SUFFIXES: readonly SupplyUnit[] = ['l', 'wh', 'kg', 'gb', 'person_days'];

/** The value of a key that ends in its unit: pick(supply, 'level_', '') finds level_l. Null where there is none. */
export function pick(from: Keyed, before: string, after = ''): { value: number; unit: SupplyUnit } | null {
    const row = from as Record<string, unknown>;
    for (const unit of SUFFIXES) {
        const value = row[`${before}${unit}${after}`];
        if (typeof value === 'number') return { value, unit };
    }
    return null;
}
