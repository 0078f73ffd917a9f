// What the page knows of the camp right now, and how it learns of changes. Views read `camp` and call its functions.

import { client, OutOfReach, Refusal, type Gauges, type Json, type Left, type State, type Weather } from './client';
import type { Outlook } from './made/outlook';
import type { Today } from './made/today';
import type { Past } from './past';
import { newId, Queue, type Waiting } from './queue';
import { inWords, sentence, type Labels } from './wrong';
import { deviceName, forget, recall, remember, type Clock, type Units } from './settings';

interface Known {
    at_ms: number;
    state: State;
    outlook: Outlook | null;
    today: Today | null;
    weather: Weather | null;
    /** The stay's scenario as it was typed, and read. */
    text: string | null;
    scenario: Json | null;
    gauges: Gauges | null;
    /** The last days: what was logged, and what was foreseen of them. */
    past: Past | null;
    /** Where no stay goes on: the last one. */
    left: Left | null;
}

export interface Kept {
    id: string;
    says: string[];
    isUndone: boolean;
}

class Camp {
    /** Replaced as a whole, never changed: an outlook is a hundred kilobytes, and watching each number of it would cost more than drawing it. */
    known = $state.raw<Known | null>(null);
    /** Nobody answered the last question: what is shown is old. */
    isAway = $state(false);
    isAsking = $state(false);
    /** This device has to be paired first. */
    isStranger = $state(false);
    /** The program's sentence where it cannot answer. */
    refusal = $state<string | null>(null);
    /** The camper's clock was wrong and goes by this device now. */
    isClockSet = $state(false);
    waiting = $state.raw<Waiting[]>([]);
    /** The last thing kept from this device, for its undo. */
    kept = $state<Kept | null>(null);
}
export const camp = new Camp();

/** A copy made for the road shows what it carries and asks nobody. */
export function isCarried(): boolean {
    return document.getElementById('carried') !== null;
}

const queue = new Queue(
    (waiting) => (camp.waiting = waiting),
    (id, says) => {
        if (camp.kept?.id === id) camp.kept.says = says;
        void refresh();
    },
    // Said at once: the next look at how things stand may be a minute away.
    () => (camp.isAway = true),
);

let again = false;
/** What is being asked now; a change of the book breaks it off, since its answers would be of a book that is no more. */
let asking: { over: Promise<void>; stop: AbortController } | null = null;

/** Asks how things stand; all of it only where something changed. */
export async function refresh(isWanted = false): Promise<void> {
    if (isCarried()) return;
    if (camp.isAsking) {
        again = true;
        return;
    }
    camp.isAsking = true;
    const stop = new AbortController();
    const work = askHow(isWanted, stop.signal);
    asking = { over: work, stop };
    await work;
    if (again && !stop.signal.aborted) {
        again = false;
        await refresh();
    }
}

async function askHow(isWanted: boolean, signal: AbortSignal): Promise<void> {
    try {
        let state = await client.state();
        if (state.is_clock_doubted) {
            state = await client.clock(new Date().toISOString());
            camp.isClockSet = true;
        }
        camp.isAway = camp.isStranger = false;
        if (isWanted || !camp.known || !isSame(state, camp.known.state) || !(camp.known.outlook || camp.known.left)) await ask(state, signal);
        else camp.known = { ...camp.known, at_ms: Date.now(), state };
        camp.refusal = null;
    } catch (problem) {
        if (signal.aborted) return;
        if (problem instanceof Refusal && problem.status === 401) camp.isStranger = true;
        else if (problem instanceof Refusal) camp.refusal = sentence(problem.says);
        else if (problem instanceof OutOfReach) camp.isAway = true;
        else throw problem;
    } finally {
        camp.isAsking = false;
        asking = null;
    }
}

/** An hour later the same book has another outlook. */
function isSame(one: State, other: State): boolean {
    return one.changes === other.changes && one.book === other.book && one.units === other.units && one.clock === other.clock && one.now.slice(0, 13) === other.now.slice(0, 13);
}

const PAST_DAYS = 7;

/** Draws of a first answer: a fraction of a second even on a small board. The full one follows it. */
const QUICK_DRAWS = 64;

