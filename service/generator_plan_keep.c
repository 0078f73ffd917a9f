#include <stdio.h>

#include "service/generator_plan.h"
#include "service/household.h"
#include "service/words_internal.h"
#include "text/moment.h"
#include "text/say.h"

enum { WINDOW_BYTES = 80, TEXT_BYTES = WINDOW_BYTES * (LW_WINDOWS + 1) };

lw_code lw_generator_plan_keep(lw_book *book, int64_t now_s, const lw_generator_plan *plan, lw_err *err)
{
    static const char KEY[] = "stay.generator=";
    char text[TEXT_BYTES], from[48], until[48];
    const char *change = text;
    lw_line line = lw_line_of(text, sizeof text);
    if (!plan->is_found)
        return lw_fail(err, LW_E_CONFLICT, "no hours keep the battery above its floor, so there is no plan to keep");
    if (plan->run_count > LW_WINDOWS)
        return lw_fail(err, LW_E_FULL, "a stay holds %d windows of the generator, and these are %d", LW_WINDOWS,
                       plan->run_count);
    lw_line_add(&line, "%s%s", KEY, plan->run_count > 0 ? "" : "none");
    for (int i = 0; i < plan->run_count; i++)
        lw_line_add(&line, "%s{from: %s, until: %s}%s", i == 0 ? "[" : ", ",
                    lw_instant_print(from, sizeof from, (double)plan->run[i].from_s, 0),
                    lw_instant_print(until, sizeof until, (double)plan->run[i].until_s, 0),
                    i + 1 == plan->run_count ? "]" : "");
    return lw_household_change(book, now_s, &change, 1, err);
}
