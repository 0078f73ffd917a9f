// One thing after the other is tried on the outlook: a quick answer first, a full one when nothing else is wanted meanwhile. One question at
// a time, so that what is shown is never older than one question. Each is compared with today's answer of as many draws: the same draws, so that a
// difference is no chance.

import { client, OutOfReach, Refusal, type OutlookWish } from './client';
import type { Outlook } from './made/outlook';

const QUICK_DRAWS = 48;

export class Trial {
    /** The outlook as it is, of as many draws as a quick answer. */
    quickly = $state<Outlook | null>(null);
    after = $state<Outlook | null>(null);
    isRough = $state(false);
    refusal = $state<string | null>(null);
    private isAsking = false;
    private wanted: 'quick' | 'full' | null = null;

    /** `wish` gives what is tried at the moment it is asked; null: nothing. */
    constructor(private readonly wish: () => OutlookWish | null) {}

    async ask(isQuick: boolean): Promise<void> {
        this.wanted = isQuick ? 'quick' : 'full';
        if (this.isAsking) return;
        this.isAsking = true;
        while (this.wanted !== null) {
            const pace: 'quick' | 'full' = this.wanted, wish = this.wish();
            this.wanted = null;
            if (!wish) {
                this.after = null;
                this.refusal = null;
                continue;
            }
            try {
                this.quickly ??= await client.outlook({ draws: QUICK_DRAWS });
                this.after = await client.outlook({ ...wish, draws: QUICK_DRAWS });
                this.isRough = true;
                this.refusal = null;
                if (pace === 'full' && this.isAlone()) {
                    const whole = await client.outlook(wish);
                    if (this.isAlone()) {
                        this.after = whole;
                        this.isRough = false;
                    }
                }
            } catch (problem) {
                if (!(problem instanceof Refusal || problem instanceof OutOfReach)) throw problem;
                this.refusal = problem.message;
            }
        }
        this.isAsking = false;
    }

    private isAlone(): boolean {
        return this.wanted === null;
    }

    /** Today's answer is another now. */
    forget(): void {
        this.quickly = this.after = null;
        this.isRough = false;
    }
}
