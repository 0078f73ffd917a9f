import assert from 'node:assert/strict';
import { test } from 'node:test';

import { candidatesOf, dayAfter, daysOf, draftOf, nextName, nothingAsked, weekdayOf, withLeave } from '../../src/trip';

const STAYS = [{ place: 'A', arrive: '2026-02-27', leave: '2026-03-02' }, { place: 'B', arrive: '2026-03-02', leave: '2026-03-04' }];

// ISO 8601: 2026-03-02 is the Monday of week 10.
test('days are civil, over months and changes of the clock', () => {
    assert.equal(weekdayOf('2026-03-02'), 0);
    assert.equal(dayAfter('2026-02-28', 1), '2026-03-01');
    assert.equal(dayAfter('2026-03-09', -2), '2026-03-07');
});

test('the calendar has whole weeks, and each night its stay', () => {
    const days = daysOf('2026-02-27', '2026-03-04', STAYS);
    assert.equal(days.length, 14);
    assert.deepEqual(days.filter((day) => day.stay === 0).map((day) => day.date), ['2026-02-27', '2026-02-28', '2026-03-01']);
    assert.deepEqual(days.filter((day) => day.stay === 1).map((day) => day.date), ['2026-03-02', '2026-03-03']);
});

test('a stay that is moved keeps a night, and so does the next', () => {
    assert.equal(withLeave(STAYS, 0, '2026-02-01')[0]?.leave, '2026-02-28');
    assert.deepEqual(withLeave(STAYS, 0, '2026-04-01').map((one) => [one.arrive, one.leave]), [['2026-02-27', '2026-03-03'], ['2026-03-03', '2026-03-04']]);
    assert.deepEqual(withLeave(STAYS, 1, '2026-03-09'), STAYS, 'the last one ends with the trip');
});

test('a changed trip stands beside the old one', () => {
    assert.equal(nextName('spring', ['spring']), 'spring 2');
    assert.equal(nextName('spring 2', ['spring', 'spring 2', 'spring 3']), 'spring 4');
});

test('a first text quotes what people call places', () => assert.match(draftOf([{ name: 'Bob\'s: "bend"', latitude_deg: 38, longitude_deg: -111, elevation_m: null }], '2026-06-09'), /name: "Bob's: \\"bend\\""/));

test('what is asked of places is said as in a trip\'s file', () => {
    assert.equal(candidatesOf({ ...nothingAsked(), isOn: false }, 'F'), null);
    assert.deepEqual(candidatesOf(nothingAsked(), 'F'), {});
    assert.deepEqual(candidatesOf({ ...nothingAsked(), near: ' Tin Cup ', drive_h: 4, signal_pct: 70, cold: '25', supplies: ['dump', 'water'] }, 'F'), { near: 'Tin Cup', drive: '4 h', signal: '70 %', supply: 'dump,water', night: '25 F to 60 C' });
});