async function ask(state: State, signal: AbortSignal): Promise<void> {
    if (state.book === 'empty') {
        keepKnown({ ...nothing(state), at_ms: Date.now() });
        return;
    }
    if (!state.stay) {
        const left = await client.left();
        keepKnown({ ...nothing(state), at_ms: Date.now(), left, text: left?.scenario ?? null });
        return;
    }
    const learn = (more: Partial<Known>): void => keepKnown({ ...nothing(state), ...camp.known, ...more, left: null, at_ms: Date.now(), state });
    if (!camp.known?.outlook || camp.known.state.book !== state.book) {
        camp.known = { ...nothing(state), at_ms: Date.now() };
        try {
            learn({ outlook: await client.outlook({ draws: QUICK_DRAWS }, signal) });
        } catch (problem) {
            // What was said is there all the same: to be put right, or for the next stay.
            if (problem instanceof Refusal && problem.status !== 401) learn({ text: await client.scenario() });
            throw problem;
        }
    }
    signal.throwIfAborted();
    const [text, gauges, weather] = await Promise.all([client.scenario(), client.gauges(), client.weather()]);
    learn({ text, gauges, weather, ...(text === camp.known?.text ? {} : { scenario: null }) });
    if (text !== null && !camp.known?.scenario) {
        // The reader of YAML is fetched behind the first view: only work days and habits need it.
        const { readScenario } = await import('./edit-text');
        learn({ scenario: readScenario(text) });
    }
    const outlook = await client.outlook({}, signal);
    learn({ outlook });
    signal.throwIfAborted();
    const [lately, foreseen] = await Promise.all([client.lately(PAST_DAYS), client.foreseen(PAST_DAYS)]);
    learn({ past: { entries: lately?.entries ?? [], foreseen } });
    learn({ today: await client.today(signal) });
}

const nothing = (state: State): Known => ({ at_ms: 0, state, outlook: null, today: null, weather: null, text: null, scenario: null, gauges: null, past: null, left: null });

/** Put down for the next visit once it is on the screen: writing it takes as long as drawing it. */
let unwritten: number | null = null;
function keepKnown(known: Known): void {
    camp.known = known;
    unwritten ??= window.setTimeout(writeKnown, 100);
}

/** The flows are the largest part and nobody looks at them here. */
function writeKnown(): void {
    if (unwritten === null) return;
    clearTimeout(unwritten);
    unwritten = null;
    if (!camp.known) return;
    const { outlook, ...rest } = camp.known;
    remember('known', JSON.stringify({ ...rest, outlook: outlook && { ...outlook, flows: undefined } }));
}

function recallKnown(): void {
    const text = recall('known');
    if (!text) return;
    try {
        camp.known = JSON.parse(text) as Known;
    } catch {
        forget('known');
    }
}

const LOOK_AGAIN_MS = 60_000;

export function begin(): void {
    const carried = document.getElementById('carried');
    if (carried) {
        const held = JSON.parse(carried.textContent || 'null') as (Known & { made: string }) | null;
        if (held) camp.known = { ...held, at_ms: Date.parse(held.made) };
        return;
    }
    recallKnown();
    const look = (): void => {
        if (document.visibilityState !== 'visible') return;
        void refresh();
        void queue.send();
    };
    addEventListener('pagehide', writeKnown);
    void queue.tell();
    look();
    document.addEventListener('visibilitychange', look);
    addEventListener('online', look);
    setInterval(look, LOOK_AGAIN_MS);
}

/** Keeps readings or events, here at once and in the book as soon as it answers. */
export async function keepWords(words: string[]): Promise<void> {
    const id = newId();
    const now = new Date().toISOString();
    // An event is one line of words, readings are a list.
    camp.kept = { id, says: words.some((word) => word.includes('=')) ? words : [words.join(' ')], isUndone: false };
    await queue.add('entry', { id, device: deviceName(), at: now, sent: now, words });
}

export async function undoKept(): Promise<void> {
    if (!camp.kept || camp.kept.isUndone) return;
    camp.kept.isUndone = true;
    await queue.takeBack(camp.kept.id, deviceName());
}

export const dropWaiting = (key: number): Promise<void> => queue.drop(key);

/** Something that changes the book: does it, then looks again. The refusal's sentence comes back, null where all went well. */
export async function change(work: () => Promise<unknown>, labels: Labels = {}): Promise<string | null> {
    asking?.stop.abort();
    await asking?.over;
    try {
        await work();
    } catch (problem) {
        void refresh(true); // what was broken off
        if (problem instanceof Refusal) return inWords(problem, labels);
        if (problem instanceof OutOfReach) return problem.message;
        throw problem;
    }
    await refresh(true);
    return null;
}

export const units = (): Units => camp.known?.state.units ?? 'us';
export const clock = (): Clock => camp.known?.state.clock ?? '24';
export const zone = (): string => camp.known?.outlook?.place.zone ?? camp.known?.state.zone ?? 'UTC';
