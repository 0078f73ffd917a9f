#include "service/plan_source.h"

#include <stdio.h>
#include <stdlib.h>

#include "text/say.h"

/* Those of the source, then those of a trial: the caller's (free). NULL: no memory. */
static const char **all_changes(const lw_plan_source *s, const char *first, const char *const *change, int change_count,
                                int *count, lw_err *err)
{
    const char **all = calloc((size_t)s->change_count + (size_t)change_count + 1, sizeof *all);
    if (!all) {
        (void)lw_fail(err, LW_E_FULL, "no memory for the changes of a scenario");
        return NULL;
    }
    *count = 0;
    if (first)
        all[(*count)++] = first;
    for (int i = 0; i < s->change_count; i++)
        all[(*count)++] = s->change[i];
    for (int i = 0; i < change_count; i++)
        all[(*count)++] = change[i];
    return all;
}

static lw_code file_from(const lw_plan_source *s, int64_t begin_s, const char *const *change, int change_count,
                         lw_loaded *loaded, lw_err *err)
{
    char leave[160];
    int count = 0;
    snprintf(leave, sizeof leave, "stay.leave=%.140s", s->until ? s->until : "");
    const char **all = all_changes(s, s->until ? leave : NULL, change, change_count, &count, err);
    if (!all)
        return LW_E_FULL;
    const lw_code code = lw_scenario_load(
        &(lw_scenario_from){
            .path = s->path, .change = all, .change_count = count, .now_s = s->now_s, .begin_s = begin_s},
        loaded, err);
    free(all);
    return code;
}

static lw_code book_from(lw_plan_source *s, int64_t begin_s, const char *const *change, int change_count,
                         lw_loaded *loaded, lw_draw_start **start, uint32_t *start_count, lw_err *err)
{
    char leave[160];
    int count = 0;
    snprintf(leave, sizeof leave, "stay.leave=%.140s", s->until ? s->until : "");
    const char **all = all_changes(s, s->is_anew && s->until ? leave : NULL, change, change_count, &count, err);
    if (!all)
        return LW_E_FULL;
    const lw_learning_request request = {.now_s = s->now_s, .until = s->until, .change = all, .change_count = count};
    lw_learning from = *s->known.learning;
    from.now_s = begin_s > from.now_s ? begin_s : from.now_s;
    pthread_mutex_lock(&s->one_at_a_time);
    const lw_code code = s->is_anew ? lw_learning_anew(s->book, &from, all, count, loaded, start, err)
                                    : lw_learning_changed(s->book, &request, &from, loaded, start, err);
    pthread_mutex_unlock(&s->one_at_a_time);
    free(all);
    *start_count = code ? 0 : from.learned.draws;
    return code;
}

static lw_code load_from(lw_plan_source *s, int64_t begin_s, const char *const *change, int change_count,
                         lw_loaded *loaded, lw_draw_start **start, uint32_t *start_count, lw_err *err)
{
    *start = NULL;
    *start_count = 0;
    if (s->is_over && s->is_over(s->with))
        return lw_fail(err, LW_E_CONFLICT, "the plan was given up: nobody waits for it any more");
    return s->path ? file_from(s, begin_s, change, change_count, loaded, err)
                   : book_from(s, begin_s, change, change_count, loaded, start, start_count, err);
}

static lw_code load(void *with, const char *const *change, int change_count, lw_loaded *loaded, lw_draw_start **start,
                    uint32_t *start_count, lw_err *err)
{
    return load_from(with, 0, change, change_count, loaded, start, start_count, err);
}

static lw_code load_later(void *with, const char *const *change, int change_count, lw_loaded *loaded,
                          lw_draw_start **start, uint32_t *start_count, lw_err *err)
{
    const lw_plan_later *later = with;
    return load_from(later->source, later->begin_s, change, change_count, loaded, start, start_count, err);
}

lw_code lw_plan_source_open(lw_plan_source *source, lw_err *err)
{
    if (source->path)
        return LW_OK;
    if (pthread_mutex_init(&source->one_at_a_time, NULL) != 0)
        return lw_fail(err, LW_E_FULL, "no memory for a plan");
    const lw_learning_request request = {.now_s = source->now_s,
                                         .until = source->is_anew ? NULL : source->until,
                                         .draws = {.draws = 1, .seed = source->seed}};
    const lw_code code = lw_learning_run(source->book, &request, &source->known, err);
    if (code)
        pthread_mutex_destroy(&source->one_at_a_time);
    return code;
}

void lw_plan_source_close(lw_plan_source *source)
{
    if (source->known.learning)
        pthread_mutex_destroy(&source->one_at_a_time);
    lw_outlook_answer_clear(&source->known);
    source->known = (lw_outlook_answer){.outlook = NULL};
}

lw_code lw_plan_source_camp(lw_plan_source *source, lw_loaded *camp, lw_err *err)
{
    lw_draw_start *start = NULL;
    uint32_t start_count = 0;
    const lw_code code = load(source, NULL, 0, camp, &start, &start_count, err);
    free(start);
    return code;
}

lw_trials lw_plan_source_trials(lw_plan_source *source)
{
    return (lw_trials){
        .load = load, .with = source, .seed = source->seed, .threads = source->threads, .begins_anew = source->is_anew};
}

lw_trials lw_plan_later_trials(lw_plan_later *later)
{
    return (lw_trials){.load = load_later,
                       .with = later,
                       .seed = later->source->seed,
                       .threads = later->source->threads,
                       .begins_anew = later->source->is_anew};
}
