// What this device remembers of how it shows things. The book holds units and clock (client.ts); look is the device's own.

export type Units = 'us' | 'si';
export type Clock = '12' | '24';
export type Look = 'auto' | 'paper' | 'night' | 'sun';

export const LOOKS: readonly { id: Look; says: string }[] = [
    { id: 'auto', says: 'As this device' },
    { id: 'paper', says: 'Paper' },
    { id: 'night', says: 'Night' },
    { id: 'sun', says: 'Sunlight' },
];

/** Private windows and full disks refuse storage: then things are remembered until the page closes. */
const memory = new Map<string, string>();

export function remember(key: string, value: string): void {
    memory.set(key, value);
    try {
        localStorage.setItem(`leeway.${key}`, value);
    } catch {
        /* kept in memory */
    }
}

export function recall(key: string): string | null {
    try {
        return localStorage.getItem(`leeway.${key}`) ?? memory.get(key) ?? null;
    } catch {
        return memory.get(key) ?? null;
    }
}

export function forget(key: string): void {
    memory.delete(key);
    try {
        localStorage.removeItem(`leeway.${key}`);
    } catch {
        /* nothing was kept */
    }
}

export function lookNow(): Look {
    const look = recall('look');
    return LOOKS.find((one) => one.id === look)?.id ?? 'auto';
}

export function wear(look: Look): void {
    remember('look', look);
    if (look === 'auto') delete document.documentElement.dataset.look;
    else document.documentElement.dataset.look = look;
}

/** The name under which this device's readings are kept. */
export function deviceName(): string {
    return recall('device') ?? (matchMedia('(pointer: coarse)').matches ? 'phone' : 'laptop');
}
