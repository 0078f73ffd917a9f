// The parts of the plan: errands planned and kept, what to bring, to buy, to pay, months, a convoy; at both sizes and by keyboard.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

import { startCamp } from '../camp.mjs';
import { clean, fits, must, same, settled, SIZES, tabTo, visit } from '../stage.mjs';

const SERVICES = fileURLToPath(new URL('../../../examples/errands.yaml', import.meta.url));
const CAMP = fileURLToPath(new URL('../../../examples/family-at-work.yaml', import.meta.url));
const LONG = { timeout: 60_000 };

export default function plans(test) {
    for (const size of Object.keys(SIZES)) {
        test(`${size}: what is around is said, errands are planned, moved, kept, and in the calendar`, async () => {
            const camp = await startCamp({ book: 'own' });
            await camp.ask('begin', { scenario: readFileSync(CAMP, 'utf8').replace('2026-06-22 10:00', '2026-06-14 10:00') });
            const { page, done } = await visit(size, `${camp.url}#/plan`);
            await page.getByRole('button', { name: 'Plan the errands' }).click();
            await page.getByText('The book knows no services around here').waitFor();
            await page.getByRole('link', { name: 'Say what is around here' }).click();
            await page.getByText('None of yours yet.', { exact: false }).waitFor();
            await page.getByRole('button', { name: 'Add a service' }).click();
            const form = page.getByRole('form', { name: 'A service' });
            await form.getByLabel('Name').fill('Bent Pine tap');
            await form.getByLabel(/^How far/).fill('3');
            await form.getByLabel(/^On the road/).fill('8');
            await form.getByRole('button', { name: 'Fresh water' }).click();
            await clean(page, 'a service');
            await fits(page, 'a service');
            await form.getByRole('button', { name: 'Keep it' }).click();
            await page.getByText('3 mi, 8 min; fresh water; no fee; always open; open to the public').waitFor();
            must(/Bent Pine tap/.test((await camp.ask('services')).own), 'the service is in the book');
            await page.getByText('As a file').click();
            await page.locator('input[type=file]').setInputFiles(SERVICES);
            await page.getByText('Cottonwood ranger yard', { exact: true }).waitFor();
            same((await camp.ask('services')).own, readFileSync(SERVICES, 'utf8'), 'the file as it is');

            await page.goto(`${camp.url}#/plan`);
            await page.getByRole('button', { name: 'Plan the errands' }).click();
            await page.getByRole('button', { name: 'Put them on the days' }).click(LONG);
            const first = page.getByRole('slider', { name: 'Errand 1', exact: true });
            const told = await first.getAttribute('aria-valuetext');
            must(/Cottonwood|dump|fill|drinking/i.test(told), `the errand says what it does: ${told}`);
            await settled(page);
            const sure = await page.locator('.lead').innerText();
            await clean(page, 'planned errands');
            await fits(page, 'planned errands');
            // No two numbers lie over each other, so that each can be taken by a thumb.
            const boxes = await page.locator('.handles button').evaluateAll((all) => all.map((one) => one.getBoundingClientRect()).map(({ x, y }) => ({ x, y })));
            const over = boxes.filter((one, i) => boxes.some((other, k) => k < i && Math.hypot(one.x - other.x, one.y - other.y) < 30));
            must(boxes.length > 3 && over.length === 0, `${over.length} of ${boxes.length} numbers lie over others`);
            const box = await first.boundingBox();
            await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
            await page.mouse.down();
            await page.mouse.move(box.x + box.width / 2 + 60, box.y + box.height / 2, { steps: 4 });
            await page.mouse.up();
            must((await first.getAttribute('aria-valuetext')) !== told, 'it is dragged');
            await page.waitForFunction((before) => document.querySelector('.lead')?.textContent.trim() !== before, sure, LONG);
            await settled(page);
            await page.getByRole('button', { name: 'Keep this plan' }).click();
            await page.getByText('Kept: outlook, today and the calendar go by it.').waitFor(LONG);
            const { scenario } = await camp.ask('scenario');
            must(/do: take/.test(scenario) && /do: add/.test(scenario) && /why: Cottonwood ranger yard/.test(scenario), 'cans, waste tank and where to are in the scenario');
            must(/SUMMARY:Errand:/.test(await (await fetch(`${camp.url}api/1/calendar`)).text()), 'the calendar has the errands');
            await done(true); // the refusal that was asked for is a line of the browser's
            await camp.stop();
        });

        test(`${size}: what to bring is ticked, what to buy is opened to its source, what it costs goes by one's own figures, and months`, async () => {
            const camp = await startCamp({ book: 'demo' });
            const { page, done } = await visit(size, `${camp.url}#/plan/bring`);
            const part = async (name) => {
                await settled(page);
                await clean(page, name);
                await fits(page, name);
            };
            await page.getByRole('button', { name: 'Work it out' }).click();
            const told = await camp.ask('plan/provisions?confidence=80');
            const fresh = told.supplies.find((one) => one.supply === 'fresh');
            await page.getByText(fresh.list).waitFor(LONG);
            await page.getByRole('checkbox').first().check();
            await page.locator('.ticks .how summary').first().click();
            await page.getByText(fresh.why).waitFor();
            await part('what to bring');
            await page.reload();
            await page.getByRole('button', { name: 'Work it out' }).click();
            await page.getByText(fresh.list).waitFor(LONG);
            must(await page.getByRole('checkbox').first().isChecked(), 'what was ticked is ticked');
            await page.getByRole('button', { name: 'For another one' }).click();
            await page.getByLabel('Arriving').waitFor();

            await page.goto(`${camp.url}#/plan/buy`);
            await page.getByRole('button', { name: 'Work it out' }).click();
            await page.locator('.goods li').first().waitFor(LONG);
            const bought = await camp.ask('plan/buy');
            same(await page.locator('.front .box button').count(), bought.sets.filter((one) => one.is_on_front && one.gained_days > 0.05 && !one.why_not).length, 'rings on the front');
            await page.locator('.goods button').first().click();
            await page.locator('.goods .more').getByText(bought.items.find((one) => one.id === bought.sets[0].items[0]).source, { exact: false }).first().waitFor();
            await part('what to buy');

            await page.goto(`${camp.url}#/plan/cost`);
            await page.locator('.costs li').first().waitFor(LONG);
            must(!(await page.locator('.costs').innerText()).includes('Fuel to get there'), 'a drive is counted that nobody said');
            await page.getByLabel(/^The way there/).fill('120');
            await page.getByRole('button', { name: 'Add it up again' }).click();
            await page.locator('.costs').getByText('Fuel to get there').waitFor(LONG);
            must(!/--|leeway log/.test(await page.locator('main').innerText()), 'options of the command line stand on the page');
            await part('what it costs');

            await page.goto(`${camp.url}#/plan/months`);
            await page.getByRole('button', { name: 'Work it out' }).click();
            await page.locator('.beats td').first().waitFor(LONG);
            await part('months');
            await done();
            await camp.stop();
        });
    }

    test('by keyboard alone: a convoy, from our share file to who pays what', async () => {
        const camp = await startCamp({ book: 'demo' });
        const { page, done } = await visit('laptop', `${camp.url}#/plan`);
        const press = async (what, key = 'Enter') => {
            await tabTo(page, what);
            await page.keyboard.press(key);
        };
        await settled(page);
        await press(/^Convoy$/);
        await page.getByRole('heading', { name: 'Several rigs at one place' }).waitFor();
        await press(/^Lend something$/);
        await press(/^Make our share file$/);
        await page.getByRole('link', { name: 'Save it for the others' }).waitFor(LONG);
        const [saved] = await Promise.all([page.waitForEvent('download'), press(/^Save it for the others$/)]);
        const ours = JSON.parse(readFileSync(await saved.path(), 'utf8'));
        same([ours.household, ours.lends.length, 'place' in ours], ['Marmalade', 1, false], 'what is told');
        await page.locator('input[type=file]').setInputFiles({ name: 'theirs.json', mimeType: 'application/json', buffer: Buffer.from(JSON.stringify({ ...ours, household: 'Snug Harbour', lends: [] })) });
        await page.getByText('Snug Harbour').waitFor();
        await press(/^Plan together$/);
        await page.getByRole('heading', { name: 'Who pays what' }).waitFor(LONG);
        await settled(page);
        await clean(page, 'a convoy');
        await fits(page, 'a convoy');
        await page.locator('input[type=file]').setInputFiles({ name: 'other.json', mimeType: 'application/json', buffer: Buffer.from('{}') });
        await page.getByText('other.json is no share file', { exact: false }).waitFor();
        await press(/^Without them: Snug Harbour$/);
        await page.getByText('Nobody yet.', { exact: false }).waitFor();
        await done();
        await camp.stop();
    });

    test('the errands of the demo, kept on the page, are in every outlook from then on, and it stays the demo', async () => {
        const camp = await startCamp({ book: 'demo' });
        const { page, done } = await visit('laptop', `${camp.url}#/plan`);
        const grey = (told) => told.supplies.find((one) => one.supply === 'grey').leeway.p50.days;
        const before = await camp.ask('outlook', {}), logged = (await camp.ask('history')).entries.length;
        await page.getByRole('button', { name: 'Plan the errands' }).click();
        await page.getByRole('button', { name: 'Put them on the days' }).click(LONG);
        await page.getByRole('button', { name: 'Keep this plan' }).click(LONG);
        await page.getByText('Kept: outlook, today and the calendar go by it.').waitFor(LONG);
        same([(await camp.ask('state')).book, (await camp.ask('history')).entries.length], ['demo', logged], 'whose book it is, and what was read in it');
        const after = await camp.ask('outlook', {});
        must(grey(after) > grey(before) + 5, `grey: ${grey(before)} days before, ${grey(after)} with the errands`);
        must((await camp.ask('today')).todo.some((one) => /^Errand as planned/.test(one.what)), 'today names the next of them');
        must((await camp.ask('plan/runs?confidence=80')).runs.length > 3, 'a new plan is made as if none were kept');
        await done();
        await camp.stop();
    });

    test('a plan that takes long says so, is stopped, and grows old when something is logged', async () => {
        const camp = await startCamp({ book: 'demo' });
        const { page, done } = await visit('phone', `${camp.url}#/plan/months`);
        await settled(page);
        let hold = true;
        await page.route('**/api/1/plan/rhythm*', async (route) => {
            if (hold) return; // never answered
            await route.continue();
        });
        await page.getByRole('button', { name: 'Work it out' }).click();
        await page.getByText('Going through the climate of each month').waitFor();
        await page.getByText('2 s').waitFor();
        await page.getByRole('button', { name: 'Stop' }).click();
        hold = false;
        await page.getByRole('button', { name: 'Work it out' }).click();
        await page.locator('.beats td').first().waitFor(LONG);
        await camp.log('grey=1/3');
        await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
        await page.getByText('The book has changed since this was worked out.').waitFor(LONG);
        await page.getByRole('button', { name: 'Work it out again' }).click();
        await page.getByText('The book has changed since').waitFor({ state: 'detached', ...LONG });
        await done(true);
        await camp.stop();
    });
}
