// What another view asks the plan of errands to begin with.

export interface Ahead {
    /** Where to, as an errand names it. */
    why: string;
}
export const ahead = $state<{ run: Ahead | null }>({ run: null });

const WINDS = ['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW'] as const;
/** Of degrees from north, clockwise. */
export const windOf = (deg: number): string => WINDS[Math.round(deg / 45) % 8] ?? '';

/** "37.712 N, 113.02 W": some hundred metres; as it is said to a person. */
export const spotOf = (latitude_deg: number, longitude_deg: number): string => {
    const part = (deg: number, plus: string, minus: string): string => `${Number(Math.abs(deg).toFixed(3))} ${deg < 0 ? minus : plus}`;
    return `${part(latitude_deg, 'N', 'S')}, ${part(longitude_deg, 'E', 'W')}`;
};
