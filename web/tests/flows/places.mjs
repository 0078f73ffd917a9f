// The places of the page, end to end: map and list, filters, sheet, add, change, forget and back, rank, compare, give and take.
import { startPlaces, startSignal } from '../place-book.mjs';
import { clean, fits, must, same, settled, SIZES, tabTo, visit } from '../stage.mjs';

export default function cases(test) {
    const small = (page, where) => page.locator(where).evaluateAll((all) => all.map((one) => one.getBoundingClientRect()).filter((box) => box.width > 0 && (box.width < 43.5 || box.height < 43.5)).length);
    const listed = (page) => page.locator('.found li b').allInnerTexts();

    for (const size of Object.keys(SIZES)) {
        test(`${size}: places on a map and as a list, filtered, compared and ranked`, async () => {
            const camp = await startPlaces();
            const { page, done } = await visit(size, `${camp.url}#/places`);
            await settled(page);
            // The list is the map's equal: the same places, and what imported maps show.
            await page.waitForFunction(() => document.querySelectorAll('.map .own').length === 4);
            same((await listed(page)).sort(), (await page.locator('.map .own').evaluateAll((all) => all.map((one) => one.dataset.mark))).sort(), 'places of the list and of the map');
            await page.waitForFunction(() => document.querySelectorAll('.map .area').length >= 2);
            await page.getByText(/^What is on the map: \d+ spots, 2 areas, \d roads/).waitFor();
            await page.getByText('land.geojson: invented, for tests').waitFor();
            same(await small(page, '.map button, .places .chips button, .places .acts > *, .found a'), 0, 'targets smaller than 44 px');
            await clean(page, 'places');
            await fits(page, 'places');
            // A mark that is tapped is told.
            const mark = await page.locator('.map .own[data-mark="Three Antler"]').boundingBox();
            await page.mouse.click(mark.x + 9, mark.y + 17);
            await page.locator('.chosen.card').getByRole('link', { name: 'Three Antler' }).waitFor();
            // Wishes part the list as the program does.
            await page.getByText(/^Which ones/).click();
            await page.getByLabel('Cost').selectOption('paid');
            await page.waitForFunction(() => document.querySelectorAll('.found li').length === 1);
            same(await listed(page), ['Cottonwood Wash'], 'paid places');
            await page.getByLabel('Cost').selectOption('');
            await page.getByLabel('Room for a rig of').fill('30');
            await page.waitForFunction(() => ![...document.querySelectorAll('.found b')].some((one) => one.textContent === 'Cottonwood Wash'));
            await page.getByText(/^Left out: 1 too small/).waitFor();
            await page.getByLabel('Room for a rig of').fill('');
            await page.waitForFunction(() => document.querySelectorAll('.found li').length === 4);
            await page.getByLabel('From', { exact: true }).fill('2026-06-20');
            await page.getByLabel('Until').fill('2026-06-27');
            await page.getByRole('button', { name: 'Rank for these dates' }).click();
            await page.locator('.ranked').first().waitFor({ timeout: 60_000 });
            const told = await camp.ask('places/rank?near=Juniper+Bench&from=2026-06-20&until=2026-06-27');
            same(await listed(page), told.places.map((one) => one.name), 'the order of the ranking');
            for (const name of ['Larkspur Flat', 'Cottonwood Wash', 'Three Antler']) await page.getByRole('checkbox', { name: `compare ${name}` }).check();
            must(await page.getByRole('checkbox', { name: 'compare Juniper Bench' }).isDisabled(), 'three are the most');
            await page.getByRole('link', { name: 'Compare 3' }).click();
            await page.getByRole('columnheader', { name: 'Three Antler' }).waitFor({ timeout: 60_000 });
            must(/12 USD/.test(await page.getByRole('row', { name: /^A night costs/ }).innerText()), 'what a night costs');
            await clean(page, 'side by side');
            await fits(page, 'side by side');
            await done();
            await camp.stop();
        });

        test(`${size}: a place is added, changed, forgotten, brought back, handed over and taken in`, async () => {
            const camp = await startPlaces();
            const { page, done } = await visit(size, `${camp.url}#/places`);
            await settled(page);
            await page.waitForFunction(() => document.querySelectorAll('.map .own').length === 4);
            // A long press beside a place: its spot is in the form, and what may be the same is told.
            const flag = await page.locator('.map .own[data-mark="Three Antler"]').boundingBox();
            await page.mouse.move(flag.x + 9, flag.y + 90);
            await page.mouse.down();
            await page.getByRole('heading', { name: 'Add a place' }).waitFor();
            await page.mouse.up();
            must(/^3[67]\.\d+ N$/.test(await page.getByLabel('Latitude').inputValue()), 'the latitude of the press');
            await page.getByLabel('Name').fill('Sandlot Rim');
            await page.getByLabel('Latitude').fill('95 N');
            await page.getByRole('button', { name: 'Add it' }).click();
            await page.getByText(/^Latitude is to be degrees/).waitFor();
            await page.getByLabel('Latitude').fill('37.7005 N');
            await page.getByLabel('Longitude').fill('113.0 W');
            await page.getByLabel('A night costs').fill('cheap');
            await page.getByRole('button', { name: 'Add it' }).click();
            await page.getByRole('alert').filter({ hasText: 'A night costs: cheap is not a quantity' }).waitFor();
            await page.getByLabel('A night costs').fill('5 USD');
            await page.getByRole('button', { name: 'Add it' }).click();
            await page.getByText(/^Three Antler is \d+ ft off: perhaps the same place/).waitFor();
            must(await page.evaluate(() => document.activeElement !== document.body), 'the form is gone, and the focus with it');
            await page.getByRole('link', { name: 'Its sheet' }).click();
            await page.getByText('5 USD a night').waitFor();
            await page.getByRole('button', { name: 'Change', exact: true }).click();
            await page.getByLabel('Surface').selectOption('sand');
            await page.getByLabel('A night costs').fill('');
            await page.getByRole('button', { name: 'Keep the changes' }).click();
            await page.locator('.known').getByText('sand', { exact: true }).waitFor();
            same((await camp.ask('place?name=Sandlot+Rim')).about.fee_usd, null, 'what was emptied is out of the book');
            await page.getByRole('button', { name: 'Hand to friends' }).click();
            await page.getByRole('img', { name: /for a camera/ }).waitFor();
            const { text } = await camp.ask('places/give?name=Sandlot+Rim');
            await page.getByRole('button', { name: 'Forget it' }).click();
            await page.getByText('Sandlot Rim is out of the book.').waitFor();
            must((await camp.ask('places')).places.every((one) => one.name !== 'Sandlot Rim'), 'it is out');
            await page.getByRole('button', { name: 'Undo' }).click();
            await page.locator('.found').getByRole('link', { name: /^Sandlot Rim/ }).waitFor();
            must(await page.evaluate(() => document.activeElement !== document.body), 'what had the focus is gone, and the focus with it');
            same((await camp.ask('place?name=Sandlot+Rim')).about.road.surface, 'sand', 'and back as it was');
            await page.getByRole('link', { name: 'Take places in' }).click();
            await page.getByLabel('Or what the camera read').fill(text.replaceAll('Sandlot Rim', 'Dry Fork'));
            await page.getByRole('button', { name: 'Take them in' }).click();
            await page.getByText(/^1 of 1 place into the book/).waitFor();
            await page.getByLabel('Or what the camera read').fill('fee: 0');
            await page.getByRole('button', { name: 'Take them in' }).click();
            await page.getByRole('alert').waitFor();
            await done(true);
            await camp.stop();
        });
    }

    test("a place's sheet has what the book knows, by keyboard alone from the map", async () => {
        const camp = await startPlaces();
        const { page, done } = await visit('laptop', `${camp.url}#/places`);
        await settled(page);
        await page.waitForFunction(() => document.querySelectorAll('.map .own').length === 4);
        const map = page.getByRole('application');
        await map.focus();
        await page.keyboard.press('+');
        await page.locator('.map .cross').waitFor();
        // Arrows bring the nearest place under the cross; Enter takes it.
        const off = async () => page.evaluate(() => { const box = document.querySelector('.map').getBoundingClientRect(), at = document.querySelector('.map .own[data-mark="Larkspur Flat"]').getCTM(); return { x: at.e - box.width / 2, y: at.f - box.height / 2 }; });
        for (let i = 0; i < 60; i++) {
            const { x, y } = await off();
            if (Math.abs(x) < 8 && Math.abs(y) < 8) break;
            const key = Math.abs(x) > Math.abs(y) ? (x > 0 ? 'ArrowRight' : 'ArrowLeft') : y > 0 ? 'ArrowDown' : 'ArrowUp';
            await page.keyboard.press(Math.max(Math.abs(x), Math.abs(y)) > 60 ? key : `Shift+${key}`);
        }
        await page.keyboard.press('Enter');
        await page.waitForFunction(() => document.querySelector('.map .chosen'));
        const link = page.locator('.chosen.card').getByRole('link', { name: 'Larkspur Flat' });
        await link.focus();
        await page.keyboard.press('Enter');
        await page.getByRole('heading', { level: 1, name: 'Larkspur Flat' }).waitFor();
        await page.locator('.known').waitFor();
        await page.waitForFunction(() => !/Looking/.test(document.querySelector('main').innerText), null, { timeout: 60_000 });
        const told = await page.locator('main').innerText();
        for (const words of ['38.1 N, 112.4 W', 'gravel for 4 mi', 'not fit to drink', '40 % to find a spot', '14 days in 28', 'Ask the local office: Juniper office', 'by Ottilie', 'Larkspur Field Office', 'Larkspur Flat Dump', 'invented, for tests', 'Over a level skyline', 'Take care'])
            must(told.includes(words), `"${words}" is on the sheet: ${told.slice(0, 400)}`);
        same(told.match(/\w+[a-z]\.[A-Z]\w+/g), null, 'sentences without a blank between');
        must((await page.locator('#climate ~ .scroll tbody tr, section:has(#climate) tbody tr').count()) === 12, 'twelve months');
        await clean(page, 'a sheet');
        for (const look of ['night', 'sun']) {
            await page.evaluate((worn) => (document.documentElement.dataset.look = worn), look);
            await clean(page, `a sheet, ${look}`);
        }
        // Where to park for sun: none is better where there is no terrain; with it a map, its spot in words.
        await page.getByText('Where to park for sun').click();
        await page.getByRole('button', { name: 'Show the sun' }).click();
        await page.getByText(/There is no terrain for this place/).waitFor();
        await camp.ask('places', { name: 'Far Knob', latitude_deg: 38.2, longitude_deg: -111.1, elevation_m: 2000, change: ['fee=0 USD'] });
        await page.goto(`${camp.url}#/places/@Far Knob`);
        await page.getByRole('heading', { level: 1, name: 'Far Knob' }).waitFor();
        await page.getByText('Where to park for sun').click();
        await page.getByLabel('Day', { exact: true }).fill('2026-12-21');
        await page.getByRole('button', { name: 'Show the sun' }).click();
        await page.getByRole('img', { name: /Hours of direct sun around the place, north up/ }).waitFor();
        await page.getByText(/h of direct sun; most/).waitFor();
        await clean(page, 'where to park for sun');
        // A long ranking is given up by Stop, and others are answered meanwhile. Four places are ranked too soon to be stopped: it is held back.
        await page.route('**/api/1/places/rank*', () => {});
        await page.goto(`${camp.url}#/places`);
        await page.getByLabel('From', { exact: true }).fill('2026-06-20');
        await page.getByLabel('Until').fill('2026-09-20');
        await page.getByRole('button', { name: 'Rank for these dates' }).click();
        await page.getByRole('button', { name: 'Stop' }).click();
        await page.getByRole('button', { name: 'Rank for these dates' }).waitFor();
        same(await page.getByRole('alert').count(), 0, 'no complaint');
        await done(true);
        await camp.stop();
    });

    for (const size of Object.keys(SIZES))
        test(`${size}: the nearest spot with signal, and a run that goes there, by keys alone`, async () => {
            const camp = await startSignal();
            const { page, done } = await visit(size, `${camp.url}#/places/@${encodeURIComponent('Juniper Bench')}`);
            await page.getByRole('heading', { name: 'The nearest spot with signal' }).waitFor();
            const run = await camp.ask('place/signal/run?name=Juniper%20Bench');
            const first = run.spots.find((one) => one.carrier === 'first phone');
            must(first.is_found && first.way_m > 0 && !run.spots.find((one) => one.carrier === 'second phone').is_found, `one line has a spot: ${JSON.stringify(run.spots)}`);
            const list = page.getByRole('list').filter({ has: page.getByRole('button', { name: /^Plan as a run/ }) });
            const told = await list.innerText();
            must(told.includes(`${Math.min(99, Math.round(100 * first.chance_frac))} %`) && told.includes(`${Math.abs(first.longitude_deg).toFixed(3).replace(/0+$/, '')} W`) && /by road/.test(told), `chance, where and way: ${told}`);
            must(/second phone\s+not known: the codes/.test(told), `the other line: ${told}`);
            must((await page.locator('.map [data-mark="signal first phone"]').count()) === 1, 'its mark on the map');
            await fits(page, 'the sheet');
            await clean(page, 'the sheet');
            await tabTo(page, /^Plan as a run: first phone$/, 120);
            await page.keyboard.press('Enter');
            await page.getByRole('heading', { name: 'Errands, and what they do to it' }).waitFor();
            await page.getByText(/^signal 38\./).first().waitFor();
            if (!(await page.getByRole('button', { name: 'Dump grey', pressed: true }).count())) await page.getByRole('button', { name: 'Dump grey' }).click();
            await page.getByRole('button', { name: 'Keep this plan' }).click();
            await page.getByText('Kept: outlook, today and the calendar go by it.').waitFor();
            must(/Errand: .*signal 38\./.test((await (await fetch(`${camp.url}api/1/calendar`)).text()).replace(/\r?\n /g, '')), 'the calendar says where it goes');
            // From elsewhere it is told, but no errand of this stay.
            await camp.ask('places', { name: 'Far Knob', latitude_deg: 38.25, longitude_deg: -111.35, elevation_m: 2000, change: ['fee=0 USD'] });
            await page.goto(`${camp.url}#/places/@Far Knob`);
            await page.getByRole('heading', { name: 'The nearest spot with signal' }).waitFor();
            same(await page.getByRole('button', { name: /^Plan as a run/ }).count(), 0, 'runs of another place');
            await done();
            await camp.stop();
        });

    for (const size of Object.keys(SIZES))
        test(`${size}: the first list tells how far the signal is, and is stopped by keys`, async () => {
            const camp = await startPlaces();
            const { page, done } = await visit(size, `${camp.url}#/lists`);
            await settled(page);
            // A handful of places is through too soon to be seen: the list is held back, and the progress is one of many places.
            const told = { schema: 'leeway.progress/1', target: '/api/1/places?near=Juniper+Bench', done: 640, of: 5000 };
            await page.route(/api\/1\/places(\?|$)/, () => {});
            await page.route('**/api/1/progress', (route) => route.fulfill({ json: told }));
            await page.goto(`${camp.url}#/places`);
            await page.getByText('Working out the signal at your places, 640 of 5000').waitFor();
            await fits(page, 'the list that is worked out');
            await clean(page, 'the list that is worked out');
            await tabTo(page, /^Stop$/);
            await page.keyboard.press('Enter');
            await page.getByText('Stopped; what was worked out is kept.').waitFor();
            await page.unroute(/api\/1\/places(\?|$)/);
            await tabTo(page, /^Go on$/);
            await page.keyboard.press('Enter');
            await page.locator('.found li').first().waitFor();
            same(await page.getByRole('alert').count(), 0, 'no complaint');
            await done();
            await camp.stop();
        });
}
