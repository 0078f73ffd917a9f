// From an outlook to what the leeway chart shows: numbers between 0 and 1 along one axis of time. Pure; Chart.svelte draws it.

import type { Weather, WeatherDay } from './client';
import type { Leeway, Outlook, Supply } from './made/outlook';
import { deedsOf, foreseenOf, readingsOf, type Past } from './past';
import { dayMonth, isoDate, midnights, weekday } from './zone';

const DAY_MS = 86_400_000;

export interface Line {
    supply: string;
    name: string;
    left: string;
    ends: string;
    isBinding: boolean;
    /** Along the axis, 0..1; beyond it they are cut off at 1. The line begins at the chart's `now`. */
    sure: number;
    even: number | null;
    best: number;
    /** It goes on past the axis, with a chance worth drawing. */
    goesOn: boolean;
    /** Chance of lasting, falling along the axis from `sure` on. */
    fade: { at: number; chance: number }[];
    /** How full it was foreseen to be on the days that are over, and what gauges and people said: shares of what it holds. */
    was: { at: number; low: number; middle: number; high: number }[];
    readings: { at: number; low: number | null; high: number | null }[];
    deeds: { at: number; says: string }[];
}

export interface Day {
    from: number;
    to: number;
    name: string;
    date: string;
    isFirstOfWeek: boolean;
    isWork: boolean;
    weather: WeatherDay | null;
}

export interface Mark {
    at: number;
    kind: 'run' | 'leave' | 'limit' | 'now';
    says: string;
}

export interface Chart {
    from_ms: number;
    days_shown: number;
    /** Where the present stands on the axis: 0 without past days. */
    now: number;
    lines: Line[];
    days: Day[];
    marks: Mark[];
    /** Hours in which something is to run, along the axis. */
    spans: { from: number; to: number }[];
    weather_c: { high: number; low: number } | null;
}

export interface Wish {
    days: number;
    weather: Weather | null;
    /** Civil weekdays ("Mon") with work or school that needs the line. */
    workdays: ReadonlySet<string>;
    runs: readonly { by: string; says: string }[];
    spans?: readonly { from_ms: number; to_ms: number }[];
    /** Days before the outlook's start that are shown too, and what is known of them. */
    past_days?: number;
    past?: Past | null;
}

const clamp = (value: number): number => (value < 0 ? 0 : value > 1 ? 1 : value);
const ms = (iso: string | null | undefined): number | null => (iso ? Date.parse(iso) : null);

/** The chance of lasting, falling: 90, 50 and 10 of a hundred at the quantiles, and behind them what the ends of the days say. */
function fadeOf(leeway: Leeway, lasts: readonly number[], along: Along): { at: number; chance: number }[] {
    const points = [{ at: leeway.p10.days, chance: 1 }];
    const put = (day: number, chance: number): void => {
        const last = points[points.length - 1];
        if (last && day > last.at + 0.01 && chance < last.chance) points.push({ at: day, chance });
    };
    if (!leeway.p50.beyond_horizon) put(leeway.p50.days, 0.5);
    if (!leeway.p90.beyond_horizon) put(leeway.p90.days, 0.1);
    lasts.forEach((chance, i) => put(i + 1, chance));
    return points.map(({ at, chance }) => ({ at: along(at), chance }));
}

/** From days after the outlook's start (before it below zero) to a share of the axis. */
type Along = (days: number) => number;

function lineOf(supply: Supply, binding: string | null, days: number, along: Along): Line {
    const { p10, p50, p90, beyond_frac } = supply.leeway;
    return {
        supply: supply.supply,
        name: supply.name ?? supply.supply,
        left: supply.left ?? '',
        ends: supply.ends ?? '',
        isBinding: supply.supply === binding,
        sure: p10.beyond_horizon ? 1 : clamp(along(p10.days)),
        even: p50.beyond_horizon || p50.days > days ? null : along(p50.days),
        best: p90.beyond_horizon ? 1 : clamp(along(p90.days)),
        goesOn: beyond_frac > 0.1 || p90.days > days,
        fade: p10.beyond_horizon || p90.days - p10.days < 0.02 ? [] : fadeOf(supply.leeway, supply.lasts_frac ?? [], along),
        was: [],
        readings: [],
        deeds: [],
    };
}

