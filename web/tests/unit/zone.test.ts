import assert from 'node:assert/strict';
import { test } from 'node:test';

import { dayBegin, isoDate, midnights, time, weekday } from '../../src/zone';

const DENVER = 'America/Denver';
const hours = (from: string, to: string): number[] => {
    const edges = midnights(Date.parse(from), Date.parse(to), DENVER);
    return edges.slice(1).map((edge, i) => (edge - (edges[i] ?? 0)) / 3_600_000);
};

// tz database, US rules from 2007 on: clocks go forward on the second Sunday of March, back on the first of November;
// in 2026 on 8 March and 1 November.
test('the day that clocks go forward has 23 hours', () => assert.deepEqual(hours('2026-03-07T00:00:00-07:00', '2026-03-10T01:00:00-06:00'), [23, 24]));
test('the day that clocks go back has 25 hours', () => assert.deepEqual(hours('2026-10-31T00:00:00-06:00', '2026-11-03T01:00:00-07:00'), [25, 24]));

test('midnight is found from any hour of a day with a change', () => {
    for (const [day, begin] of [['2026-03-08', '2026-03-08T07:00:00Z'], ['2026-11-01', '2026-11-01T06:00:00Z']] as const)
        for (let hour = 0; hour < 23; hour++) {
            const at = Date.parse(begin) + hour * 3_600_000 + 17 * 60_000;
            assert.equal(dayBegin(at, DENVER), Date.parse(begin), `${day}, ${hour} h in`);
        }
});

test('half an hour of a zone counts', () => assert.equal(new Date(dayBegin(Date.parse('2026-06-08T12:00:00Z'), 'Asia/Kolkata')).toISOString(), '2026-06-07T18:30:00.000Z'));

test('times are written as the program writes them', () => {
    const at = Date.parse('2026-06-10T12:12:39Z'); // Wed 10 Jun 06:13 in the program's own answer
    assert.equal(time(at, DENVER, '24'), '06:13');
    assert.equal(time(at, DENVER, '12'), '6:13 am');
    assert.equal(time(Date.parse('2026-06-10T06:00:00Z'), DENVER, '12'), '12:00 am');
    assert.equal(weekday(at, DENVER), 'Wed');
    assert.equal(isoDate(Date.parse('2026-06-10T05:59:00Z'), DENVER), '2026-06-09');
});

test('a zone nobody knows is read as UTC instead of failing', () => assert.equal(time(0, 'Nowhere/Land', '24'), '00:00'));
