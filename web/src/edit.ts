// Changes to the running stay.

import { camp } from './camp.svelte';
import { client } from './client';
import { readScenario, withChanges } from './edit-text';

/** The running stay, described anew: its readings stay with it, because it begins when it began. */
export async function keepChanges(changes: Iterable<readonly [string, string]>): Promise<void> {
    const { text, state } = camp.known ?? { text: null, state: null };
    const all = new Map(changes), civil = (moment: string): string => moment.slice(0, 16).replace('T', ' ');
    const said = readScenario(text ?? '')?.stay;
    if (state?.stay && !(typeof said === 'object' && said !== null && 'arrive' in said)) {
        all.set('stay.arrive', civil(state.stay.from));
        if (state.stay.until && !all.has('stay.leave')) all.set('stay.leave', civil(state.stay.until));
    }
    await client.begin(withChanges(text ?? '', all));
}
