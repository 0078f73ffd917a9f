// The map's ground, read once it is wanted: shores and borders of the world, rough to a kilometre or two.
import { readLine, type Line } from './map';

export interface Ground {
    shores: Line[];
    countries: Line[];
    states: Line[];
}

let reading: Promise<Ground> | null = null;
export function ground(): Promise<Ground> {
    reading ??= import('./made/ground').then(({ SHORES, COUNTRIES, STATES }) => ({ shores: SHORES.map(readLine), countries: COUNTRIES.map(readLine), states: STATES.map(readLine) }));
    return reading;
}
