// The parts of the plan, as they stand in its row of links and in the address.

export const PARTS: readonly { what: string; says: string }[] = [
    { what: '', says: 'Days' },
    { what: 'bring', says: 'Bring' },
    { what: 'buy', says: 'Buy' },
    { what: 'cost', says: 'Cost' },
    { what: 'months', says: 'Months' },
    { what: 'convoy', says: 'Convoy' },
    { what: 'trip', says: 'Where next' },
    { what: 'around', says: 'Around' },
];

/** USD as people say it: whole from ten on. */
export const usd = (value: number | null | undefined): string => (value === null || value === undefined ? '–' : `${Math.abs(value) >= 9.995 ? Math.round(value) : value.toFixed(2)} USD`);

/** A query of what is not empty. */
export function query(name: string, wish: Readonly<Record<string, string | readonly string[]>>): string {
    const made = new URLSearchParams();
    for (const [key, value] of Object.entries(wish)) for (const one of typeof value === 'string' ? [value] : value) if (one.trim()) made.append(key, one.trim());
    const text = made.toString();
    return text ? `${name}?${text}` : name;
}
