// The copy for the road: one HTML file that holds the page and what it knows now (docs/use/page.md describes its data).

import { camp } from './camp.svelte';

export const CARRIED = 'leeway.carry/1';

/** Data inside a script element: the only text that could end it is a closing tag or a comment's beginning. */
const inScript = (data: unknown): string => JSON.stringify(data).replace(/</g, '\\u003c');

/** Null when it was saved, else why not. */
export async function carryAway(): Promise<string | null> {
    const known = camp.known;
    if (!known?.outlook) return 'There is no plan to carry yet.';
    let shell: string;
    try {
        const answer = await fetch('/carry.html', { cache: 'no-store' });
        if (!answer.ok) return 'This build of the program has no page to carry.';
        shell = await answer.text();
    } catch {
        return 'The camper does not answer; the copy has to come from there.';
    }
    const { at_ms, ...rest } = known;
    const data = { schema: CARRIED, made: new Date(at_ms).toISOString(), ...rest };
    const filled = shell.replace(/(<script type="application\/json" id="carried">)[^<]*(<\/script>)/, (_, open: string, close: string) => open + inScript(data) + close);
    const place = known.outlook.place.name ?? 'camp';
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([filled], { type: 'text/html' }));
    link.download = `${place.toLowerCase().replace(/[^a-z0-9]+/g, '-')}-${known.state.now.slice(0, 10)}.html`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
    return null;
}
