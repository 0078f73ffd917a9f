// Readings on their way. Each is put down on this device before it is sent, and struck off only when the program has answered;
// sent again, it carries the same id, by which the program knows it. So none is lost and none is counted twice.
//
// IndexedDB works on plain http in the camper's own network, where service workers do not. Where it is refused (some private
// windows), the queue lives as long as the page.

import { client, OutOfReach, Refusal, type Entry, type Undo } from './client';

export interface Waiting {
    key: number;
    kind: 'entry' | 'undo';
    body: Entry | Undo;
    /** Sent at least once: the program may have it although no answer came. */
    wasSent: boolean;
    /** The program's sentence where it said no. */
    refusal: string | null;
}

/** 128 bits, made here: randomUUID would need a secure context. */
export function newId(): string {
    return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, '0')).join('');
}

interface Store {
    all(): Promise<Waiting[]>;
    put(one: Waiting): Promise<void>;
    drop(key: number): Promise<void>;
}

class MemoryStore implements Store {
    private rows = new Map<number, Waiting>();
    all = async (): Promise<Waiting[]> => [...this.rows.values()];
    put = async (one: Waiting): Promise<void> => void this.rows.set(one.key, one);
    drop = async (key: number): Promise<void> => void this.rows.delete(key);
}

class DiskStore implements Store {
    constructor(private readonly base: IDBDatabase) {}

    static open(): Promise<DiskStore> {
        return new Promise((done, fail) => {
            const opening = indexedDB.open('leeway', 1);
            opening.onupgradeneeded = () => opening.result.createObjectStore('waiting', { keyPath: 'key' });
            opening.onsuccess = () => done(new DiskStore(opening.result));
            opening.onerror = () => fail(opening.error);
            opening.onblocked = () => fail(new Error('the store is held by an older page'));
        });
    }

    private run<T>(mode: IDBTransactionMode, work: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> {
        return new Promise((done, fail) => {
            const step = this.base.transaction('waiting', mode, { durability: 'strict' });
            const asked = work(step.objectStore('waiting'));
            step.oncomplete = () => done(asked.result);
            step.onabort = step.onerror = () => fail(step.error);
        });
    }

    all = (): Promise<Waiting[]> => this.run('readonly', (store) => store.getAll() as IDBRequest<Waiting[]>);
    put = async (one: Waiting): Promise<void> => void (await this.run('readwrite', (store) => store.put(one)));
    drop = async (key: number): Promise<void> => void (await this.run('readwrite', (store) => store.delete(key)));
}

async function openStore(): Promise<Store> {
    try {
        return await DiskStore.open();
    } catch {
        return new MemoryStore();
    }
}

const RETRY_MS = [2_000, 5_000, 15_000, 30_000];

export class Queue {
    private store: Promise<Store> = openStore();
    private sending: Promise<void> | null = null;
    private retry: ReturnType<typeof setTimeout> | undefined;
    private failures = 0;
    private lastKey = 0;

    /** `changed` gets what waits after each step; `arrived` each answer, with the id it belongs to; `unreached` is told that nobody answered. */
    constructor(
        private readonly changed: (waiting: Waiting[]) => void,
        private readonly arrived: (id: string, says: string[]) => void,
        private readonly unreached: () => void,
    ) {}

    /** Kept on this device when this returns. Order is the order of the keys: milliseconds, made to grow. */
    async add(kind: Waiting['kind'], body: Entry | Undo): Promise<void> {
        this.lastKey = Math.max(Date.now(), this.lastKey + 1);
        await (await this.store).put({ key: this.lastKey, kind, body, wasSent: false, refusal: null });
        await this.tell();
        void this.send();
    }

    /** Takes back: what never left is struck off here; what may have arrived is undone there, behind everything that waits. */
    async takeBack(id: string, device: string): Promise<void> {
        await this.sending;
        const store = await this.store;
        const found = (await store.all()).find((one) => one.body.id === id);
        if (found && (!found.wasSent || found.refusal !== null)) await store.drop(found.key);
        else await this.add('undo', { id: newId(), device, undoes: id });
        await this.tell();
    }

    async drop(key: number): Promise<void> {
        await (await this.store).drop(key);
        await this.tell();
    }

    async tell(): Promise<void> {
        this.changed(await (await this.store).all());
    }

    /** One at a time and in order; stops where nobody answers, and comes again by itself. */
    send(): Promise<void> {
        this.sending ??= this.sendAll().finally(() => (this.sending = null));
        return this.sending;
    }

    private async sendAll(): Promise<void> {
        clearTimeout(this.retry);
        const store = await this.store;
        for (;;) {
            const next = (await store.all()).find((one) => one.refusal === null);
            if (!next) break;
            try {
                await store.put({ ...next, wasSent: true });
                const answer = await this.post(next);
                await store.drop(next.key);
                this.failures = 0;
                this.arrived(next.body.id, answer.says ?? []);
            } catch (problem) {
                if (problem instanceof OutOfReach) this.unreached();
                if (!(problem instanceof Refusal) || problem.status >= 500 || problem.status === 401 || problem.status === 429) {
                    const wait = RETRY_MS[Math.min(this.failures++, RETRY_MS.length - 1)];
                    this.retry = setTimeout(() => void this.send(), wait);
                    break;
                }
                await store.put({ ...next, wasSent: true, refusal: problem.says });
            }
            await this.tell();
        }
        await this.tell();
    }

    private post(one: Waiting): Promise<{ says?: string[] }> {
        if (one.kind === 'undo') return client.undo(one.body as Undo);
        return client.log({ ...(one.body as Entry), sent: new Date().toISOString() });
    }
}
