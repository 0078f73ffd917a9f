import assert from 'node:assert/strict';
import { test } from 'node:test';

import { regionOf } from '../../src/regions';
import { NOTHING, scenarioOf, somewhere } from '../../src/setup';

const NOW = Date.parse('2026-06-30T23:30:00-06:00'); // the month has turned in the east already

test('who does not know where they are is put where the device’s clock is', () => {
    assert.equal(regionOf('America/Phoenix', NOW).says, 'Low desert of Arizona and California');
    assert.equal(regionOf('America/Chicago', NOW).zone, 'America/Chicago');
    assert.equal(regionOf('America/Detroit', NOW).zone, 'America/New_York', 'a zone without a region of its own: the same hour');
    assert.equal(regionOf('America/Boise', NOW).zone, 'America/Denver');
});

test('what was said about the place is not guessed over', () => {
    const said = { ...NOTHING, zone: 'America/Denver', latitude: '38 N', longitude: '111 W' };
    assert.equal(somewhere(said, NOW), said);
});

test('no answer at all makes a scenario with a place, people and an arrival', () => {
    const made = scenarioOf(somewhere({ ...NOTHING, zone: 'America/Denver' }, NOW), 'gal', 'lb', NOW);
    const place = made.place as Record<string, string>, crew = made.crew as { people: unknown[] }, stay = made.stay as Record<string, string>;
    assert.match(place.latitude ?? '', / N$/);
    assert.equal(crew.people.length, 2);
    assert.equal(stay.arrive, '2026-06-30 23:30');
    assert.deepEqual(made.rig, {});
});
