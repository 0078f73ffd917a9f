// The map's arithmetic: where a spot is drawn, which marks stand together, how lines become paths. Nothing is drawn here.
// Spherical Mercator (EPSG 3857), in a world 1 wide: x east from 180 W, y south from 85.05 N.

export interface Spot {
    latitude_deg: number;
    longitude_deg: number;
}

/** A mark says what it is by shape and letter; colour only stresses one. */
export type Shape = 'round' | 'square' | 'diamond' | 'flag';

export interface Mark extends Spot {
    id: string;
    shape: Shape;
    letter: string;
    name: string;
    /** So many that stand together; 1 where it is left out. */
    count?: number;
    /** One that is never drawn together with others. */
    isOwn?: boolean;
}

export interface Area {
    id: string;
    name: string;
    /** Longitude and latitude of each corner, one behind the other; holes are rings too. */
    rings: readonly (readonly number[])[];
}

/** A road of an imported map: what it is drawn as says what it takes to drive it. */
export interface Road {
    id: string;
    look: RoadLook;
    lines: readonly (readonly number[])[];
}
export const ROAD_LOOKS = ['paved', 'unsaid', 'unpaved', 'hard'] as const;
export type RoadLook = (typeof ROAD_LOOKS)[number];
/** hard: it needs clearance or more. */
export const lookOf = (road: { is_paved: string | null; needs: string | null }): RoadLook => (road.needs && road.needs !== 'any car' ? 'hard' : road.is_paved === 'yes' ? 'paved' : road.is_paved === 'no' ? 'unpaved' : 'unsaid');

/** A line over the map: a route, a drive. */
export interface Way {
    id: string;
    spots: readonly Spot[];
    isGuess?: boolean;
}

export interface Box {
    west: number;
    south: number;
    east: number;
    north: number;
}

/** What is looked at: the middle, and how many pixels the world is wide. */
export interface View {
    x: number;
    y: number;
    world_px: number;
}

const LATITUDE_MOST = 85.05;
const RAD = Math.PI / 180;
export const WORLD_LEAST_PX = 512;
/** Some 10 m to the pixel at the equator's scale over 60: nearer than that the ground has nothing more to show. */
export const WORLD_MOST_PX = 512 * 2 ** 16;

export const xOf = (longitude_deg: number): number => longitude_deg / 360 + 0.5;
export const yOf = (latitude_deg: number): number => {
    const sine = Math.sin(Math.max(-LATITUDE_MOST, Math.min(LATITUDE_MOST, latitude_deg)) * RAD);
    return 0.5 - Math.log((1 + sine) / (1 - sine)) / (4 * Math.PI);
};
export const longitudeOf = (x: number): number => (x - Math.floor(x) - 0.5) * 360;
export const latitudeOf = (y: number): number => Math.atan(Math.sinh(Math.PI * (1 - 2 * y))) / RAD;

/** So near to the middle, over the seam of the map too, that it is drawn once. */
export const nearTo = (x: number, middle: number): number => x + Math.round(middle - x);

export function boxOf(view: View, width: number, height: number): Box {
    const half_x = Math.min(0.5, width / 2 / view.world_px), half_y = height / 2 / view.world_px;
    return { west: longitudeOf(view.x - half_x), east: longitudeOf(view.x + half_x), north: latitudeOf(Math.max(0, view.y - half_y)), south: latitudeOf(Math.min(1, view.y + half_y)) };
}

export const clampView = (view: View): View => ({ x: view.x - Math.floor(view.x), y: Math.max(0, Math.min(1, view.y)), world_px: Math.max(WORLD_LEAST_PX, Math.min(WORLD_MOST_PX, view.world_px)) });

/** Nearer or farther, with the spot under the finger where it is; dx, dy: of the finger from the middle, in pixels. */
export function zoomed(view: View, by: number, dx = 0, dy = 0): View {
    const world_px = Math.max(WORLD_LEAST_PX, Math.min(WORLD_MOST_PX, view.world_px * by));
    return clampView({ x: view.x + dx / view.world_px - dx / world_px, y: view.y + dy / view.world_px - dy / world_px, world_px });
}

