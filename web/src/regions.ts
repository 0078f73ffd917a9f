// For somebody who does not know where they are in figures: round middles of regions, from memory. The climate of such a place
// is only roughly theirs, and the page says so.

import { civil } from './zone';

export interface Region {
    says: string;
    latitude: string;
    longitude: string;
    elevation: string;
    zone: string;
}

/** Who does not know at all: a region whose clock goes by the device's zone, or shows nearest to the same time. */
export function regionOf(zone: string, now_ms: number): Region {
    const minutes = (of: string): number => {
        const { year, month, day, hour, minute } = civil(now_ms, of);
        return Date.UTC(year, month - 1, day, hour, minute) / 60_000;
    };
    const away = (one: Region): number => (one.zone === zone ? -1 : Math.abs(minutes(one.zone) - minutes(zone)));
    return [...REGIONS].sort((a, b) => away(a) - away(b))[0] as Region;
}

export const REGIONS: readonly Region[] = [
    { says: 'Low desert of Arizona and California', latitude: '33.5 N', longitude: '114.5 W', elevation: '700 ft', zone: 'America/Phoenix' },
    { says: 'High desert of Utah and Nevada', latitude: '38.5 N', longitude: '112.5 W', elevation: '5500 ft', zone: 'America/Denver' },
    { says: 'Rocky Mountains', latitude: '39.5 N', longitude: '106.5 W', elevation: '8500 ft', zone: 'America/Denver' },
    { says: 'Northern Rockies', latitude: '46 N', longitude: '113 W', elevation: '5000 ft', zone: 'America/Denver' },
    { says: 'Pacific coast, south', latitude: '35.5 N', longitude: '120.5 W', elevation: '800 ft', zone: 'America/Los_Angeles' },
    { says: 'Pacific Northwest', latitude: '45.5 N', longitude: '122 W', elevation: '1500 ft', zone: 'America/Los_Angeles' },
    { says: 'Great Plains', latitude: '41 N', longitude: '100 W', elevation: '2800 ft', zone: 'America/Chicago' },
    { says: 'Texas and the Gulf', latitude: '29.5 N', longitude: '97 W', elevation: '300 ft', zone: 'America/Chicago' },
    { says: 'Great Lakes', latitude: '45 N', longitude: '87 W', elevation: '900 ft', zone: 'America/Chicago' },
    { says: 'Appalachians', latitude: '37 N', longitude: '81 W', elevation: '2200 ft', zone: 'America/New_York' },
    { says: 'Florida and the Southeast coast', latitude: '29 N', longitude: '82 W', elevation: '80 ft', zone: 'America/New_York' },
    { says: 'New England', latitude: '44 N', longitude: '71.5 W', elevation: '1000 ft', zone: 'America/New_York' },
];
