// Windows of the generator on named dates, as the scenario's stay.generator holds them. Pure.

import type { Json } from './client';
import { momentOf, written } from './errands';
import type { Generator } from './made/generator';
import { at, isMap } from './scenario';

export interface Span {
    from_ms: number;
    to_ms: number;
}

/** Those that are kept and not over yet. */
export function windowsOf(scenario: Json | null, now_ms: number, zone: string): Span[] {
    const found = at(scenario, 'stay.generator'), list = Array.isArray(found) ? found : [];
    return list
        .flatMap((one) => (isMap(one) ? [{ from_ms: momentOf(String(one.from), zone), to_ms: momentOf(String(one.until), zone) }] : []))
        .filter((one) => one.to_ms > now_ms);
}

export const spansOf = (plan: Generator): Span[] => plan.windows.map((one) => ({ from_ms: Date.parse(one.from ?? ''), to_ms: Date.parse(one.until ?? '') }));

/** As the scenario's list. */
export const listOf = (spans: readonly Span[], zone: string): Json[] => spans.map((one) => ({ from: written(one.from_ms, zone), until: written(one.to_ms, zone) }));
