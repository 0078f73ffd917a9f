#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/log.h"
#include "service/signal_log.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

enum { WORDS = 24, TEXT = 512 };

/* A vessel of every kind of gauge; the scenario is loaded once. */
static const char RIG[] =
    "leeway: 1\n"
    "rig: {kind: class-c, tanks: {fresh: [{name: main, capacity: 40 gal}, {name: cans, capacity: 6 gal, gauge: "
    "none}],\n"
    "  grey: [{name: kitchen grey, capacity: 20 gal, gauge: quarters}, {name: bath, capacity: 20 gal, gauge: "
    "percent}]},\n"
    "  propane: {cylinders: [{name: left, capacity: 20 lb, gauge: {kind: scale, tare: 17 lb}}]},\n"
    "  rubbish: {name: bin, capacity: 3 bags}, data: {name: plan, allowance: 50 GB}}\n"
    "crew: 2 adults\n"
    "place: {latitude: 38.2 N, longitude: 111.1 W, elevation: 1000 m, zone: UTC}\n"
    "stay: {arrive: 2026-06-08 15:00}\n"
    "weather: {high: 30 C, low: 10 C}\n";

static void check(const lw_loaded *rig, const lw_logged *logged)
{
    char said[LW_LOG_SAID], printed[LW_LOG_SAID];
    for (int i = 0; i < logged->count; i++) {
        const lw_log_record *r = &logged->record[i];
        if (r->low > r->high || (!isnan(r->amount) && !(r->amount > 0.0)))
            abort();
        if (!lw_log_say(rig, r, LW_UNITS_US, said, sizeof said)[0] || !lw_log_print(rig, r, printed, sizeof printed)[0])
            abort();
        const char *word = printed;
        lw_logged again;
        lw_err err = {0};
        if (r->kind == LW_LOG_READING && lw_log_read(rig, r->at_s, &word, 1, &again, &err))
            abort();
    }
}

/* Words are parted by line feeds; first as a reading or an event, then as a signal and as a time. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    static lw_loaded rig;
    static lw_logged logged;
    char text[TEXT];
    const char *words[WORDS];
    int count = 0, is_twice;
    lw_err err = {0};
    lw_signal signal;
    int64_t at_s;
    if (!rig.scenario &&
        lw_scenario_load(&(lw_scenario_from){.path = "rig", .bytes = RIG, .size = sizeof RIG - 1}, &rig, &err))
        abort();
    if (n >= sizeof text || memchr(bytes, 0, n))
        return 0;
    memcpy(text, bytes, n);
    text[n] = '\0';
    for (char *at = text; at && count < WORDS;) {
        words[count++] = at;
        at = strchr(at, '\n');
        if (at)
            *at++ = '\0';
    }
    if (!lw_log_read(&rig, 1781000000, words, count, &logged, &err))
        check(&rig, &logged);
    else if (!err.text[0])
        abort();
    err = (lw_err){0};
    if (lw_signal_read(words, count, &signal, &err) && !err.text[0])
        abort();
    err = (lw_err){0};
    if (!lw_log_time(&rig.zone, words[0], 1781789400, 1781000000, &at_s, &is_twice, &err) &&
        (at_s > 1781789400 || at_s < 1781000000))
        abort();
    return 0;
}