/** All spots within the picture, with a rim; a single one from as far as a day's drive shows around it. */
export function fit(spots: readonly Spot[], width: number, height: number): View {
    const NORTH_AMERICA = [{ latitude_deg: 52, longitude_deg: -125 }, { latitude_deg: 25, longitude_deg: -68 }];
    const all = spots.length ? spots : NORTH_AMERICA, first = xOf(all[0]?.longitude_deg ?? 0);
    const xs = all.map((one) => nearTo(xOf(one.longitude_deg), first)), ys = all.map((one) => yOf(one.latitude_deg));
    const west = Math.min(...xs), east = Math.max(...xs), north = Math.min(...ys), south = Math.max(...ys);
    const RIM = 0.8, LEAST = all.length > 1 ? 0.003 : 0.012; // of the world: some 95 and 380 km in the middle of the continent
    const world_px = Math.min((RIM * width) / Math.max(LEAST, east - west), (RIM * height) / Math.max(LEAST, south - north));
    return clampView({ x: (west + east) / 2, y: (north + south) / 2, world_px });
}

/** Pixels from the middle of the picture. */
export const offOf = (view: View, spot: Spot): { x: number; y: number } => ({ x: (nearTo(xOf(spot.longitude_deg), view.x) - view.x) * view.world_px, y: (yOf(spot.latitude_deg) - view.y) * view.world_px });

/** Marks that would hide each other become one with their number; own places stay by themselves. */
export function together(marks: readonly Mark[], view: View, apart_px = 34): Mark[] {
    const cells = new Map<string, Mark[]>(), out: Mark[] = [];
    const size = apart_px / view.world_px;
    for (const mark of marks) {
        if (mark.isOwn) continue;
        const cell = `${Math.floor(xOf(mark.longitude_deg) / size)} ${Math.floor(yOf(mark.latitude_deg) / size)}`;
        cells.set(cell, [...(cells.get(cell) ?? []), mark]);
    }
    for (const [cell, all] of cells) {
        const one = all[0];
        if (!one) continue;
        const count = all.reduce((sum, mark) => sum + (mark.count ?? 1), 0);
        const mean = (of: (mark: Mark) => number): number => all.reduce((sum, mark) => sum + of(mark) * (mark.count ?? 1), 0) / count;
        out.push(all.length === 1 ? one : { ...one, id: `cell ${cell}`, name: `${count} together`, count, latitude_deg: mean((mark) => mark.latitude_deg), longitude_deg: mean((mark) => mark.longitude_deg) });
    }
    return [...out, ...marks.filter((mark) => mark.isOwn)];
}

/** Which names have room: right of the mark, else left, else none; the first of the row goes before the others. A letter takes some 6.5 px. */
export function namesOf(placed: readonly { mark: Mark; x: number; y: number }[], width: number): Map<string, 'right' | 'left'> {
    const LETTER_PX = 6.5, HIGH_PX = 14, OFF_PX = 13;
    const taken: { from: number; to: number; y: number }[] = [], sides = new Map<string, 'right' | 'left'>();
    for (const { mark, x, y } of placed) {
        if (!mark.isOwn) continue;
        const wide = LETTER_PX * mark.name.length;
        for (const side of x > width / 2 - 90 ? (['left'] as const) : (['right', 'left'] as const)) {
            const from = side === 'right' ? x + OFF_PX : x - OFF_PX - wide, to = from + wide;
            if (taken.some((one) => Math.abs(one.y - y) < HIGH_PX && one.from < to && from < one.to)) continue;
            taken.push({ from, to, y });
            sides.set(mark.id, side);
            break;
        }
    }
    return sides;
}

/** A line of the ground in the world's measure, with its box. */
export interface Line {
    points: Float64Array;
    west: number;
    east: number;
    north: number;
    south: number;
}

function lineOf(points: Float64Array): Line {
    const line: Line = { points, west: Infinity, east: -Infinity, north: Infinity, south: -Infinity };
    for (let i = 0; i < points.length; i += 2) {
        const x = points[i] ?? 0, y = points[i + 1] ?? 0;
        line.west = Math.min(line.west, x);
        line.east = Math.max(line.east, x);
        line.north = Math.min(line.north, y);
        line.south = Math.max(line.south, y);
    }
    return line;
}

