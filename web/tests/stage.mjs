// What every case in a browser needs: a visit that must stay on this machine and print no error, axe, and a few words for what must be.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

import { chromium } from 'playwright-core';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
export const SIZES = { phone: { width: 390, height: 844 }, laptop: { width: 1280, height: 800 } };
export const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-dev-shm-usage', '--host-resolver-rules=MAP camper.test 127.0.0.1', '--disable-background-networking'],
});

export function must(is, says) {
    if (!is) throw new Error(says);
}
export const same = (came, want, says) => must(JSON.stringify(came) === JSON.stringify(want), `${says}: ${JSON.stringify(came)} came, ${JSON.stringify(want)} was wanted`);

/** A browser of its own for a case: what it asks and what it prints is looked at when the case is over. */
export async function visit(size, url, { now, ...options } = {}) {
    const context = await browser.newContext({ viewport: SIZES[size], hasTouch: size === 'phone', acceptDownloads: true, ...options });
    context.setDefaultTimeout(60_000); // what is slow on a busy machine is not what is looked for here
    const page = await context.newPage();
    if (now) await page.clock.setFixedTime(new Date(now));
    const strange = [], errors = [];
    const host = new URL(url).host;
    context.on('request', (request) => {
        const where = new URL(request.url());
        if (where.protocol !== 'data:' && where.protocol !== 'blob:' && where.protocol !== 'file:' && where.host !== host) strange.push(request.url());
    });
    page.on('pageerror', (error) => errors.push(`uncaught: ${error.message}`));
    page.on('console', (line) => line.type() === 'error' && errors.push(line.text()));
    await page.goto(url);
    return {
        page,
        context,
        async done(mayFail = false) {
            // A test that switches the camper off sees the browser's own line about each failed request.
            const real = mayFail ? errors.filter((line) => !/net::ERR_|Failed to load resource/.test(line)) : errors;
            await context.close();
            same(strange, [], 'requests that leave the machine');
            same(real, [], 'errors on the console');
        },
    };
}

export async function clean(page, what) {
    await page.evaluate(axe);
    const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'], runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }));
    const serious = found.violations.filter((one) => one.impact === 'serious' || one.impact === 'critical');
    same(serious.map((one) => `${one.id}: ${one.nodes.map((node) => node.target.join(' ')).slice(0, 3).join(', ')}`), [], `axe in ${what}`);
}

export const settled = (page) => page.waitForFunction(() => !document.querySelector('[aria-busy="true"]') && document.querySelector('main h1, main h2'));

/** Nothing is known any more. From a document without the page, as the page writes what it knows down a little later and when it is left. */
export async function unknow(page, url) {
    await page.goto(`${url}api/1/state`);
    await page.evaluate(() => localStorage.clear());
}

export async function fits(page, what) {
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    must(over <= 0, `${what} is ${over} px wider than the screen`);
}

/** By keys alone: Tab until what has the focus is called so; the focus must be seen. */
export async function tabTo(page, what, most = 90) {
    for (let i = 0; i < most; i++) {
        await page.keyboard.press('Tab');
        const at = await page.evaluate(() => {
            const one = document.activeElement, label = one?.labels?.[0] ?? one?.closest('label');
            const ringed = [one, label].some((box) => box && getComputedStyle(box).outlineStyle !== 'none');
            return { names: [one?.getAttribute('aria-label'), label?.textContent, one?.textContent].map((text) => text?.trim() ?? ''), ringed };
        });
        if (at.names.some((name) => what.test(name))) {
            must(at.ringed, `${what} shows no focus`);
            return;
        }
    }
    throw new Error(`${what} is not reached by ${most} presses of Tab`);
}
