#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/scenario_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"

enum { PAGE_BYTES = 256 << 10, CELL_BYTES = 400 };

typedef struct page {
    char *text;
    size_t used;
} page;

static void put(page *p, const char *fmt, ...) LW_PRINTF(2, 3);

static void put(page *p, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    const int n = vsnprintf(p->text + p->used, PAGE_BYTES - p->used, fmt, args);
    va_end(args);
    if (n > 0 && (size_t)n < PAGE_BYTES - p->used)
        p->used += (size_t)n;
}

static const char INTRO[] =
    "# The scenario file\n"
    "\n"
    "A scenario says who stays where, with what rig, when, and under what weather. It is a text file in YAML (JSON is\n"
    "read as well) and begins with `leeway: 1`. Ten lines are enough, see `examples/ten-lines.yaml`; every key with a\n"
    "comment stands in `examples/every-key.yaml`. This page is made from the program's own table of keys.\n"
    "\n"
    "- **Quantities carry their unit**: `40 gal`, `151 L`, `20 lb`, `200 Ah`, `68 F`. A number without one is refused, "
    "with the\n"
    "  units that fit. `units: si` changes the answers only.\n"
    "- **Levels** are an amount, a share (`2/3`, `40 %`), `full` or `empty`.\n"
    "- **What is left out** is taken from the row of the rig's kind, from the tables of habits and appliances, or from "
    "the\n"
    "  defaults below; each such value is listed as an assumption with its source. `none` says that there is no such "
    "thing.\n"
    "- **Not known.** `capacity`, `residue` and a gauge's `bias` of a water tank may be `unknown`, or `about 30 gal`. "
    "What "
    "is left\n"
    "  out or unknown is what is usual, with a doubt (data/unsure.csv), and is learned from readings of the book with "
    "the\n"
    "  rest ([learning](../learning.md)).\n"
    "- **Short forms.** Where a map or list has a *short form*, one plain value stands for that key: `solar: 400 W`,\n"
    "  `propane: 2 x 20 lb`, `crew: 2 adults, 4 children`, `battery: 200 Ah`.\n"
    "- **Hours** are weekly and civil: `Mon-Fri 8:00-16:00, Sat 9:00-12:00`, `22:00-6:00`, `always`, `never`. They "
    "count in whole\n"
    "  hours: one counts where at least half of it lies inside.\n"
    "- **Times** are civil times at the place: `2026-06-08 15:00`. A date alone means 15:00 for an arrival, 10:00 for "
    "a departure.\n"
    "- **Changes** on the command line name a key by its path, an item of a list by its name or number: `rig.solar=400 "
    "W`,\n"
    "  `crew.habits.dishes=paper`, `rig.tanks.grey.kitchen.level=empty`. `+=` adds: `rig.solar+=200 W` one more "
    "array,\n"
    "  `rig.battery.capacity+=100 Ah` so much more, counted from the default where the file does not say it.\n"
    "- **Weather** is an hourly file, values by month, or one set of values. From a high and a low each day gets the "
    "same curve:\n"
    "  the low at 6:00 and the high at 15:00 by the sun, half a cosine between either (clear days: 1-2 K off; storms: "
    "more). Air\n"
    "  is corrected by 6.5 K for each km between where it was measured and the place; in winter valleys the truth may "
    "be\n"
    "  the other way round. Clearness is the same in every hour. A `forecast` goes first, for its own hours; what it "
    "said\n"
    "  differently from the weather behind it fades: its air as warm and cold spells do, the rest over a day. It is a "
    "file\n"
    "  that `leeway weather fetch` gets. What the climate of a place, a station's record and a forecast give: "
    "[weather](weather.md).\n"
    "- **An amount for a supply of several vessels** (`add`, `take`) goes to the first in use; `fill` and `dump` mean "
    "all of them.\n"
    "\n"
    "Common practice, published, from memory: the last column says what stands behind a default.\n";

static void bound(char *buf, size_t n, double value, const lw_key *key)
{
    if (key->dim == LW_DIM_NUMBER)
        lw_decimal_print_digits(buf, n, value, 3);
    else
        lw_quantity_print(buf, n, value, key->dim, LW_UNITS_US);
}

static void words_of(char *buf, size_t n, const char *words)
{
    char word[LW_NAME];
    size_t used = 0;
    buf[0] = '\0';
    for (int i = 0; lw_word_at(words, i, word, sizeof word) && used < n; i++)
        used += (size_t)snprintf(buf + used, n - used, "%s`%s`", i ? ", " : "", word);
}

