// What the page asks of places; the other half of client.ts, fetched with the views that need it.
import { ask } from './client';
import type { Pick } from './made/pick';

export interface PlacesWish {
    name?: string;
    from?: string;
    until?: string;
}

function query(wish: object): string {
    const text = new URLSearchParams(Object.entries(wish).filter(([, value]) => value !== undefined && value !== null && value !== '').map(([key, value]) => [key, String(value)])).toString();
    return text ? `?${text}` : '';
}

export const places = {
    list: (wish: PlacesWish = {}, signal?: AbortSignal): Promise<Pick> => ask('GET', `places${query(wish)}`, undefined, signal),
};
