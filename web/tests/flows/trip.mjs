// The trip on the page: planned from a text, its calendar and its map, a stay moved by keys, one that is full, and what is taken along.
import { startCamp } from '../camp.mjs';
import { startYear } from '../place-book.mjs';
import { clean, fits, must, same, settled, SIZES, tabTo, visit } from '../stage.mjs';

const TRIP = `leeway: 1
trip: {from: 2026-07-10, until: 2026-07-18, start: Quarry Flat, drive_days: Mon-Sun, supplies_chance: 50 %, work_chance: 50 %}
places:
  - {name: Quarry Flat, latitude: 37.1 N, longitude: 112.4 W, elevation: 5600 ft, worth: 35 USD, signal: 85 %, everything: yes}
  - {name: Ferry Bend, latitude: 37.3 N, longitude: 111.6 W, elevation: 4300 ft, worth: 90 USD, fee: 4 USD, signal: 80 %, everything: yes, until: 2026-07-14}
  - {name: Tin Cup, latitude: 37.3 N, longitude: 112.1 W, elevation: 5900 ft, worth: 60 USD, signal: 82 %, everything: yes, caution: "deep sand <left> of the gate"}
`;

export default function trip(test) {
    for (const size of Object.keys(SIZES))
        test(`${size}: a trip is planned, a stay moved, one is full, and it is taken along`, async () => {
            const camp = await startCamp({ book: 'own' });
            const { page, done } = await visit(size, `${camp.url}#/plan/trip`);
            const idle = () => page.waitForFunction(() => document.querySelector('.trip') && !document.querySelector('.trip[aria-busy="true"]'), null, { timeout: 60_000 });
            await page.getByRole('button', { name: 'Begin with our places' }).click();
            const text = page.getByLabel('The trip, as text');
            await text.waitFor();
            must(/start: "/.test(await text.inputValue()), 'the text begins with a place of the book');

            // Which places of the book: what does not fit is told, in the program's own words.
            await page.getByLabel('Manager').fill('no such office');
            await page.getByRole('button', { name: 'Plan it' }).click();
            await page.getByRole('alert').getByText('no place of the book fits').waitFor();
            await page.getByLabel('Manager').fill('');
            await page.getByRole('button', { name: 'Write the places out' }).click();
            await idle();
            must(/\nplaces:/.test(await text.inputValue()), 'places stand in the text');
            must(!(await page.getByLabel('With places of the book').isChecked()), 'and the book is not asked for them');

            await text.fill('leeway: 1\ntrip: {from: 2026-07-10}\n');
            await page.getByRole('button', { name: 'Plan it' }).click();
            await page.getByRole('alert').waitFor(); // the program's own sentence
            await text.fill(TRIP);
            await page.getByLabel('Called').fill('a week');
            await page.getByRole('button', { name: 'Plan it' }).click();
            await page.locator('.stops li').first().waitFor({ timeout: 60_000 });
            await idle();
            const made = await camp.ask('trip', { do: 'show', name: 'a week' });
            const stops = made.plans[0].stops;
            same(await page.locator('.stops h3').allInnerTexts(), stops.map((one, i) => `${i + 1}. ${one.place}`), 'stops in their order');
            must(await page.getByText(`${Math.round(100 * made.plans[0].supplies_frac)} %`).first().isVisible(), 'the chance of the supplies is told');
            await page.getByText('deep sand <left> of the gate').first().waitFor();
            same(await page.locator('.night.stay').count(), 8, 'nights on the calendar');
            same(await page.locator('.map [data-mark]').count(), new Set(stops.map((one) => one.place)).size, 'places on the map');
            await fits(page, 'the trip');
            await clean(page, 'the trip');

            // A stay ends a night earlier, by keys; the rest is planned around it.
            const edge = page.getByRole('slider').first();
            const before = await edge.getAttribute('aria-valuetext');
            await edge.focus();
            await page.keyboard.press('ArrowLeft');
            must((await edge.getAttribute('aria-valuetext')) !== before, 'an arrow moves it by a night');
            await page.getByRole('button', { name: 'Plan the rest around it' }).click();
            await page.getByText(/^Beside a week:/).waitFor({ timeout: 60_000 });
            await idle();
            const changed = (await camp.ask('trip', { do: 'show', name: 'a week 2' })).plans[0].stops;
            must(changed[0].place === stops[0].place && changed[0].leave < stops[0].leave, `it leaves ${changed[0].place} earlier: ${changed[0].leave}`);

            // By drag, and left as it was.
            const handle = await page.getByRole('slider').first().boundingBox();
            await page.getByRole('slider').first().scrollIntoViewIfNeeded();
            const box = await page.getByRole('slider').first().boundingBox() ?? handle;
            await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
            await page.mouse.down();
            const to = await page.locator(`[data-day="${changed[0].leave}"]`).boundingBox();
            await page.mouse.move(to.x + to.width / 2, to.y + to.height / 2, { steps: 4 });
            await page.mouse.up();
            await page.getByText(/the rest is not planned for that yet/).waitFor();
            await page.getByRole('button', { name: 'Leave it' }).click();

            // It is full: one tap.
            await page.getByRole('button', { name: 'a week', exact: true }).click();
            await idle();
            await page.getByRole('button', { name: 'It is full: Ferry Bend' }).first().click();
            await page.getByText(/^Beside a week:/).waitFor({ timeout: 60_000 });
            await idle();
            must(!(await page.locator('.stops h3').allInnerTexts()).some((one) => /Ferry Bend/.test(one)), 'Ferry Bend is not in it');

            for (const [name, begins] of [['For the calendar', 'BEGIN:VCALENDAR'], ['For the navigator (GPX)', '<?xml'], ['As a table (CSV)', 'place,'], ['Sheet to print', '<!doctype html>'], ['To leave with somebody at home', 'Where we are']]) {
                const path = await page.getByRole('link', { name }).getAttribute('href');
                const answer = await fetch(new URL(path, camp.url));
                must(answer.status === 200 && (await answer.text()).startsWith(begins), `${name}: ${answer.status}`);
            }
            await page.getByRole('button', { name: /^Forget a week 3$/ }).click();
            await idle();
            same((await camp.ask('trip', { do: 'list' })).trips.map((one) => one.name).sort(), ['a week', 'a week 2'], 'trips that are kept');
            await done(true);
            await camp.stop();
        });

    for (const size of Object.keys(SIZES))
        test(`${size}: the year round: mild months of all places, by keys alone`, async () => {
            const camp = await startYear();
            const { page, done } = await visit(size, `${camp.url}#/plan/trip`);
            await settled(page);
            await tabTo(page, /^The year round$/);
            await page.keyboard.press('Enter');
            await page.locator('.months .row').first().waitFor();
            const year = await camp.ask('trip', { do: 'year' });
            must(year.moves > 0 && year.places.length === 8, `a way through the year: ${year.way}`);
            same(await page.locator('.year .way').innerText(), year.way, 'the way in words');
            same(await page.locator('.months .row > span').allInnerTexts(), year.places.map((one) => one.name), 'a row a place');
            same(await page.locator('.months .beads').getAttribute('d'), year.months.map((_, k) => `M${k + 0.5} ${year.places.findIndex((one) => one.months[k].is_way) + 0.5}h0.001`).join(''), 'a bead a month, in the row of the way');
            same(await page.locator('.months .mild').count(), year.places.reduce((sum, one) => sum + one.months.filter((month, k) => month.is_mild && !one.months[k - 1]?.is_mild).length, 0), 'a strong band where it is mild');
            await fits(page, 'the year');
            await clean(page, 'the year');

            // Another month, by an arrow.
            await tabTo(page, /^June$/);
            await page.keyboard.press('ArrowRight');
            await page.getByRole('heading', { name: new RegExp(`^July: mild at ${year.places.filter((one) => one.months[1].is_mild).length} of 8`) }).waitFor();
            must(/too hot/.test(await page.locator('.there').innerText()), 'what is in the way is told');
            await tabTo(page, /^The year as a table/);
            await page.keyboard.press('Enter');
            same(await page.locator('.year tbody td b').count(), year.places.flatMap((one) => one.months).filter((one) => one.is_mild).length, 'mild months in bold');

            // Warmer nights are wished for: fewer months.
            const nights = page.getByLabel(/^Nights no colder than/);
            same(await nights.inputValue(), '32', 'as is usual');
            await nights.fill('50');
            await nights.press('Tab');
            await page.waitForFunction((was) => document.querySelector('.year .way')?.textContent !== was, year.way);
            const warmer = await camp.ask('trip', { do: 'year', coldest_c: 10 });
            same(await page.locator('.year .way').innerText(), warmer.way, 'the way in words');
            await nights.fill('900');
            await nights.press('Tab');
            await page.getByRole('alert').waitFor();
            await done(true);
            await camp.stop();
        });

    test('phone: the year round in the demo', async () => {
        const camp = await startCamp({ book: 'demo' });
        const { page, done } = await visit('phone', `${camp.url}#/plan/trip`);
        await page.getByRole('button', { name: 'The year round' }).click();
        await page.locator('.months .row').first().waitFor();
        same(await page.locator('.months .row > span').allInnerTexts(), [(await camp.ask('state')).stay.place], 'its one place');
        await fits(page, 'the year');
        await done();
        await camp.stop();
    });
}
