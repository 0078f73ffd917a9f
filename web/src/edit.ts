// Changes to the running stay.

import { camp } from './camp.svelte';
import { client, type JsonValue } from './client';
import { readScenario, withChanges, withList } from './edit-text';

/** The running stay, described anew: its readings stay with it, because it begins when it began. */
async function describe(text: string, changes: Iterable<readonly [string, string]>): Promise<void> {
    const state = camp.known?.state;
    const all = new Map(changes), civil = (moment: string): string => moment.slice(0, 16).replace('T', ' ');
    const said = readScenario(text)?.stay;
    if (state?.stay && !(typeof said === 'object' && said !== null && 'arrive' in said)) {
        all.set('stay.arrive', civil(state.stay.from));
        if (state.stay.until && !all.has('stay.leave')) all.set('stay.leave', civil(state.stay.until));
    }
    await client.begin(withChanges(text, all));
}

export const keepChanges = (changes: Iterable<readonly [string, string]>): Promise<void> => describe(camp.known?.text ?? '', changes);
export const keepEvents = (events: readonly JsonValue[]): Promise<void> => describe(withList(camp.known?.text ?? '', 'events', events), []);
export const keepWindows = (windows: readonly JsonValue[]): Promise<void> => describe(withList(camp.known?.text ?? '', 'generator', windows), []);
