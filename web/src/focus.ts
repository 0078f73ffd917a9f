// What had the focus may be gone after it was pressed, or out of use while the answer comes; without this the keyboard and a screen
// reader would begin at the top of the page again.

/** Watches the page for as long as it is open. */
export function keepFocus(): void {
    // What has the focus, and all that it stands in, from within.
    let chain: Element[] = [];
    // It went, or went out of use. Without that nothing is brought back: between two presses of Tab nobody has the focus either.
    let isAway = false;
    const isLost = (): boolean => !document.activeElement || document.activeElement === document.body;
    const isIdle = (one: Element): boolean => one.isConnected && !one.matches(':disabled');
    document.addEventListener('focusin', ({ target }) => {
        chain = [];
        isAway = false;
        for (let one = target instanceof Element ? target : null; one && one !== document.body; one = one.parentElement) chain.push(one);
    });
    // Left by hand it is nobody's any more. What is taken out is still there at this moment, so it is looked at a moment later.
    document.addEventListener('focusout', () => queueMicrotask(() => chain[0] && isIdle(chain[0]) && isLost() && (chain = [])));
    new MutationObserver(() => {
        const [had] = chain;
        if (had && !isIdle(had)) isAway = true;
        if (!had || !isAway || !isLost() || (had.isConnected && !isIdle(had))) return;
        const next = chain.find((one) => one.isConnected) ?? document.getElementById('main');
        chain = [];
        if (!(next instanceof HTMLElement)) return;
        if (next !== had && !next.hasAttribute('tabindex')) {
            next.tabIndex = -1;
            next.classList.add('lent');
            next.addEventListener('blur', () => { next.removeAttribute('tabindex'); next.classList.remove('lent'); }, { once: true });
        }
        next.focus({ preventScroll: true });
    }).observe(document.body, { childList: true, subtree: true, attributes: true, attributeFilter: ['disabled'] });
}
