import type { Today } from './made/today';

type Row = Today['allowance'][number];

/** Tightest first: the share of its use that a supply may keep. */
export function tightest(rows: readonly Row[]): (Row & { share: number })[] {
    return rows
        .filter((row) => row.per_day !== null && row.use_per_day)
        .map((row) => ({ ...row, share: (row.per_day ?? 0) / (row.use_per_day || 1) }))
        .sort((a, b) => a.share - b.share);
}
