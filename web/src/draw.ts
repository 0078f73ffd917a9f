// From the chart's numbers to the few paths that draw it: one a kind of stroke, not one a day or reading, since nodes are what a
// redraw of 60 days costs. Across, 0..1000 is the whole axis, stretched to its place; down, one is a pixel. Pure; Chart.svelte shows it.

import type { Chart, Day, Line, Mark } from './chart';

const across = (frac: number): string => (1000 * frac).toFixed(1);
const box = (from: number, to: number): string => `M${across(from)} 0H${across(to)}V1H${across(from)}Z`;
const upright = (at: number): string => `M${across(at)} 0V1`;
const join = <T>(rows: readonly T[], path: (row: T) => string): string => rows.map(path).join('');

/** Half the height of a line that is sure, and of one that is all but gone. */
const HALF = 7, THIN = 0.7;

/** The thinning part, cut off where the axis ends. */
function wedge(line: Line): string {
    const points = line.fade.map(({ at, chance }) => ({ at, half: THIN + (HALF - THIN) * chance }));
    const out = points.findIndex(({ at }) => at > 1), before = points[out - 1], beyond = points[out];
    if (beyond) points.splice(out, points.length, ...(before ? [{ at: 1, half: before.half + ((beyond.half - before.half) * (1 - before.at)) / (beyond.at - before.at) }] : []));
    if (points.length < 2) return '';
    const upper = points.map(({ at, half }) => `${across(at)} ${(-half).toFixed(2)}`);
    const lower = points.map(({ at, half }) => `${across(at)} ${half.toFixed(2)}`).reverse();
    return `M${[...upper, ...lower].join('L')}Z`;
}

/** How full it was held to be: the whole height of a line is a full one. */
const level = (frac: number): string => (HALF - 2 * HALF * Math.min(1, Math.max(0, frac))).toFixed(2);
function course(line: Line): { band: string; middle: string } {
    if (line.was.length < 2) return { band: '', middle: '' };
    const along = (of: 'low' | 'middle' | 'high'): string[] => line.was.map((one) => `${across(one.at)} ${level(one[of])}`);
    return { band: `M${[...along('high'), ...along('low').reverse()].join('L')}Z`, middle: `M${along('middle').join('L')}` };
}

export interface DrawnLine {
    fade: string;
    sure: string;
    base: string;
    was: string;
    wasMiddle: string;
    /** Upright strokes over what a gauge showed, and dots where it showed one vessel among several. */
    reads: string;
    dots: string;
}

/** Two pixels at least, or a gauge that is exact would not be seen. */
function stroke(at: number, low: number, high: number): string {
    const top = Number(level(high));
    return `M${across(at)} ${top}V${Math.max(Number(level(low)), top + 2)}`;
}

export function drawLine(line: Line, now: number): DrawnLine {
    const { band, middle } = course(line);
    return {
        fade: wedge(line),
        sure: line.sure > now ? `M${across(now)} ${-HALF}H${across(line.sure)}V${HALF}H${across(now)}Z` : '',
        base: `M${across(now)} 0H1000`,
        was: band,
        wasMiddle: middle,
        reads: join(line.readings, ({ at, low, high }) => (low !== null && high !== null ? stroke(at, low, high) : '')),
        dots: join(line.readings, ({ at, low, high }) => (low !== null && high !== null ? '' : `M${across(at)} 0h0.1`)),
    };
}

/** A day's high and low as a stroke, stronger under a clear sky, in five steps; frost apart. */
export const CLEAR_STEPS = [0.25, 0.44, 0.63, 0.81, 1] as const;
export const DROPS_PX = [3.4, 5, 6.8] as const;
export interface Sky {
    strokes: { isFrost: boolean; opacity: number; d: string }[];
    drops: { width_px: number; d: string }[];
    names: { at: number; says: string; isFirst: boolean }[];
}

// A phone's axis has some 15 px a day in a fortnight: one letter; beyond that only Mondays, by date.
function nameOf(day: Day, days_shown: number): string {
    if (day.to - day.from < 0.6 / days_shown) return '';
    if (days_shown <= 8) return day.name;
    if (days_shown <= 22) return day.name.slice(0, 1);
    return day.isFirstOfWeek ? day.date : '';
}

export function drawSky(chart: Chart): Sky {
    const low_c = chart.weather_c?.low ?? 0, range_c = Math.max((chart.weather_c?.high ?? 1) - low_c, 5);
    const rise = (value_c: number): string => (50 - (26 * (value_c - low_c)) / range_c).toFixed(1);
    const middle = (day: Day): string => across((day.from + day.to) / 2);
    // Less than half a day's hours are no high and low of a day.
    const days = chart.days.flatMap((day) => (day.weather && day.weather.hours > 11 ? [{ day, weather: day.weather }] : []));
    const stepOf = (clear_frac: number | null): number => Math.round((CLEAR_STEPS.length - 1) * Math.min(1, Math.max(0, clear_frac ?? 0.5)));
    const dropOf = (rain_mm: number): number => (rain_mm < 2 ? -1 : rain_mm < 6 ? 0 : rain_mm < 12 ? 1 : 2);
    return {
        strokes: [false, true].flatMap((isFrost) =>
            CLEAR_STEPS.map((opacity, step) => ({
                isFrost,
                opacity,
                d: join(days.filter(({ weather }) => weather.low_c <= 0 === isFrost && stepOf(weather.clear_frac) === step), ({ day, weather }) => `M${middle(day)} ${rise(weather.high_c)}V${rise(weather.low_c)}`),
            })),
        ),
        drops: DROPS_PX.map((width_px, size) => ({ width_px, d: join(days.filter(({ weather }) => dropOf(weather.rain_mm) === size), ({ day }) => `M${middle(day)} 58h0.1`) })),
        names: chart.days.flatMap((day) => {
            const says = nameOf(day, chart.days_shown);
            return says ? [{ at: (day.from + day.to) / 2, says, isFirst: day.isFirstOfWeek }] : [];
        }),
    };
}

export interface Under {
    work: string;
    weeks: string;
    spans: string;
    marks: Record<Mark['kind'], string>;
}

/** Work days in a row are one shade: two beside each other would show a seam. */
function shifts(days: readonly Day[]): { from: number; to: number }[] {
    const rows: { from: number; to: number }[] = [];
    for (const { isWork, from, to } of days) {
        const last = rows[rows.length - 1];
        if (isWork && last?.to === from) last.to = to;
        else if (isWork) rows.push({ from, to });
    }
    return rows;
}

export function drawUnder(chart: Chart): Under {
    const marks = (kind: Mark['kind']): string => join(chart.marks.filter((mark) => mark.kind === kind), ({ at }) => upright(at));
    return {
        work: join(shifts(chart.days), ({ from, to }) => box(from, to)),
        weeks: join(chart.days.filter((day) => day.isFirstOfWeek && day.from > 0), ({ from }) => upright(from)),
        spans: join(chart.spans, ({ from, to }) => box(from, to)),
        marks: { run: marks('run'), leave: marks('leave'), limit: marks('limit'), now: marks('now') },
    };
}
