// Every flow by the keyboard alone, at both sizes: Tab to what is wanted, and press it.
import { mkdtempSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

import { startCamp } from '../camp.mjs';
import { clean, same, SIZES, tabTo, visit } from '../stage.mjs';

const CAMP = 'leeway: 1\nrig: class-c\ncrew: 2 adults\nplace: {name: Test Flat, latitude: 38 N, longitude: 111 W}\nstay: {arrive: 2026-06-08 15:00}\nweather: {high: 84 F, low: 50 F}\n';

export default function flows(test) {
    for (const size of Object.keys(SIZES)) {
        test(`${size}, by keyboard alone: set-up where nothing is known, people, money, a checklist, settings, and undo`, async () => {
            const camp = await startCamp({ book: 'empty' });
            const { page, done } = await visit(size, camp.url);
            const press = async (what, key = 'Enter') => {
                await tabTo(page, what);
                await page.keyboard.press(key);
            };
            await page.getByRole('heading', { name: /How long can you stay/ }).waitFor();
            await press(/^Set up our camp$/);
            await page.getByRole('group', { name: 'What do you live in?' }).waitFor();
            await press(/^Don't know/, 'Space');
            same(await page.locator('fieldset').evaluateAll((all) => all.filter((one) => !/don't know/i.test(one.textContent + [...one.querySelectorAll('input')].map((input) => input.placeholder).join()) && !/do not know/.test(one.textContent)).map((one) => one.querySelector('legend').textContent)), [], 'questions that take no "don\'t know"');
            await press(/^Look through it$/);
            await page.getByText(/Where you are is guessed from this device’s clock/).waitFor();
            await press(/^Begin$/);
            await page.locator('.verdict h1').waitFor();

            await press(/^Rig & crew$/);
            await page.getByText('2 at the table.').waitFor();
            await press(/^adult 2 leaves$/);
            await page.getByText('1 at the table.').waitFor();
            await press(/^Undo$/);
            await page.getByText('2 at the table.').waitFor();

            await press(/^Lists$/);
            await page.getByText('Nothing has been put down yet.').waitFor();
            await tabTo(page, /^Spent/);
            await page.keyboard.type('12,50');
            await tabTo(page, /^On/);
            await page.keyboard.type('Prop');
            await press(/^Put it down$/);
            await page.locator('.facts').getByText('12.50 USD').first().waitFor();
            await page.locator('.bars').getByText('Propane').waitFor();
            await press(/^Arriving/);
            await page.getByText(/^0 of /).waitFor();
            await tabTo(page, /./);
            await page.locator('.ticks input').first().focus();
            await page.keyboard.press('Space');
            await page.getByText(/^1 of /).waitFor();
            await press(/^Begin anew$/);
            await page.getByText(/^0 of /).waitFor();

            await press(/^Settings$/);
            await press(/^L, kg, °C$/);
            await page.waitForFunction(() => [...document.querySelectorAll('button')].find((one) => one.textContent === 'L, kg, °C')?.getAttribute('aria-pressed') === 'true');
            await press(/^6:40 pm$/);
            await press(/^Night$/, 'Space');
            same(await page.evaluate(() => document.documentElement.dataset.look), 'night', 'the look');
            await page.waitForFunction(() => [...document.querySelectorAll('button')].find((one) => one.textContent === '6:40 pm')?.getAttribute('aria-pressed') === 'true');
            const state = await camp.ask('state');
            same([state.units, state.clock], ['si', '12'], 'units and clock in the book');
            await press(/^Now$/);
            await page.waitForFunction(() => /\d L/.test(document.querySelector('.chart ol')?.textContent ?? ''));
            await clean(page, 'what was set up by keys');
            await done();
            await camp.stop();
        });

        test(`${size}, by keyboard alone: the demo in and out, a file taken in, two ways side by side, a new place, and the copy`, async () => {
            const camp = await startCamp({ book: 'empty' });
            const { page, context, done } = await visit(size, camp.url);
            const press = async (what, key = 'Enter') => {
                await tabTo(page, what);
                await page.keyboard.press(key);
            };
            await page.getByRole('heading', { name: /How long can you stay/ }).waitFor();
            await press(/^Show an invented household$/);
            await page.getByText('An invented household.').waitFor();
            await press(/^Take it out$/);
            await page.getByRole('heading', { name: /How long can you stay/ }).waitFor();

            await press(/^Set up our camp$/);
            await page.getByText('As a text, or from a file').waitFor();
            await press(/^As a text, or from a file$/);
            await tabTo(page, /^Text of the scenario$/);
            await page.keyboard.insertText(CAMP);
            await press(/^Look through it$/);
            await page.getByText('It can be read.').waitFor();
            await press(/^Begin with it$/);
            await page.locator('.verdict h1').waitFor();
            await page.getByRole('link', { name: 'Test Flat' }).waitFor();

            await press(/^What if$/);
            await tabTo(page, /^Dishes/);
            await page.keyboard.type('Paper');
            await page.locator('.deltas li').first().waitFor();
            await page.waitForFunction(() => !document.querySelector('[aria-busy="true"]'));
            await press(/^Compare$/);
            await tabTo(page, /^Washing/);
            await page.keyboard.type('Five minutes');
            await page.waitForFunction(() => /Grey water −/.test(document.querySelector('.deltas')?.textContent ?? ''));
            // Both ways are told, on a phone too.
            await page.getByText(/dishes-paper-plates|dishes paper plates/).filter({ visible: true }).first().waitFor();
            await press(/^Keep as the plan$/);
            await page.getByText('Kept: this is the plan now.').waitFor();
            const { scenario } = await camp.ask('scenario');
            same([scenario.includes('dishes-paper-plates'), scenario.includes('shower-long')], [true, true], 'habits in the plan');

            await press(/^Now$/);
            await page.locator('.verdict h1').waitFor();
            await press(/^Just arrived somewhere/);
            await page.getByRole('heading', { name: 'Is this place good enough?' }).waitFor();
            await press(/^no$/);
            await press(/^Judge it$/);
            await page.getByText(/Look elsewhere: (yes|no)/).waitFor();

            await press(/^Settings$/);
            const waits = page.waitForEvent('download');
            await press(/^Save the copy$/);
            const file = join(mkdtempSync(join(tmpdir(), 'leeway-keys-')), 'copy.html');
            await (await waits).saveAs(file);
            const headline = (await camp.ask('outlook')).headline;
            const held = JSON.parse(readFileSync(file, 'utf8').match(/id="carried">([^<]*)</)[1]);
            same([held.schema, held.outlook.headline, held.text.includes('Test Flat')], ['leeway.carry/1', headline, true], 'the data of the copy');
            await camp.stop();
            const away = await context.newPage();
            await away.goto(`file://${file}`);
            await away.getByText('A copy from').waitFor();
            same((await away.locator('.verdict h1').innerText()).replace(/\s+/g, ' '), headline, 'the headline of the copy');
            same(await away.locator('button:visible, input:visible, select:visible').evaluateAll((all) => all.filter((one) => !one.closest('.seg')).length), 0, 'things that would change something');
            await done();
        });
    }
}