static void takes(char *buf, size_t n, const lw_key *key)
{
    char low[LW_QUANTITY_BYTES], high[LW_QUANTITY_BYTES], items[LW_TEXT_BYTES];
    static const char *const PLAIN[] = {
        [LW_KEY_YESNO] = "`yes` or `no`", [LW_KEY_TEXT] = "text",         [LW_KEY_MOMENT] = "date and time",
        [LW_KEY_DATE] = "date",           [LW_KEY_HOURS] = "hours",       [LW_KEY_SPANS] = "one span or a list",
        [LW_KEY_BEARING] = "direction",   [LW_KEY_LATITUDE] = "latitude", [LW_KEY_LONGITUDE] = "longitude",
    };
    switch (key->kind) {
    case LW_KEY_MAP:
        snprintf(buf, n, "map%s%s%s", key->brief ? "; short form: `" : "", key->brief ? key->brief : "",
                 key->brief ? "`" : "");
        break;
    case LW_KEY_LIST:
        lw_key_items(key, items, sizeof items);
        snprintf(buf, n, "list of `%s`%s%s%s", items, key->brief ? "; short form: `" : "", key->brief ? key->brief : "",
                 key->brief ? "`" : "");
        break;
    case LW_KEY_QUANTITY:
    case LW_KEY_LEVEL:
        bound(low, sizeof low, key->low, key);
        bound(high, sizeof high, key->high, key);
        snprintf(buf, n, "%s%s%s%s, %s to %s", key->kind == LW_KEY_LEVEL ? "level: " : "", lw_dim_of(key->dim)->word,
                 key->other_dim && key->kind == LW_KEY_QUANTITY ? " or " : "",
                 key->other_dim && key->kind == LW_KEY_QUANTITY ? lw_dim_of(key->other_dim)->word : "", low, high);
        break;
    case LW_KEY_WORD:
    case LW_KEY_WORDS:
        words_of(buf, n, key->words);
        break;
    default:
        snprintf(buf, n, "%s", PLAIN[key->kind]);
    }
}

static void usual(char *buf, size_t n, const lw_reader *tables, const lw_key *key)
{
    lw_default given;
    if (lw_default_is_by_rig(key->path))
        snprintf(buf, n, "by kind of rig");
    else if (lw_default_of(tables, key->path, &given))
        snprintf(buf, n, "%s (%s)", given.value, given.kind);
    else
        snprintf(buf, n, "%s", key->flags & LW_KEY_REQUIRED ? "must be given" : "");
}

static int is_section(const lw_key *key)
{
    return !strchr(key->path, '.') && key->kind == LW_KEY_MAP;
}

static void put_row(page *p, const lw_reader *tables, const lw_key *key)
{
    char form[CELL_BYTES], value[CELL_BYTES];
    takes(form, sizeof form, key);
    usual(value, sizeof value, tables, key);
    put(p, "| `%s` | %s | %s%s | %s%s%s | %s |\n", key->path, key->what, form,
        key->flags & LW_KEY_NONE_FITS     ? "; or `none`"
        : key->flags & LW_KEY_UNSURE_FITS ? "; or `unknown`, or `about` so much"
                                          : "",
        key->example ? "`" : "", key->example ? key->example : "", key->example ? "`" : "", value);
}

static void put_keys(page *p, const lw_reader *tables)
{
    put(p, "\n## The file as a whole\n");
    put(p, "\n| key | what it says | takes | such as | when left out |\n| --- | --- | --- | --- | --- |\n");
    for (int i = 0; i < lw_key_count; i++) {
        if (is_section(&lw_keys[i])) {
            put(p, "\n## %s: %s\n", lw_keys[i].path, lw_keys[i].what);
            put(p, "\n| key | what it says | takes | such as | when left out |\n| --- | --- | --- | --- | --- |\n");
        }
        put_row(p, tables, &lw_keys[i]);
    }
}

static void put_units(page *p)
{
    put(p, "\n## Units\n\n| kind | units |\n| --- | --- |\n");
    for (int dim = 0; dim < LW_DIM_COUNT; dim++) {
        int is_used = 0;
        for (int i = 0; i < lw_key_count && !is_used; i++)
            is_used = (lw_keys[i].kind == LW_KEY_QUANTITY || lw_keys[i].kind == LW_KEY_LEVEL) &&
                      ((int)lw_keys[i].dim == dim || (int)lw_keys[i].other_dim == dim);
        char units[CELL_BYTES];
        if (is_used && lw_quantity_units(units, sizeof units, (lw_dim)dim)[0])
            put(p, "| %s | %s |\n", lw_dim_of((lw_dim)dim)->word, units);
    }
}

char *lw_scenario_reference(void)
{
    page p = {.text = calloc(1, PAGE_BYTES)};
    lw_err err = {0};
    lw_reader tables = {.err = &err, .rig_row = -1};
    if (!p.text || lw_table_open("defaults", &tables.defaults, &err)) {
        free(p.text);
        return NULL;
    }
    put(&p, "%s", INTRO);
    put_keys(&p, &tables);
    put_units(&p);
    lw_table_clear(&tables.defaults);
    return p.text;
}
