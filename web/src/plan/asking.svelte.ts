// One plan that is asked for: seconds of work that can be stopped, an answer, a refusal, and whether the book has changed since.

import { camp } from '../camp.svelte';
import { OutOfReach, Refusal } from '../client';
import { inWords, type Labels } from '../wrong';

export class Asking<T> {
    answer = $state.raw<T | null>(null);
    refusal = $state<string | null>(null);
    isAsking = $state(false);
    /** Whole seconds since it was asked. */
    seconds = $state(0);
    private changes = $state(0);
    private stopper: AbortController | null = null;

    /** asked: names of fields that were typed for it. */
    constructor(private readonly work: (signal: AbortSignal) => Promise<T>, private readonly asked: Labels | null = null) {}

    /** Something was logged or described anew since: the answer is of a camp that is no more. */
    get isStale(): boolean {
        return this.answer !== null && camp.known !== null && camp.known.state.changes !== this.changes;
    }

    async go(): Promise<T | null> {
        this.stop();
        const stopper = new AbortController();
        this.stopper = stopper;
        this.isAsking = true;
        this.refusal = null;
        this.seconds = 0;
        const clock = setInterval(() => this.seconds++, 1000), changes = camp.known?.state.changes ?? 0;
        try {
            const answer = await this.work(stopper.signal);
            if (this.stopper !== stopper) return null;
            this.answer = answer;
            this.changes = changes;
            return answer;
        } catch (problem) {
            if (stopper.signal.aborted) return null;
            if (!(problem instanceof Refusal || problem instanceof OutOfReach)) throw problem;
            this.refusal = !(problem instanceof Refusal) ? problem.message : this.asked ? inWords(problem, this.asked) : problem.text;
            return null;
        } finally {
            clearInterval(clock);
            if (this.stopper === stopper) this.isAsking = false;
        }
    }

    stop(): void {
        this.stopper?.abort();
        this.stopper = null;
        this.isAsking = false;
    }

    forget(): void {
        this.stop();
        this.answer = this.refusal = null;
    }
}