/** How many days are worth showing: to the departure or the stay limit, or until what ends first is long over. */
export function daysWorth(outlook: Outlook, most: number): number {
    const horizon = (Date.parse(outlook.horizon ?? outlook.start ?? '') - Date.parse(outlook.start ?? '')) / DAY_MS;
    const ends = outlook.supplies.filter((one) => one.is_shown && !one.leeway.p50.beyond_horizon).map((one) => one.leeway.p50.days);
    const leave = outlook.departure ? (Date.parse(outlook.departure) - Date.parse(outlook.start ?? '')) / DAY_MS + 1 : 0;
    const wanted = Math.max(6, Math.ceil(leave), Math.ceil((ends[Math.min(3, ends.length - 1)] ?? 0) + 1));
    return Math.max(1, Math.min(most, Math.floor(horizon), wanted));
}

interface Civil {
    at_ms: number;
    name: string;
    date: string;
    iso: string;
}

// Names of days are the dearest part of a chart and the same in every one: those of a season around the present are found once.
let known: { zone: string; from_ms: number; to_ms: number; days: Civil[] } | null = null;
const BEFORE_MS = 14 * DAY_MS, AFTER_MS = 84 * DAY_MS;

/** The civil days from the one that holds `from_ms`, which begins with it, to the one that holds `to_ms`, each with its names. */
function civilDays(from_ms: number, to_ms: number, zone: string): Civil[] {
    if (known?.zone !== zone || from_ms < known.from_ms || to_ms > known.to_ms) {
        const first_ms = from_ms - BEFORE_MS, last_ms = Math.max(from_ms + AFTER_MS, to_ms), edges = midnights(first_ms, last_ms + 2 * DAY_MS, zone);
        const days = edges.map((at_ms, i) => {
            const middle = ((edges[i + 1] ?? at_ms + DAY_MS) + at_ms) / 2;
            return { at_ms, name: weekday(middle, zone), date: dayMonth(middle, zone), iso: isoDate(middle, zone) };
        });
        known = { zone, from_ms: edges[0] ?? first_ms, to_ms: last_ms, days };
    }
    const next = known.days.findIndex(({ at_ms }) => at_ms > from_ms);
    return known.days.slice(next - 1).filter(({ at_ms }) => at_ms < to_ms).map((day, i) => (i ? day : { ...day, at_ms: from_ms }));
}

/** What ends the stay most often; the sentence above the chart speaks of the same. */
export function binding(outlook: Outlook): string | null {
    if (!outlook.binding) return null;
    const most = Math.max(...outlook.supplies.map((one) => one.binds_frac));
    return outlook.supplies.find((one) => one.binds_frac === most && most > 0)?.supply ?? outlook.binding;
}

const MOST_PAST_DAYS = 5;

/** How many of the days that are over are worth showing beside so many to come: a fifth of them, those with anything to show. */
export function pastWorth(outlook: Outlook, past: Past | null, days: number): number {
    const start_ms = Date.parse(outlook.start ?? '');
    const known = [...(past?.entries ?? []).filter((one) => !one.is_undone).map((one) => Date.parse(one.at)), ...(past?.foreseen?.at ?? []).map((at) => Date.parse(at))];
    const back = known.length ? (start_ms - Math.min(...known)) / DAY_MS : 0;
    return Math.max(0, Math.min(MOST_PAST_DAYS, Math.ceil(days / 5), Math.ceil(back)));
}