/** "x y dx dy-dx..." in hundredths of a degree, as web/tools/base-map.mjs writes it. */
export function readLine(text: string): Line {
    const steps = text.match(/-?\d+/g) ?? [], points = new Float64Array(steps.length);
    let x = 0, y = 0;
    for (let i = 0; i + 1 < steps.length; i += 2) {
        x += Number(steps[i]);
        y += Number(steps[i + 1]);
        points[i] = xOf(x / 100);
        points[i + 1] = yOf(y / 100);
    }
    return lineOf(points);
}

/** Of longitude, latitude, longitude ... */
export function ringOf(degrees: readonly number[]): Line {
    const points = new Float64Array(degrees.length);
    for (let i = 0; i + 1 < degrees.length; i += 2) {
        points[i] = xOf(degrees[i] ?? 0);
        points[i + 1] = yOf(degrees[i + 1] ?? 0);
    }
    return lineOf(points);
}

/**
 * An SVG path of the lines that show, in pixels from the middle of the picture; steps of less than a pixel are passed over.
 * reach: half of what is drawn, as a share of the world.
 */
export function pathOf(lines: readonly Line[], view: View, reach_x: number, reach_y: number, isClosed: boolean): string {
    const parts: string[] = [], px = view.world_px;
    for (const line of lines)
        for (const turn of [-1, 0, 1]) {
            const off = turn - view.x;
            if (line.east + off < -reach_x || line.west + off > reach_x || line.south - view.y < -reach_y || line.north - view.y > reach_y) continue;
            if (isClosed && Math.max(line.east - line.west, line.south - line.north) * px < 1.5) continue;
            let last_x = NaN, last_y = NaN;
            const { points } = line, n = points.length;
            for (let i = 0; i < n; i += 2) {
                const x = Math.round(((points[i] ?? 0) + off) * px * 10) / 10, y = Math.round(((points[i + 1] ?? 0) - view.y) * px * 10) / 10;
                if (i > 0 && i < n - 2 && Math.abs(x - last_x) < 0.8 && Math.abs(y - last_y) < 0.8) continue;
                parts.push(i === 0 ? `M${x} ${y}` : `L${x} ${y}`);
                last_x = x;
                last_y = y;
            }
            if (isClosed) parts.push('Z');
        }
    return parts.join('');
}

/** Whether a spot lies in an odd number of rings. */
export function isWithin(lines: readonly Line[], spot: Spot): boolean {
    const x = xOf(spot.longitude_deg), y = yOf(spot.latitude_deg);
    let isIn = false;
    for (const { points } of lines)
        for (let i = 0, k = points.length - 2; i < points.length; k = i, i += 2) {
            const [ax = 0, ay = 0, bx = 0, by = 0] = [points[i], points[i + 1], points[k], points[k + 1]];
            if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) isIn = !isIn;
        }
    return isIn;
}

const EARTH_M = 40_075_016.7; // around the equator of the sphere that the projection is of
export interface Bar {
    px: number;
    says: string;
}
/** A round length near `most_px` wide, at the middle of the picture. */
export function barOf(view: View, isMiles: boolean, most_px = 110): Bar {
    const m_per_px = (EARTH_M * Math.cos(latitudeOf(view.y) * RAD)) / view.world_px;
    const unit_m = isMiles ? (m_per_px * most_px < 1609.344 ? 0.3048 : 1609.344) : m_per_px * most_px < 1000 ? 1 : 1000;
    const most = (m_per_px * most_px) / unit_m, ten = 10 ** Math.floor(Math.log10(most));
    const round = [5, 2, 1].map((one) => one * ten).find((one) => one <= most) ?? ten;
    return { px: (round * unit_m) / m_per_px, says: `${round} ${isMiles ? (unit_m < 1 ? 'ft' : 'mi') : unit_m > 1 ? 'km' : 'm'}` };
}

/** Steps of a graticule that leave some 120 px between lines. */
export function graticuleOf(view: View): number {
    const deg_px = view.world_px / 360;
    return [0.05, 0.1, 0.25, 0.5, 1, 2, 5, 10, 30].find((step) => step * deg_px > 120) ?? 30;
}

export const spotSays = ({ latitude_deg, longitude_deg }: Spot, digits = 4): string =>
    `${Math.abs(latitude_deg).toFixed(digits)} ${latitude_deg < 0 ? 'S' : 'N'}, ${Math.abs(longitude_deg).toFixed(digits)} ${longitude_deg < 0 ? 'W' : 'E'}`;
