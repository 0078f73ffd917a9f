// Changes to the running stay.

import { camp } from './camp.svelte';
import { client } from './client';
import { withChanges } from './edit-text';

/** The running stay, described anew: its readings stay with it. */
export async function keepChanges(changes: Iterable<readonly [string, string]>): Promise<void> {
    await client.begin(withChanges(camp.known?.text ?? '', changes));
}