export function chartOf(outlook: Outlook, wish: Wish): Chart {
    const start_ms = Date.parse(outlook.start ?? ''), past_days = wish.past_days ?? 0;
    const from_ms = start_ms - past_days * DAY_MS, to_ms = start_ms + wish.days * DAY_MS;
    const zone = outlook.place.zone ?? 'UTC';
    const along = (at_ms: number): number => (at_ms - from_ms) / (to_ms - from_ms);
    const afterStart: Along = (after) => (past_days + after) / (past_days + wish.days);
    const weather = new Map((wish.weather?.days ?? []).map((day) => [day.date, day]));
    const binds = binding(outlook);

    const civil = civilDays(from_ms, to_ms, zone);
    const days = civil.map((day, i): Day => ({
        from: along(day.at_ms),
        to: along(civil[i + 1]?.at_ms ?? to_ms),
        name: day.name,
        date: day.date,
        isFirstOfWeek: day.name === 'Mon',
        isWork: wish.workdays.has(day.name),
        weather: weather.get(day.iso) ?? null,
    }));

    const marks: Mark[] = [];
    const mark = (at_ms: number | null, kind: Mark['kind'], says: string): void => {
        if (at_ms !== null && at_ms >= from_ms && at_ms <= to_ms) marks.push({ at: along(at_ms), kind, says });
    };
    for (const run of wish.runs) mark(ms(run.by), 'run', run.says);
    const stay = outlook.supplies.find((one) => one.supply === 'stay');
    if (stay && !stay.leeway.p50.beyond_horizon) mark(ms(stay.leeway.p50.at), 'limit', 'stay limit');
    mark(ms(outlook.departure), 'leave', 'leave');
    if (past_days > 0) mark(start_ms, 'now', 'now');

    const { past } = wish;
    const isShown = ({ at_ms }: { at_ms: number }): boolean => at_ms >= from_ms && at_ms <= start_ms;
    function withPast(line: Line): Line {
        if (!past || past_days <= 0) return line;
        line.was = foreseenOf(past.foreseen, line.supply).filter(isShown).map(({ at_ms, ...share }) => ({ at: along(at_ms), ...share }));
        line.readings = readingsOf(past.entries, outlook, line.supply).filter(isShown).map(({ at_ms, ...share }) => ({ at: along(at_ms), ...share }));
        line.deeds = deedsOf(past.entries, line.supply).filter(isShown).map(({ at_ms, says }) => ({ at: along(at_ms), says }));
        return line;
    }

    const shown = days.filter((day) => day.weather !== null).map((day) => day.weather as WeatherDay);
    return {
        from_ms,
        days_shown: wish.days + past_days,
        now: afterStart(0),
        lines: outlook.supplies.filter((one) => one.is_shown).map((one) => withPast(lineOf(one, binds, wish.days, afterStart))),
        days,
        marks,
        spans: (wish.spans ?? []).map((one) => ({ from: along(one.from_ms), to: along(one.to_ms) })).filter((one) => one.to > 0 && one.from < 1),
        weather_c: shown.length ? { high: Math.max(...shown.map((day) => day.high_c)), low: Math.min(...shown.map((day) => day.low_c)) } : null,
    };
}

const WEEK = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];

/** Weekdays named by hours such as "Mon-Fri 8:00-16:00, Sat 9:00-12:00"; hours without days are every day. */
export function weekdaysOf(hours: string): Set<string> {
    const found = new Set<string>();
    for (const part of hours.split(',')) {
        const named = [...part.matchAll(/\b(Mon|Tue|Wed|Thu|Fri|Sat|Sun)(?:\s*-\s*(Mon|Tue|Wed|Thu|Fri|Sat|Sun))?\b/g)];
        if (!named.length && /\d/.test(part)) WEEK.forEach((day) => found.add(day));
        for (const [, first = '', last = first] of named)
            for (let i = WEEK.indexOf(first); ; i = (i + 1) % 7) {
                found.add(WEEK[i] ?? first);
                if (WEEK[i] === last) break;
            }
    }
    return found;
}

