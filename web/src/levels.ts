// What was in everything when a stay ended, as shares of what it holds: the next stay may begin with that. Kept on this device.

import { camp } from './camp.svelte';
import { recall, remember } from './settings';

const now = (): Record<string, string> =>
    Object.fromEntries(Object.entries(camp.known?.outlook?.marks.level_frac ?? {}).flatMap(([supply, frac]) => (typeof frac[0] === 'number' ? [[supply, `${Math.round(100 * frac[0])} %`]] : [])));

export const keepLevels = (): void => remember('levels', JSON.stringify({ place: camp.known?.state.stay?.place ?? '', levels: now() }));

/** Of the stay that goes on, or of the last where this device saw it end; null: not known here. */
export function levels(): Record<string, string> | null {
    if (camp.known?.outlook) return now();
    try {
        const kept = JSON.parse(recall('levels') ?? 'null') as { place: string; levels: Record<string, string> } | null;
        return kept && kept.place === camp.known?.left?.stay.place ? kept.levels : null;
    } catch {
        return null;
    }
}
