import assert from 'node:assert/strict';
import { test } from 'node:test';

import type { Json } from '../../src/client';
import { changesOf, errandsOf, eventsOf, momentOf, written } from '../../src/errands';

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
            { at: '2026-06-14 10:00', do: 'add', what: 'fresh', amount: '20 gal' },
        ],
    },
};

test('events to come that fill and empty whole tanks are errands; what is over and what is more particular stays as it is', () => {
    const { errands, others } = errandsOf(scenario, momentOf('2026-06-12 10:00', ZONE), ZONE);
    assert.deepEqual(errands.map(({ at_ms, does }) => [written(at_ms, ZONE), does]), [['2026-06-13 10:00', ['dump grey', 'fill fresh']]]);
    assert.equal(others.length, 2);
    assert.deepEqual(eventsOf(errands, ZONE), [{ at: '2026-06-13 10:00', do: 'dump', what: 'grey' }, { at: '2026-06-13 10:00', do: 'fill', what: 'fresh' }]);
    const set = changesOf(errands, others, ZONE);
    assert.equal(set[0], 'stay.events=none');
    assert.equal(set.length, 5);
    assert.equal(set[2], 'stay.events+={at: "2026-06-14 10:00", do: "add", what: "fresh", amount: "20 gal"}');
});

test('a stay without events has no errands', () => assert.deepEqual(errandsOf({ stay: { events: 'none' } }, 0, ZONE), { errands: [], others: [] }));
