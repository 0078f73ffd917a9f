import assert from 'node:assert/strict';
import { test } from 'node:test';

import { chartOf, daysWorth, pastWorth, weekdaysOf } from '../../src/chart';
import type { HistoryEntry } from '../../src/client';
import type { Leeway, Outlook, Supply } from '../../src/made/outlook';

const START = Date.parse('2026-06-08T21:00:00Z');
const at = (days: number): string => new Date(START + days * 86_400_000).toISOString();
const quantile = (days: number): Leeway['p10'] => ({ days: Math.min(days, 60), at: at(days), at_civil: null, beyond_horizon: days > 60 });
const leeway = (p10: number, p50: number, p90: number, beyond_frac = 0): Leeway => ({ p10: quantile(p10), p50: quantile(p50), p90: quantile(p90), beyond_frac });
const supply = (word: Supply['supply'], long: Leeway, lasts_frac: number[] = []): Supply => ({
    supply: word, name: word, is_shown: true, end: 'empties', leeway: long, binds_frac: 0, spread_use_frac: null, binding_vessel: null, left: '', ends: '', sentence: '', lasts_frac,
});
const outlook = (supplies: Supply[], departure: string | null = null): Outlook =>
    ({ start: at(0), horizon: at(60), departure, binding: supplies[0]?.supply ?? null, supplies, place: { zone: 'America/Denver' } }) as unknown as Outlook;
const wish = { days: 10, weather: null, workdays: new Set(['Mon', 'Tue']), runs: [] };

test('a line is sure to P10, even at P50, and falls all the way', () => {
    const line = chartOf(outlook([supply('grey', leeway(2, 3, 5), [1, 0.9, 0.5, 0.2, 0.1, 0.04, 0])]), wish).lines[0];
    assert.equal(line?.sure, 0.2);
    assert.equal(line?.even, 0.3);
    const fade = line?.fade ?? [];
    assert.ok(fade.length > 3, JSON.stringify(fade));
    for (let i = 1; i < fade.length; i++) assert.ok((fade[i]?.at ?? 0) > (fade[i - 1]?.at ?? 0) && (fade[i]?.chance ?? 1) < (fade[i - 1]?.chance ?? 0), JSON.stringify(fade));
    assert.equal(line?.goesOn, false);
});

test('what lasts beyond the horizon is sure to the end of the axis and goes on', () => {
    const line = chartOf(outlook([supply('battery', leeway(90, 90, 90, 1))]), wish).lines[0];
    assert.deepEqual([line?.sure, line?.even, line?.fade.length, line?.goesOn], [1, null, 0, true]);
});

test('an end that is known for sure has no wedge', () => assert.deepEqual(chartOf(outlook([supply('stay', leeway(9, 9, 9))]), wish).lines[0]?.fade, []));

test('days fill the axis without a gap, and work days are the named ones', () => {
    const { days } = chartOf(outlook([]), wish);
    assert.equal(days[0]?.from, 0);
    assert.equal(days[days.length - 1]?.to, 1);
    days.slice(1).forEach((day, i) => assert.equal(day.from, days[i]?.to));
    assert.deepEqual(days.filter((day) => day.isWork).map((day) => day.name), ['Mon', 'Tue', 'Mon', 'Tue']);
});

test('the stay limit, the wished departure and runs stand where their times are', () => {
    const chart = chartOf(outlook([supply('stay', leeway(9, 9, 9))], at(8)), { ...wish, runs: [{ by: at(2.5), says: 'run' }, { by: at(30), says: 'later' }] });
    assert.deepEqual(chart.marks.map(({ kind, at: where }) => [kind, Math.round(where * 100) / 100]), [['run', 0.25], ['limit', 0.9], ['leave', 0.8]]);
});

test('as many days are shown as the departure asks for, never more than were computed', () => {
    assert.equal(daysWorth(outlook([supply('grey', leeway(1, 2, 3))], at(13.4)), 21), 15);
    assert.equal(daysWorth(outlook([supply('grey', leeway(1, 2, 3))]), 21), 6);
    assert.equal(daysWorth(outlook([], at(58)), 200), 59);
});

test('weekdays are read from hours as a scenario writes them', () => {
    const read = (hours: string): string => [...weekdaysOf(hours)].join(' ');
    assert.equal(read('Mon-Thu 10:00-18:00'), 'Mon Tue Wed Thu');
    assert.equal(read('Mon 9:00-11:00, Sat 9:00-12:00'), 'Mon Sat');
    assert.equal(read('Fri-Mon 8:00-9:00'), 'Fri Sat Sun Mon');
    assert.equal(read('8:00-16:00'), 'Mon Tue Wed Thu Fri Sat Sun');
    assert.equal(read('never'), '');
});

const entry = (days: number, kind: string, target: string, low: number | null, unit: string | null, is_undone = false): HistoryEntry =>
    ({ id: '0', at: at(days), at_civil: '', kind, target, low, high: low, unit, said: '', understood: '', is_undone });

test('past days stand left of now, with readings as shares and what was foreseen', () => {
    const of = { ...outlook([supply('grey', leeway(2, 3, 5))]), vessels: [{ supply: 'grey', name: 'grey', owner: null, capacity_l: 100 }] } as unknown as Outlook;
    const past = {
        entries: [entry(-1, 'reading', 'grey/grey', 25, 'l'), entry(-0.5, 'dumped', 'grey/grey', null, null), entry(-0.25, 'reading', 'fresh/main', 10, 'l'), entry(-0.1, 'reading', 'grey/grey', 90, 'l', true)],
        foreseen: { schema: 'leeway.foreseen/1' as const, at: [at(-2), at(0)], supplies: { grey: { low_frac: [0.1, null], middle_frac: [0.2, null], high_frac: [0.3, null] } } },
    };
    assert.equal(pastWorth(of, past, 10), 2);
    assert.equal(pastWorth(of, past, 5), 1);
    assert.equal(pastWorth(of, null, 10), 0);
    const chart = chartOf(of, { ...wish, days: 8, past, past_days: 2 }), line = chart.lines[0];
    assert.equal(chart.now, 0.2);
    assert.equal(line?.sure, 0.4);
    assert.deepEqual(line?.readings, [{ at: 0.1, low: 0.25, high: 0.25 }]);
    assert.deepEqual(line?.deeds.map((one) => one.at), [0.15]);
    assert.deepEqual(line?.was, [{ at: 0, low: 0.1, middle: 0.2, high: 0.3 }]);
    assert.equal(chart.marks[0]?.kind, 'now');
});
