// What cannot be is refused where it was typed: one sentence, by the name of the field, and what was typed is still there.
import { startCamp } from '../camp.mjs';
import { clean, must, same, settled, visit } from '../stage.mjs';

async function says(page, want) {
    await page.getByRole('alert').filter({ hasText: want }).waitFor();
    const all = await page.getByRole('alert').allInnerTexts();
    same(all.length, 1, `sentences: ${all.join(' | ')}`);
    must(/^[A-Z].*\.$/s.test(all[0].trim()) && !/^\S*:\d|\w\.\w+\.\w/.test(all[0]), `a sentence for a reader: ${all[0]}`);
}

const SET_UP = [
    [/^Fresh water/, '1e9', /^Fresh water: 1e9 gal does not fit; from .* to .* does\.$/],
    [/^Fresh water/, 'forty', /^Fresh water: write a number, such as 40, or leave it blank\.$/],
    [/^Battery, Ah/, '-4', /^Battery: -4 Ah does not fit/],
    [/^Panels, W/, '0,4,4', /^Panels: write a number/],
    [/^Latitude/, '95', /^Latitude: 95 does not fit/],
    [/^Height/, 'high', /^Height above the sea: high is not a quantity; .* such as 2\.5 ft\.$/],
    [/^Leaving/, '2020-01-01T10:00', /^Leaving: the departure is not after the arrival\.$/],
];
const SERVICE = [
    [/^How far/, 'far', /^How far: far is not a quantity/],
    [/^How far/, '-4', /^How far: -4 mi does not fit/],
    [/^On the road/, 'long', /^On the road: long is not a quantity/],
    [/^Fee/, 'much', /^Fee: much is not a quantity/],
    [/^Open/, 'Mon-Fri 25:00', /^Open: 25:00 does not exist/],
];
const PLACE = [
    [/^Latitude/, '95', /^Latitude is to be degrees/],
    [/^Height/, 'tall', /^Height above the sea: tall is not a quantity/],
    [/^A night costs/, 'some', /^A night costs: some is not a quantity/],
    [/^Room for rigs/, 'big', /^Room for rigs: big is not a quantity; write a number, such as 2\.5\.$/],
    [/^Steepest/, 'steep', /^Steepest: steep is not a quantity/],
];

export default function wrong(test) {
    test('what is wrong in set-up, a service, a place and an amount is one sentence by the name of its field', async () => {
        const camps = { empty: await startCamp({ book: 'empty' }), own: await startCamp({ book: 'own' }) };
        const set = await visit('phone', `${camps.empty.url}#/rig`);
        await set.page.getByText('Camper van, 20 ft').click();
        await set.page.getByLabel('Roughly where').selectOption({ label: 'Rocky Mountains' });
        for (const [label, typed, want] of SET_UP) {
            const field = set.page.getByLabel(label).first(), was = await field.inputValue();
            await field.fill(typed);
            await set.page.getByRole('button', { name: 'Look through it' }).click();
            await says(set.page, want);
            same(await field.inputValue(), typed, 'what was typed');
            await field.fill(was);
        }
        await set.done();

        const own = await visit('phone', `${camps.own.url}#/plan/around`);
        await own.page.getByRole('button', { name: 'Add a service' }).click();
        for (const [label, typed] of [[/^Name/, 'yard'], [/^How far/, '14'], [/^On the road/, '30']]) await own.page.getByLabel(label).fill(typed);
        await own.page.getByRole('group', { name: 'What there is' }).getByRole('button').first().click();
        for (const [label, typed, want] of SERVICE) {
            const field = own.page.getByLabel(label).first(), was = await field.inputValue();
            await field.fill(typed);
            await own.page.getByRole('button', { name: 'Keep it' }).click();
            await says(own.page, want);
            await field.fill(was);
        }
        await clean(own.page, 'a service refused');
        await own.page.goto(`${camps.own.url}#/places/add`);
        for (const [label, typed] of [[/^Name/, 'Test Flat'], [/^Latitude/, '38.2 N'], [/^Longitude/, '111.1 W']]) await own.page.getByLabel(label).first().fill(typed);
        for (const [label, typed, want] of PLACE) {
            const field = own.page.getByLabel(label).first(), was = await field.inputValue();
            await field.fill(typed);
            await own.page.getByRole('button', { name: 'Add it' }).click();
            await says(own.page, want);
            await field.fill(was);
        }
        await own.page.goto(`${camps.own.url}#/lists`);
        await settled(own.page);
        await own.page.getByLabel('Spent').fill('0');
        await says(own.page, /^An amount is a number from 0\.01/);
        must(await own.page.getByRole('button', { name: 'Put it down' }).isDisabled(), 'nothing can be put down');
        await own.done(true); // each refusal is on the console
        for (const camp of Object.values(camps)) await camp.stop();
    });
}
