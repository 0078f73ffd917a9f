import assert from 'node:assert/strict';
import { test } from 'node:test';

import type { Json } from '../../src/client';
import { changesOf, errandsOf, errandsOfRuns, eventsOf, momentOf, written } from '../../src/errands';

const ZONE = 'America/Denver';

test('a civil time is a moment of the place, and back, on both sides of the change of clocks', () => {
    for (const text of ['2026-03-07 10:00', '2026-03-08 10:00', '2026-06-12 23:00', '2026-11-01 09:00', '2026-12-24 00:00']) assert.equal(written(momentOf(text, ZONE), ZONE), text);
    assert.equal(momentOf('2026-06-12 10:00', ZONE), Date.parse('2026-06-12T16:00:00Z'));
    assert.ok(Number.isNaN(momentOf('tomorrow', ZONE)));
});

const scenario: Json = {
    stay: {
        events: [
            { at: '2026-06-11 10:00', do: 'dump', what: 'grey' },
            { at: '2026-06-13 10:00', do: 'dump', what: 'grey' },
            { at: '2026-06-13 10:00', do: 'fill', what: 'fresh' },
            { at: '2026-06-14 10:00', do: 'add', what: 'fresh', amount: '20 gal', why: 'by car to the tap' },
            { at: '2026-06-15 10:00', do: 'add', what: 'propane', amount: '20 lb' },
        ],
    },
};

test('events to come that fill and empty tanks, or bring water in cans, are errands; what is over and what is more particular stays as it is', () => {
    const { errands, others } = errandsOf(scenario, momentOf('2026-06-12 10:00', ZONE), ZONE);
    assert.deepEqual(errands.map(({ at_ms, does }) => [written(at_ms, ZONE), does]), [['2026-06-13 10:00', ['dump grey', 'fill fresh']], ['2026-06-14 10:00', ['fill fresh']]]);
    assert.ok(Math.abs((errands[1]?.cans_l ?? 0) - 75.708) < 1e-3); // 20 US gal, NIST Handbook 44
    assert.equal(others.length, 2);
    const events = eventsOf(errands, ZONE);
    assert.deepEqual(events, [{ at: '2026-06-13 10:00', do: 'dump', what: 'grey' }, { at: '2026-06-13 10:00', do: 'fill', what: 'fresh' }, { at: '2026-06-14 10:00', do: 'add', what: 'fresh', amount: '75.7 L', why: 'by car to the tap' }]);
    assert.deepEqual(changesOf(errands, others, ZONE), [
        'stay.events=[{at: 2026-06-11 10:00, do: dump, what: grey}, {at: 2026-06-15 10:00, do: add, what: propane, amount: 20 lb}, {at: 2026-06-13 10:00, do: dump, what: grey}, {at: 2026-06-13 10:00, do: fill, what: fresh}, {at: 2026-06-14 10:00, do: add, what: fresh, amount: 75.7 L}]',
    ]);
    assert.deepEqual(changesOf([], [], ZONE), ['stay.events=none']);
});

test('a planned run is an errand at its coming back: cans and waste tank by their amount, the rig itself whole', () => {
    const run = { leave: null, leave_civil: null, back: '2026-06-12T22:00:00Z', back_civil: null, by: 'little car', is_break_camp: false, services: ['yard', 'store'], supplies: ['fresh' as const, 'grey' as const, 'food' as const], cans_l: 106, waste_l: 50, road_km: 1, spent_h: 1, usd: 1, parts: [], sentence: '' };
    const [by, whole] = errandsOfRuns([run, { ...run, is_break_camp: true }]);
    assert.deepEqual([by?.does, by?.cans_l, by?.waste_l, by?.why], [['dump grey', 'fill fresh', 'fill food'], 106, 50, 'yard, store']);
    assert.deepEqual([whole?.cans_l, whole?.waste_l], [undefined, undefined]);
    assert.deepEqual(errandsOfRuns([{ ...run, services: ['Cottonwood ranger yard', 'Sandlot store'] }, { ...run, services: ['Nové Strašecí, the pump behind the school'] }]).map(({ why }) => why), ['Cottonwood ranger yard', 'Nové Strašecí, the pump behi']);
    const again = errandsOf({ stay: { events: eventsOf(by ? [by] : [], ZONE) } }, 0, ZONE).errands[0];
    assert.deepEqual(again && { ...again, id: 1 }, by);
});

test('a stay without events has no errands', () => assert.deepEqual(errandsOf({ stay: { events: 'none' } }, 0, ZONE), { errands: [], others: [] }));
