// Where the reader is: the part of the address behind #, so that back, forward and bookmarks work without a server.

export const VIEWS = ['now', 'read', 'try', 'plan', 'places', 'rig', 'lists'] as const;
export type View = (typeof VIEWS)[number] | 'why' | 'place' | 'settings';

export interface Route {
    view: View;
    what: string;
}

function parse(hash: string): Route {
    const [view = '', what = ''] = hash.replace(/^#\/?/, '').split('/');
    const known: readonly string[] = [...VIEWS, 'why', 'place', 'settings'];
    return known.includes(view) ? { view: view as View, what: decodeURIComponent(what) } : { view: 'now', what: '' };
}

export const route = $state<Route>(parse(location.hash));

addEventListener('hashchange', () => {
    Object.assign(route, parse(location.hash));
    scrollTo(0, 0);
    document.querySelector<HTMLElement>('main')?.focus({ preventScroll: true });
});

export function go(path: string): void {
    location.hash = `#/${path}`;
}
